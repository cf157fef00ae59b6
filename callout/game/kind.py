"""A kind of thing that the table says: one row that tells all about it but its words.

The rows stand in `notices/kinds.py`, `decisions/refusals.py` and, for what the table says of
itself, `table/speech/kinds.py` and `table/talk/question_kinds.py`. The words stand under the kind's
name in each language's replies.yaml.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import IntEnum
from itertools import count
from types import MappingProxyType, UnionType
from typing import Any, Final, Self, TypeAlias

from callout.game.profile.profile import Profile
from callout.game.state import Game

Slots: TypeAlias = Mapping[str, Any]
"""The values of a notice, by name."""
SlotType: TypeAlias = type | UnionType
"""The type of a slot's values; `X | None` where the value may be unknown."""
Ending: TypeAlias = Callable[[Slots, int, Game], bool]
"""`(slots, entry, game)`: whether what a notice of that entry asks for has been done by now."""
Article: TypeAlias = Callable[[Profile], str]
"""The article of a league's rule book that a kind rests on."""


class Rank(IntEnum):
    """How urgent a kind is: the lower, the sooner it is said."""

    ACT = 0
    """Something must be done before the game goes on."""
    TELL = 1
    """For the referee, or for whoever keeps clock, board or book: said before any echo."""
    ECHO = 2
    """Confirms what was booked, or answers what was asked."""
    ASK = 3
    """A question."""


@dataclass(frozen=True, eq=False, repr=False)
class Kind(str):
    """A kind of notice, question or refusal.

    It is a text, its own name, because journals, scripts and replies.yaml know kinds by name.
    """

    name: str
    slots: Mapping[str, SlotType] = field(default_factory=dict)
    """The values that its words may use, each with its type."""
    rank: Rank = Rank.ECHO
    place: int = 0
    """Among kinds of one rank the lower is said first: the order of the rows."""
    rule: Article | None = None
    """Where its rule stands; None for one that rests on no rule, or on several."""
    until: Ending | None = None
    """It comes again until this says that it is done, or the scorer says that it was told."""
    running: bool = False
    """It comes again while the clock runs in play; all others come again at a dead ball."""
    standing: bool = False
    """It comes again at a dead ball only if the clock stands, too."""
    told: bool = False
    """It is for the referee, and waits until the scorer says that it was passed on."""
    horn: bool = False
    """The table sounds its horn for it, so the ball must be dead: at a stop a tone comes first and
    the words after the referee's report, and later they name that condition."""
    lasts: bool = False
    """It is said however late its turn comes, where other echoes are dropped."""

    def __new__(cls, name: str, *_: object, **__: object) -> Self:
        """The text; `__init__`, which the dataclass makes, sets the rest."""
        return super().__new__(cls, name)

    @property
    def again(self) -> bool:
        """Whether it comes again."""
        return self.until is not None


@dataclass(frozen=True, eq=False, repr=False)
class Reason(Kind):
    """A kind of refusal: why a call is not booked."""


_PLACES: Final = count(1)


def act(
    name: str,
    until: Ending,
    rule: Article | None = None,
    /,
    *,
    running: bool = False,
    standing: bool = False,
    horn: bool = False,
    **slots: SlotType,
) -> Kind:
    """The row of what must be done before the game goes on; it comes again until it is done."""
    turn = {"running": running, "standing": standing, "horn": horn}
    return Kind(name, slots, Rank.ACT, next(_PLACES), rule, until, **turn)


def tell(
    name: str, rule: Article | None = None, /, *, told: bool = False, **slots: SlotType
) -> Kind:
    """The row of what somebody at the table, or the referee, must know before any echo."""
    return Kind(name, slots, Rank.TELL, next(_PLACES), rule, told=told)


def echo(name: str, rule: Article | None = None, /, **slots: SlotType) -> Kind:
    """The row of what confirms a call, or answers a question."""
    return Kind(name, slots, rule=rule)


def reason(name: str, rule: Article | None = None, /, **slots: SlotType) -> Reason:
    """The row of why a call is refused."""
    return Reason(name, slots, rule=rule)


def lasting(name: str, rule: Article | None = None, /, **slots: SlotType) -> Kind:
    """The row of what belongs to no single call: said after what does, however late."""
    return Kind(name, slots, Rank.ECHO, next(_PLACES), rule, lasts=True)


def ask(name: str, /, **slots: SlotType) -> Kind:
    """The row of a question."""
    return Kind(name, slots, Rank.ASK)


def listed(names: Mapping[str, object]) -> Mapping[str, Kind]:
    """The rows among the names of a module, by the name of the kind, in their order."""
    rows = (each for each in names.values() if isinstance(each, Kind))
    return MappingProxyType({row.name: row for row in rows})
