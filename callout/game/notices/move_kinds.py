"""The rows of what is said of substitutions, held balls and tips that were put right."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from callout.game.kind import SlotType, echo, listed
from callout.game.terms import Team

_OF_PERIOD: Final[Mapping[str, SlotType]] = {"nth": int | None, "unit": str | None}

CHANGED_SUB: Final = echo(
    "changed_sub",
    **_OF_PERIOD,
    team=Team,
    entering=str,
    leaving=str,
    was_team=Team | None,
    was_entering=str | None,
    was_leaving=str | None,
)
CHANGED_HELD: Final = echo("changed_held", **_OF_PERIOD, team=Team, arrow=Team | None)
CHANGED_TIP: Final = echo("changed_tip", **_OF_PERIOD, team=Team, arrow=Team | None)
UNDONE_SUB: Final = echo("undone_sub", **_OF_PERIOD, team=Team, entering=str, leaving=str)
UNDONE_HELD: Final = echo("undone_held", **_OF_PERIOD, arrow=Team | None)
UNDONE_TIP: Final = echo("undone_tip", **_OF_PERIOD, team=Team, arrow=Team | None)


# --- answers to what is typed and is no call ------------------------------------------------------

TELL_BALL: Final = echo("tell_ball", lambda p: p.arrow.rule, team=Team)
TELL_BALL_OTHER: Final = echo("tell_ball_other", lambda p: p.arrow.rule, team=Team, arrow=Team)
TELL_BALL_UNBOOKED: Final = echo("tell_ball_unbooked", arrow=Team | None)
TELL_WHOSE: Final = echo("tell_whose")

MOVE_KINDS: Final = listed(globals())
"""Each of these kinds, by name."""
