"""The rows of what is said of the book put right: lines that were changed or undone."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from callout.game.kind import SlotType, echo, listed
from callout.game.terms import FoulKind, Offender, Team

_OF_PERIOD: Final[Mapping[str, SlotType]] = {"nth": int | None, "unit": str | None}
"""The period of the line, if it is not the present one."""
_WAS: Final[Mapping[str, SlotType]] = {
    "team": Team,
    "number": str | None,
    "was_team": Team | None,
    "was_number": str | None,
}
"""Whose line it is now, and what of that was otherwise before."""

UNDONE_GOAL: Final = echo(
    "undone_goal", **_OF_PERIOD, team=Team, points=int, number=str | None, home=int, guest=int
)
UNDONE_THROW: Final = echo(
    "undone_throw", **_OF_PERIOD, team=Team, number=str | None, made=bool, home=int, guest=int
)
UNDONE_FOUL: Final = echo(
    "undone_foul",
    **_OF_PERIOD,
    team=Team,
    number=str | None,
    foul=FoulKind | None,
    on=Offender | None,
    fouls=int,
)
UNDONE_TIMEOUT: Final = echo("undone_timeout", **_OF_PERIOD, team=Team | None, left=int | None)
CHANGED_GOAL: Final = echo(
    "changed_goal",
    **_OF_PERIOD,
    **_WAS,
    points=int,
    was_points=int | None,
    home=int,
    guest=int,
)
CHANGED_THROW: Final = echo("changed_throw", **_OF_PERIOD, **_WAS, made=bool, home=int, guest=int)
CHANGED_FOUL: Final = echo(
    "changed_foul",
    **_OF_PERIOD,
    **_WAS,
    foul=FoulKind | None,
    was_foul=FoulKind | None,
    on=Offender | None,
    count=int | None,
    fouls=int,
)
CHANGED_TIMEOUT: Final = echo(
    "changed_timeout", **_OF_PERIOD, team=Team, was_team=Team | None, left=int
)
OF_PERIOD: Final = echo("of_period", nth=int, unit=str)
UNDONE_END: Final = echo("undone_end", call=str | None, nth=int, unit=str, left_tenths=int | None)
UNDONE_START: Final = echo("undone_start", nth=int, unit=str)
UNDONE_CHANGE: Final = echo("undone_change", call=str | None)
UNDONE: Final = echo("undone", call=str | None, home=int, guest=int)
PUT_BACK: Final = echo("put_back", call=str | None, home=int | None, guest=int | None)

CHANGE_KINDS: Final = listed(globals())
"""Each of these kinds, by name."""
