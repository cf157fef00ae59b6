"""A notice, and one row for each kind of it: what is said after an entry, or when asked.

A row holds the kind's slots with their types, its rule, how urgent it is, and when it is done; rows
of one rank are said in their order. A new kind is a row here, a line of each replies.yaml, and the
code that makes it. Source of ranks and order: the design of this table, no rule book.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Final

from callout.game.choices import Credit, Light, Opening, Why
from callout.game.decisions.refusals import REFUSAL_KINDS
from callout.game.kind import Kind, Rank, act, echo, lasting, listed, tell
from callout.game.notices import endings
from callout.game.notices.book_kinds import BOOK_KINDS
from callout.game.notices.change_kinds import CHANGE_KINDS
from callout.game.notices.move_kinds import MOVE_KINDS
from callout.game.notices.pregame_kinds import PREGAME_KINDS
from callout.game.profile.profile import Profile
from callout.game.terms import Award, FoulKind, Offender, Team


@dataclass(frozen=True, slots=True)
class Notice:
    """Something to be said: a kind with its values, not yet words."""

    kind: Kind
    slots: Mapping[str, object] = field(default_factory=dict, hash=False)
    """Values by name, of the types that the kind's row gives."""
    rule: str = ""
    """The article it rests on; empty where none is needed."""

    @property
    def rank(self) -> Rank:
        """How urgent it is."""
        return self.kind.rank

    def by_rules(self, profile: Profile) -> Notice:
        """The notice with its article in that league, where its row names one."""
        rule = self.kind.rule
        return replace(self, rule=rule(profile)) if rule and not self.rule else self


# --- what must be done before the game goes on, the most urgent first -----------------------------

CLOCK_STOPS: Final = act(
    "clock_stops", endings.clock_stands, lambda p: p.clock.goal_stops_rule, running=True
)
STOP_FOR_TIMEOUT: Final = act(
    "stop_for_timeout", endings.stopped_for_timeout, lambda p: p.clock.goal_stops_rule, running=True
)
CLOCK_IS_RUNNING: Final = act("clock_is_running", endings.clock_stopped, running=True)
CLOCK_IS_STOPPED: Final = act("clock_is_stopped", endings.clock_started)
PLAYER_OUT: Final = act(
    "player_out",
    endings.player_left,
    standing=True,
    team=Team,
    number=str,
    nth=int | None,
    why=Why | None,
    replace_s=int,
)
MUST_LEAVE: Final = act(
    "must_leave",
    endings.hurt_left,
    lambda p: p.table.hurt_rule,
    standing=True,
    team=Team,
    number=str,
    bleeds=bool,
    replace_s=int,
)
COACH_OUT: Final = act(
    "coach_out", endings.coach_left, lambda p: p.fouls.coach_rule, standing=True, team=Team
)
SHOTS_OWED: Final = act("shots_owed", endings.shots_taken, team=Team, award=Award)
SHOTS_AND_BALL: Final = act("shots_and_ball", endings.shots_and_ball_taken, team=Team, award=Award)
TIMEOUT_DUE: Final = act(
    "timeout_due", endings.timeout_granted, lambda p: p.chances.timeout_rule, horn=True, team=Team
)
TIMEOUT_IN_PLAY: Final = act(
    "timeout_in_play", endings.timeout_missed, lambda p: p.chances.timeout_rule, team=Team
)
SUB_DUE: Final = act(
    "sub_due", endings.subs_entered, lambda p: p.chances.sub_rule, horn=True, team=Team | None
)

# --- for the referee ------------------------------------------------------------------------------

