"""The rows of what is said of another book, to the next crew, and of an injury or blood."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from callout.game.kind import SlotType, echo, lasting, listed
from callout.game.terms import Figure, Team

_COMPARED: Final[Mapping[str, SlotType]] = {
    "team": Team,
    "figure": Figure,
    "number": str | None,
    "nth": int | None,
    "unit": str | None,
}

BOOKS_AGREE: Final = echo("books_agree", **_COMPARED, count=int)
BOOKS_DIFFER: Final = echo("books_differ", **_COMPARED, count=int, booked=int)
BY_PERIODS: Final = echo("by_periods", team=Team, points=tuple)

# --- what the next crew must know, in this order; then the figures of the board -------------------

HANDED_OVER: Final = echo(
    "handed_over", nth=int, unit=str, left_tenths=int | None, home=int, guest=int
)
THROWS_TO_COME: Final = lasting("throws_to_come", team=Team, more=int)
WAITING_TIMEOUT: Final = lasting("waiting_timeout", team=Team)
WAITING_SUBS: Final = lasting("waiting_subs")
ONE_FOUL_LEFT: Final = lasting("one_foul_left", lambda p: p.fouls.limit_rule, team=Team,
                               numbers=tuple)  # fmt: skip
ALREADY_OUT: Final = lasting("already_out", lambda p: p.fouls.limit_rule, team=Team, numbers=tuple)
COACH_ALREADY_OUT: Final = lasting("coach_already_out", lambda p: p.fouls.coach_rule, team=Team)
DELAY_WARNED_BEFORE: Final = lasting("delay_warned_before", lambda p: p.table.delay_rule, team=Team)
NUMBER_IS_OPEN: Final = lasting(
    "number_is_open", nth=int, unit=str, left_tenths=int | None, team=Team, line=str
)
MARKED_BEFORE: Final = lasting("marked_before", nth=int, unit=str, left_tenths=int | None)

# --- what to take care of, said once -------------------------------------------------------------

CARE_HEAD: Final = lasting("care_head", lambda p: p.table.head_rule)
CARE_BLOOD: Final = lasting("care_blood", lambda p: p.table.hurt_rule)

BOOK_KINDS: Final = listed(globals())
"""Each of these kinds, by name."""
