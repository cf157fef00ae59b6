"""A notice: a kind with its values; and the list of all kinds with their slots."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final

from callout.game.notices.urgency import Rank, Urgency, urgency


@dataclass(frozen=True, slots=True)
class Notice:
    """Something to be said: a kind with its values, not yet words."""

    kind: str
    slots: Mapping[str, object] = field(default_factory=dict, hash=False)
    """Values by name: a Team, an Award, a shirt number as text, a count, tenths of a second."""
    rule: str = ""
    """The article it rests on; empty where none is needed."""

    @property
    def urgency(self) -> Urgency:
        """When it is said, and what becomes of it then."""
        return urgency(self.kind)

    @property
    def rank(self) -> Rank:
        """How urgent it is."""
        return self.urgency.rank


def _kinds(text: str) -> dict[str, frozenset[str]]:
    rows = (line.split() for line in text.strip().splitlines())
    return {name: frozenset(slots) for name, *slots in rows}


NOTICE_KINDS: Final = _kinds("""
    player_out team number nth replace_s
    coach_out team
    clock_stops
    shots_owed team award
    shots_and_ball team award
    timeout_due team
    sub_due team
    bonus team receiver fouls award
    bonus_light team receiver award
    bonus_marker team receiver award
    bonus_off team receiver
    arrow_against team was
    plays_though_out team number
    timeout_excess team
    timeout_last team
    timeout_struck team left
    timeout_not_now team
    timeout_mandatory team
    sub_not_now team
    sub_too_soon team number
    too_many team
    too_late_throws
    too_late_book
    after_final
    mercy_on
    mercy_off
    clock_runs_on
    goals_stop_now
    target_reached team home guest
    roster_late team number award
    roster_closed team number
    number_illegal team number
    not_level home guest
    misfit
    goal team points number home guest
    goal_open team points said home guest
    own_basket team points credit home guest
    throw_made team number more home guest
    throw_made_more team number more home guest
    throw_missed team number more
    throw_missed_live team number
    throw_missed_dead team number
    score_set team points home guest
    basket_off team points number home guest
    foul team number foul on nth fouls
    foul_open team said fouls
    no_shots team
    penalties_cancel
    throws_unbooked team more
    period_started nth unit team opening
    period_ended nth unit home guest
    level home guest team opening carries
    final home guest
    leads team home guest
    won_now team home guest
    level_now home guest
    half_time team
    game_ended home guest
    clock_started
    clock_stopped left_tenths
    clock_set left_tenths
    clock_agrees left_tenths
    clock_differs shown_tenths ours_tenths
    ball_dead
    timeout_warning
    timeout_end
    interval_warning team
    interval_end
    clock_stops_now
    timeout team kind left
    timeout_officials
    timeout_asked team
    timeout_unasked team
    timeout_over
    sub_reported team
    sub_left team
    subs_entered
    substituted team entering leaving
    control team
    held_ball team
    held_ball_jump
    held_ball_defence
    arrow team
    undone_goal team points number home guest
    undone_throw team number made home guest
    undone_foul team number foul on fouls
    undone_timeout team left
    changed nth unit
    of_period nth unit
    undone_end call nth unit left_tenths
    undone_start nth unit
    undone call home guest
    put_back call home guest
    marked left_tenths
    player_added team number
    player_filled team number entries
    starter team number
    tell_score home guest
    tell_time left_tenths nth unit
    tell_period nth unit
    tell_team_fouls home guest
    tell_player_fouls team number fouls
    tell_player_foul team number fouls
    tell_unlisted team number fouls
    tell_timeouts home guest
    tell_arrow team
    tell_no_arrow
    board_score home guest
    board_clock left_tenths nth unit
    board_period nth unit
    board_fouls home guest
    board_bonus team light
    board_timeouts home guest
    board_arrow team
    tell_open count team
    tell_nothing_open
""")
"""What is said after an entry, or in answer to a question."""

REFUSAL_KINDS: Final = _kinds("""
    not_for_the_book
    not_started
    points_impossible points
    team_needed
    no_basket_to_take_off
    score_is_that team points
    score_too_low team
    foul_unknown foul
    no_foul
    shots_of_other team
    already_running
    game_over
    no_time_left
    already_stopped
    already_dead
    no_period
    no_clock
    clock_impossible left_tenths
    clock_is_that left_tenths
    period_not_over
    nothing_due
    no_timeout
    already_asked team
    no_timeout_waiting team
    no_sub_waiting team
    same_player team number
    not_on_roster team number
    no_arrow
    no_throw_in
    arrow_is_that team
    nothing_open
    nothing_to_correct
    number_is_that team number
    team_is_that team
    points_are_that points
    nothing_to_undo
    nothing_taken_back
    played_on
    on_roster team number
    already_starter team number
""")
"""Why a call is refused."""

KINDS: Final[Mapping[str, frozenset[str]]] = MappingProxyType(NOTICE_KINDS | REFUSAL_KINDS)
"""Every kind that a language's replies must have a line for, with the slots it may use."""