PLAYS_THOUGH_OUT: Final = tell(
    "plays_though_out", lambda p: p.fouls.limit_rule, told=True, team=Team, number=str
)
BONUS: Final = tell(
    "bonus", lambda p: p.penalty.rule, told=True, team=Team, receiver=Team, fouls=int, award=Award
)
BONUS_AND_BALL: Final = tell(
    "bonus_and_ball",
    lambda p: p.penalty.rule,
    told=True,
    team=Team,
    receiver=Team,
    fouls=int,
    award=Award,
)
NO_BONUS: Final = tell("no_bonus", lambda p: p.penalty.rule, told=True, team=Team, fouls=int)
NO_BALL: Final = tell(
    "no_ball", lambda p: p.penalty.rule, told=True, team=Team, receiver=Team, fouls=int
)
MAY_PLAY: Final = tell("may_play", lambda p: p.fouls.limit_rule, told=True, team=Team, number=str)
COACH_MAY_STAY: Final = tell("coach_may_stay", lambda p: p.fouls.coach_rule, told=True, team=Team)
TIMEOUT_LAST: Final = tell("timeout_last", lambda p: p.timeouts.rule, told=True, team=Team)
TIMEOUT_EXCESS: Final = tell("timeout_excess", lambda p: p.timeouts.rule, told=True, team=Team)
ARROW_AGAINST: Final = tell("arrow_against", lambda p: p.arrow.rule, told=True, team=Team, was=Team)
ROSTER_LATE: Final = tell(
    "roster_late",
    lambda p: p.roster.late_rule,
    told=True,
    team=Team,
    number=str,
    award=Award | None,
)
SHIRT_LATE: Final = tell(
    "shirt_late", lambda p: p.roster.late_rule, told=True, team=Team, number=str, award=Award
)
NUMBER_ILLEGAL: Final = tell(
    "number_illegal", lambda p: p.sources["roster.numbers"], told=True, team=Team, number=str
)
NOT_LEVEL: Final = tell("not_level", told=True, home=int, guest=int)
ROSTER_CLOSED: Final = tell("roster_closed", lambda p: p.roster.late_rule, team=Team, number=str)
SUB_TOO_SOON: Final = tell("sub_too_soon", lambda p: p.chances.again_rule, team=Team, number=str)
SUB_NOT_NOW: Final = tell("sub_not_now", lambda p: p.chances.sub_rule, team=Team | None)
TOO_MANY: Final = tell("too_many", team=Team)
NOT_ON_COURT: Final = tell("not_on_court", team=Team, number=str)
ON_COURT_ALREADY: Final = tell("on_court_already", team=Team, number=str)
TIMEOUT_NOT_NOW: Final = tell("timeout_not_now", lambda p: p.chances.timeout_rule, team=Team)
TIMEOUT_STRUCK: Final = tell("timeout_struck", lambda p: p.timeouts.rule, team=Team, left=int)
TIMEOUTS_STRUCK: Final = tell("timeouts_struck", lambda p: p.timeouts.rule, left=int)
TIMEOUT_MANDATORY: Final = tell("timeout_mandatory", lambda p: p.timeouts.rule, team=Team)
TOO_LATE_THROWS: Final = tell("too_late_throws", lambda p: p.corrections.throws_rule)
TOO_LATE_BOOK: Final = tell("too_late_book", lambda p: p.corrections.book_rule)
AFTER_FINAL: Final = tell("after_final", lambda p: p.corrections.book_rule)

# --- for whoever keeps clock and board ------------------------------------------------------------

TIMEOUT_WARNING: Final = tell("timeout_warning")
TIMEOUT_END: Final = tell("timeout_end")
INTERVAL_NOTICE: Final = tell(
    "interval_notice",
    lambda p: p.sources["periods.half_warnings_s"],
    minutes=int | None,
    seconds=int | None,
    nth=int,
    unit=str,
    team=Team | None,
)
INTERVAL_WARNING: Final = tell(
    "interval_warning",
    lambda p: p.sources["periods.break_warnings_s"],
    minutes=int | None,
    seconds=int | None,
    nth=int,
    unit=str,
    team=Team | None,
)
INTERVAL_END: Final = tell("interval_end")
CLOCK_STOPS_NOW: Final = tell("clock_stops_now")
GOALS_STOP_NOW: Final = tell("goals_stop_now", lambda p: p.clock.goal_stops_rule)
MERCY_ON: Final = tell("mercy_on", lambda p: p.clock.mercy_rule)
MERCY_OFF: Final = tell("mercy_off", lambda p: p.clock.mercy_rule)
CLOCK_RUNS_ON: Final = tell("clock_runs_on", lambda p: p.clock.mercy_rule)
BONUS_LIGHT: Final = tell(
    "bonus_light", lambda p: p.penalty.rule, team=Team, receiver=Team, award=Award
)
BONUS_MARKER: Final = tell(
    "bonus_marker", lambda p: p.penalty.rule, team=Team, receiver=Team, award=Award
)
BONUS_OFF: Final = tell("bonus_off", lambda p: p.penalty.rule, team=Team, receiver=Team)

# --- for whoever keeps the book -------------------------------------------------------------------

REPLACE_END: Final = tell("replace_end", lambda p: p.sources["table.replace_s"])
DELAY_AGAIN: Final = tell("delay_again", lambda p: p.table.delay_rule, told=True, team=Team)
TOO_MANY_SEEN: Final = tell("too_many_seen", told=True, team=Team)
MISFIT: Final = tell("misfit")
CHANGED_TOO: Final = tell("changed_too", count=int)
NOT_PLAYING: Final = tell("not_playing", nth=int, unit=str)
NOT_LISTED: Final = tell("not_listed", team=Team, number=str)
THROWS_UNBOOKED: Final = tell("throws_unbooked", team=Team, more=int, fouls=int | None)
TARGET_REACHED: Final = tell(
    "target_reached", lambda p: p.goals.target_rule, team=Team, home=int, guest=int
)
HALF_TIME: Final = tell("half_time", lambda p: p.arrow.rule, team=Team | None)
LEVEL: Final = tell(
    "level",
    lambda p: p.arrow.rule,
    home=int,
    guest=int,
    team=Team | None,
    opening=Opening | None,
    carries=bool | None,
)
FINAL: Final = tell("final", home=int, guest=int)
LEADS: Final = tell("leads", team=Team, home=int, guest=int)
WON_NOW: Final = tell("won_now", team=Team, home=int, guest=int)
LEVEL_NOW: Final = tell("level_now", home=int, guest=int)

