"""A person's own keys as a form asks for them, made into a file of keys. Pure."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from callout.table.hands.keymap import TABLES


@dataclass(frozen=True, slots=True)
class OwnKey:
    """One key."""

    table: str
    """One of `TABLES`."""
    key: str
    says: str


def key_rows(keys: Sequence[OwnKey], device: str) -> list[tuple[int, str]]:
    """The lines of the file, each with the index of its key; -1 for a line of none."""
    return list(_rows(keys, device))


def _rows(keys: Sequence[OwnKey], device: str) -> Iterator[tuple[int, str]]:
    for table in TABLES:
        mine = [(nth, each) for nth, each in enumerate(keys) if each.table == table]
        if not mine:
            continue
        yield -1, f"[{table}]"
        if table == "pedal":
            yield -1, f"device = {json.dumps(device)}"
        for nth, each in mine:
            says = json.dumps(each.says, ensure_ascii=False)
            yield nth, f"{json.dumps(each.key, ensure_ascii=False)} = {says}"
