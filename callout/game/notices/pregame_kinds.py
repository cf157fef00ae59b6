"""The rows of what is said before the first period."""

from __future__ import annotations

from typing import Final

from callout.game.choices import Span
from callout.game.kind import act, echo, lasting, listed, tell
from callout.game.notices.pregame_endings import (
    lists_there,
    lists_there_or_due,
    starters_there,
    starters_there_or_due,
)
from callout.game.profile.profile import Profile
from callout.game.terms import Award, Team


def _list_rule(profile: Profile) -> str:
    return profile.sources["roster.list_before_s"]


def _starters_rule(profile: Profile) -> str:
    return profile.sources["roster.starters_before_s"]


# --- deadlines ------------------------------------------------------------------------------------

LISTS_DUE: Final = act("lists_due", lists_there, _list_rule, teams=tuple)
LISTS_SOON: Final = act(
    "lists_soon",
    lists_there_or_due,
    _list_rule,
    teams=tuple,
    minutes=int,
)
STARTERS_DUE: Final = act("starters_due", starters_there, _starters_rule, teams=tuple)
STARTERS_SOON: Final = act(
    "starters_soon",
    starters_there_or_due,
    _starters_rule,
    teams=tuple,
    minutes=int,
)
ITEM_DUE: Final = tell("item_due", item=str)
ITEM_SOON: Final = tell("item_soon", item=str, minutes=int)

# --- the checklist --------------------------------------------------------------------------------

TIP_SET: Final = echo("tip_set", hours=int | None, minutes=int | None, seconds=int | None)
TO_TIP: Final = echo("to_tip", left_tenths=int)
ITEM_DONE: Final = echo("item_done", item=str)
ITEM_SKIPPED: Final = echo("item_skipped", item=str)
ITEM_SEEN: Final = echo("item_seen", item=str)
LIST_SEEN: Final = lasting("list_seen", home=int, guest=int)
LIST_TOO_LONG: Final = lasting(
    "list_too_long", lambda p: p.sources["roster.most"], team=Team, count=int, most=int
)
LIST_LACKING: Final = lasting("list_lacking", teams=tuple)
STARTERS_LACKING: Final = lasting("starters_lacking", team=Team, count=int, most=int)
NEXT_ITEM: Final = lasting("next_item", item=str | None, words=str | None, minutes=int | None)
ITEM_WORKS: Final = lasting("item_works")
ITEM_FAILS: Final = lasting("item_fails")
ITEMS_LEFT: Final = lasting("items_left", items=tuple)
NOTHING_LEFT: Final = lasting("nothing_left")
STARTER_DROPPED: Final = echo("starter_dropped", team=Team, number=str)
STARTERS_RIGHT: Final = echo("starters_right", team=Team, count=int)

# --- the league's main figures --------------------------------------------------------------------

FIGURES_PERIODS: Final = lasting(
    "figures_periods", count=int, unit=str, minutes=int | None, left_tenths=int | None
)
FIGURES_PERIOD: Final = lasting("figures_period", minutes=int | None, left_tenths=int | None)
FIGURES_OUT: Final = lasting("figures_out", fouls=int)
FIGURES_PENALTY: Final = lasting(
    "figures_penalty", at=int, span=Span | None, unit=str | None, award=Award
)
FIGURES_PENALTY_BALL: Final = lasting(
    "figures_penalty_ball", at=int, span=Span | None, unit=str | None, award=Award
)
FIGURES_TIMEOUTS: Final = lasting("figures_timeouts", count=int, kind=str | None, span=Span)

PREGAME_KINDS: Final = listed(globals())
"""Each of these kinds, by name."""
