"""A count with what is counted, in the number that English wants: `1 entry`, `12 entries`."""

from __future__ import annotations


def counted(count: int, one: str, several: str = "") -> str:
    """A count in words for a person; `several` is the plural, where it is not `one` and an s."""
    return f"{count} {one if count == 1 else several or one + 's'}"
