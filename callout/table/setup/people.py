"""People of a game beside its players: coaches, assistants and officials, by name."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from callout.table.setup.roster import RosterError

Person = tuple[str, str, str]
"""Whose (`home`, `guest`, empty for an official), as what, and the name."""

COACH: Final = "coach"
ASSISTANT: Final = "assistant"
STAFF: Final = (COACH, ASSISTANT)
"""What somebody on the bench may be, beside the players."""


def parse_officials(text: str, roles: Sequence[str]) -> tuple[Person, ...]:
    """The officials of a header line: `Referee Ada Moss, Scorer Cleo Marsh`.

    Raises:
        RosterError: a part does not begin with one of the roles, has no name, or a role is given
            twice.
    """
    found: dict[str, Person] = {}
    for part in filter(None, map(str.strip, text.split(","))):
        # "Umpire 1" must not be taken for an umpire whose name is 1.
        ordered = sorted(roles, key=len, reverse=True)
        role = next((r for r in ordered if part.lower().startswith(f"{r.lower()} ")), None)
        if role is None:
            what = f"expected one of {', '.join(roles)}, and then a name"
            raise RosterError(f"{what}, got {part!r}")
        if role in found:
            raise RosterError(f"expected one {role}, got a second one, {part!r}")
        found[role] = ("", role, part[len(role) :].strip())
    return tuple(found.values())


def say_officials(people: Iterable[Person]) -> str:
    """The header line that `parse_officials` reads as the officials among these people."""
    return ", ".join(f"{role} {name}" for whose, role, name in people if not whose)


def name_of(people: Iterable[Person], whose: str, role: str) -> str:
    """The name of whoever has that role; empty if it is not known."""
    return next((name for team, what, name in people if (team, what) == (whose, role)), "")