# --- goals and free throws ------------------------------------------------------------------------

GOAL: Final = echo("goal", team=Team, points=int, number=str | None, home=int, guest=int)
GOAL_OPEN: Final = echo("goal_open", team=Team, points=int, said=str, home=int, guest=int)
OWN_BASKET: Final = echo(
    "own_basket",
    lambda p: p.goals.own_basket_rule,
    team=Team,
    points=int,
    credit=Credit,
    home=int,
    guest=int,
)
THROW_MADE: Final = echo(
    "throw_made", team=Team, number=str | None, more=int | None, home=int, guest=int
)
THROW_MADE_MORE: Final = echo(
    "throw_made_more", team=Team, number=str | None, more=int, home=int, guest=int
)
THROW_MISSED: Final = echo("throw_missed", team=Team, number=str | None, more=int)
THROW_MISSED_LIVE: Final = echo("throw_missed_live", team=Team, number=str | None)
THROW_MISSED_DEAD: Final = echo("throw_missed_dead", team=Team, number=str | None)
SCORE_SET: Final = echo("score_set", team=Team, points=int, home=int, guest=int)
BASKET_OFF: Final = echo(
    "basket_off", team=Team, points=int, number=str | None, home=int, guest=int
)

# --- fouls ----------------------------------------------------------------------------------------

FOUL: Final = echo(
    "foul",
    team=Team,
    number=str | None,
    foul=FoulKind | None,
    on=Offender | None,
    nth=int | None,
    fouls=int,
)
FOUL_OPEN: Final = echo("foul_open", team=Team, said=str, fouls=int)
NO_SHOTS: Final = echo("no_shots", team=Team)
SHOTS_TAKEN: Final = echo("shots_taken", team=Team, award=Award)
PENALTIES_CANCEL: Final = echo("penalties_cancel", lambda p: p.fouls.cancels_rule)

# --- clock and periods ----------------------------------------------------------------------------

PERIOD_STARTED: Final = echo(
    "period_started",
    lambda p: p.arrow.rule,
    nth=int,
    unit=str,
    team=Team | None,
    opening=Opening | None,
)
PERIOD_ENDED: Final = echo("period_ended", nth=int, unit=str, home=int, guest=int)
GAME_ENDED: Final = echo("game_ended", home=int, guest=int)
CLOCK_STARTED: Final = echo("clock_started")
CLOCK_STOPPED: Final = echo("clock_stopped", left_tenths=int | None)
CLOCK_SET: Final = echo("clock_set", left_tenths=int)
CLOCK_AGREES: Final = echo("clock_agrees", left_tenths=int)
CLOCK_DIFFERS: Final = echo("clock_differs", shown_tenths=int, ours_tenths=int)
BALL_DEAD: Final = echo("ball_dead")

# --- time-outs, substitutions, possession ---------------------------------------------------------

TIMEOUT: Final = echo("timeout", team=Team, kind=str, left=int)
TIMEOUT_OFFICIALS: Final = echo("timeout_officials")
TIMEOUT_ASKED: Final = echo("timeout_asked", team=Team)
TIMEOUT_UNASKED: Final = echo("timeout_unasked", team=Team)
TIMEOUT_OVER: Final = echo("timeout_over")
SUB_REPORTED: Final = echo("sub_reported", team=Team | None)
SUB_LEFT: Final = echo("sub_left", team=Team | None)
SUBS_ENTERED: Final = echo("subs_entered")
SUBSTITUTED: Final = echo("substituted", team=Team, entering=str, leaving=str | None)
CONTROL: Final = echo("control", team=Team)
HELD_BALL: Final = echo("held_ball", lambda p: p.arrow.rule, team=Team)
HELD_BALL_JUMP: Final = echo("held_ball_jump", lambda p: p.arrow.rule)
HELD_BALL_OPEN: Final = echo("held_ball_open", lambda p: p.arrow.rule)
HELD_BALL_DEFENCE: Final = echo("held_ball_defence", lambda p: p.arrow.rule)
ARROW: Final = echo("arrow", team=Team)

