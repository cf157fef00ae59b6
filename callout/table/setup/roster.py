"""Lists of players, as a header line gives them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from callout.game.values import SHIRTS

NO_SHIRT: Final = "expected a shirt number (0, 00, 1 to 99), got {!r}"
TWICE: Final = "expected each number once, got {!r} twice"


@dataclass(frozen=True, slots=True)
class Player:
    """One line of a team's list."""

    number: str
    name: str = ""
    starter: bool = False


class RosterError(Exception):
    """A list or header value that cannot be used; the reader of the file adds path and line."""


def parse_roster(text: str) -> tuple[Player, ...]:
    """The players of a header line: `4 5 7`, or with names `4 Ada Moss, 5 Bo Reed, 7`.

    Raises:
        RosterError: something is not a shirt number, or a number is given twice.
    """
    if "," in text:
        parts = [part.strip() for part in text.split(",") if part.strip()]
        return _checked(player for part in parts for player in _part(part))
    return _checked(Player(number) for number in text.split())


def numbers_alone(part: str) -> tuple[str, ...]:
    """The numbers of a part that has no name: `10 11 12`; nothing where a name is in it."""
    words = part.split()
    return tuple(words) if all(word.isdecimal() for word in words) else ()


def _part(part: str) -> Iterator[Player]:
    if numbers := numbers_alone(part):
        yield from (Player(number) for number in numbers)
        return
    number, *name = part.split(None, 1)
    yield Player(number, "".join(name))


def say_roster(players: Iterable[Player]) -> str:
    """The header line that `parse_roster` reads as these players."""
    listed = list(players)
    if not any(player.name for player in listed):
        return " ".join(player.number for player in listed)
    # The comma at the end distinguishes "4 Ada Moss," from a list of bare numbers.
    return ", ".join(f"{player.number} {player.name}".strip() for player in listed) + ","


def check_number(number: str) -> str:
    """The number itself, if it is a possible shirt number.

    Raises:
        RosterError: it is not.
    """
    if number not in SHIRTS:
        raise RosterError(NO_SHIRT.format(number))
    return number


def _checked(players: Iterable[Player]) -> tuple[Player, ...]:
    seen: dict[str, Player] = {}
    for player in players:
        if check_number(player.number) in seen:
            raise RosterError(TWICE.format(player.number))
        seen[player.number] = player
    return tuple(seen.values())
