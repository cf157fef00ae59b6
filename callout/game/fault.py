"""What pydantic refuses about plain values, as one line of ours."""

from __future__ import annotations

from typing import NamedTuple

from pydantic import ValidationError


class Fault(NamedTuple):
    """One value that does not fit."""

    keys: tuple[str | int, ...]
    """The keys and places that lead to it."""
    what: str

    def __str__(self) -> str:
        """The dotted name, and what is wrong with it."""
        return f"{'.'.join(map(str, self.keys)) or 'file'}: {self.what}"


def first_fault(error: ValidationError) -> Fault:
    """The first value that does not fit."""
    first = error.errors()[0]
    got = "nothing" if first["type"] == "missing" else repr(first["input"])
    return Fault(first["loc"], f"{first['msg'][0].lower()}{first['msg'][1:]}, got {got}")