# --- marks and lists ------------------------------------------------------------------------------

MARKED: Final = echo("marked", left_tenths=int | None)
PLAYER_ADDED: Final = echo("player_added", team=Team, number=str)
PLAYER_FILLED: Final = echo("player_filled", team=Team, number=str, entries=int)
STARTER: Final = echo("starter", team=Team, number=str)

# --- what happens seldom --------------------------------------------------------------------------

SHIRT_CHANGED: Final = echo(
    "shirt_changed",
    lambda p: p.roster.late_rule,
    team=Team,
    number=str,
    new=str,
    fouls=int | None,
)
SENT_OFF: Final = echo("sent_off", team=Team, number=str)
COACH_SENT_OFF: Final = echo("coach_sent_off", team=Team)
HURT: Final = echo("hurt", lambda p: p.table.hurt_rule, team=Team, number=str, bleeds=bool)
THROW_VOID: Final = echo("throw_void", team=Team, home=int, guest=int)
THROW_AGAIN: Final = echo("throw_again", team=Team, more=int)
FORFEITED: Final = echo(
    "forfeited", lambda p: p.goals.forfeit_rule, team=Team, winner=Team, home=int, guest=int
)
DEFAULTED: Final = echo(
    "defaulted", lambda p: p.goals.forfeit_rule, team=Team, winner=Team, home=int, guest=int
)
SUSPENDED: Final = echo("suspended", nth=int, unit=str, left_tenths=int | None, home=int, guest=int)
DELAY_WARNED: Final = echo("delay_warned", lambda p: p.table.delay_rule, team=Team)
BOARD_AGREES: Final = echo("board_agrees", lambda p: p.table.board_rule, team=Team, shown=int)
BOARD_DIFFERS: Final = echo(
    "board_differs", lambda p: p.table.board_rule, team=Team, shown=int, booked=int
)

# --- answers --------------------------------------------------------------------------------------

TELL_SCORE: Final = echo("tell_score", home=int, guest=int)
TELL_TIME: Final = echo("tell_time", left_tenths=int, nth=int, unit=str)
TELL_PERIOD: Final = echo("tell_period", nth=int, unit=str)
TELL_TEAM_FOULS: Final = echo("tell_team_fouls", home=int, guest=int)
TELL_PLAYER_FOULS: Final = echo("tell_player_fouls", team=Team, number=str, fouls=int)
TELL_PLAYER_FOUL: Final = echo("tell_player_foul", team=Team, number=str, fouls=int)
TELL_UNLISTED: Final = echo("tell_unlisted", team=Team, number=str, fouls=int)
TELL_TIMEOUTS: Final = echo("tell_timeouts", home=int, guest=int)
TELL_ARROW: Final = echo("tell_arrow", team=Team)
TELL_NO_ARROW: Final = echo("tell_no_arrow")
TELL_ARROW_UNUSED: Final = echo("tell_arrow_unused", lambda p: p.arrow.rule)
SCORE_APPROVED: Final = echo("score_approved", home=int, guest=int, open=int | None)
CORRECTION_SIGNED: Final = echo("correction_signed")
TELL_OPEN: Final = echo("tell_open", count=int, team=Team)
TELL_NOTHING_OPEN: Final = echo("tell_nothing_open")

# --- the board read aloud, in the order in which one reads it -------------------------------------

BOARD_SCORE: Final = lasting("board_score", lambda p: p.table.board_rule, home=int, guest=int)
BOARD_CLOCK: Final = lasting(
    "board_clock", lambda p: p.table.board_rule, left_tenths=int, nth=int, unit=str
)
BOARD_PERIOD: Final = lasting("board_period", lambda p: p.table.board_rule, nth=int, unit=str)
BOARD_FOULS: Final = lasting("board_fouls", lambda p: p.table.board_rule, home=int, guest=int)
BOARD_BONUS: Final = lasting("board_bonus", lambda p: p.table.board_rule, team=Team, light=Light)
BOARD_TIMEOUTS: Final = lasting("board_timeouts", lambda p: p.table.board_rule, home=int, guest=int)
BOARD_ARROW: Final = lasting("board_arrow", lambda p: p.table.board_rule, team=Team)
CONTROL_LACKING: Final = lasting("control_lacking", lambda p: p.arrow.rule)

NOTICE_KINDS: Final[Mapping[str, Kind]] = MappingProxyType(
    {**listed(globals()), **BOOK_KINDS, **CHANGE_KINDS, **MOVE_KINDS, **PREGAME_KINDS}
)
"""Every kind of notice of the game, by name."""

KINDS: Final[Mapping[str, Kind]] = MappingProxyType({**NOTICE_KINDS, **REFUSAL_KINDS})
"""Every kind of the game that a language's replies must have a line for."""
