"""The next state by the one table: what each event changes, and nothing else with it."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

import pytest

from callout.game import events
from callout.game.apply import TABLE, apply
from callout.game.calls import (
    Foul,
    MakeNumber,
    Number,
    OfficialTimeout,
    Score,
    Shot,
    StartPeriod,
    SubWaiting,
    Timeout,
)
from callout.game.events import EVENTS, Event
from callout.game.game_clock import Clock
from callout.game.state import Game, Phase
from callout.game.terms import Award, CheckedAs, Figure, FoulKind, Moment, Offender, Team
from tests.game.play import GUEST, HOME, Play

P, PLAYER = FoulKind.PERSONAL, Offender.PLAYER

# Every event with the fields of the game that it may change, from the state `middle`.
CHANGES: list[tuple[Event, set[str]]] = [
    (events.Scored(90, HOME, 2, "4", 1, 100), {"goals"}),
    (events.FreeThrow(90, GUEST, True, "14", 1, 100), {"goals", "owed"}),
    (events.ScoreSet(90, HOME, 9, 1), {"adjustments"}),
    (events.BasketCancelled(20), {"goals"}),
    (events.FoulCharged(90, HOME, "4", P, PLAYER, 1, 100), {"charges", "throw_in"}),
    (events.ThrowsAwarded(30, GUEST, Award.THREE), {"owed", "charges"}),
    (events.PenaltiesCancelled(30, 90), {"owed", "charges"}),
    (events.ThrowsDropped(), {"owed"}),
    (events.NumberGiven(20, "7"), {"goals"}),
    (events.TeamChanged(20, GUEST, None), {"goals", "assumed"}),
    (events.PointsChanged(20, 3), {"goals"}),
    (
        events.PeriodStarted(2, 4800, HOME),
        {"period", "clock", "throw_in"},
    ),
    (events.PeriodEnded(1, 5), {"phase", "clock", "throw_in", "interval_since_ms", "ended"}),
    (events.GameEnded(), {"phase", "owed", "timeouts_asked", "subs_waiting"}),
    (
        events.ClockStarted(4000, 5),
        {"phase", "clock", "ball_dead", "starts", "throw_in", "owed"},
    ),
    (events.ClockStopped(4000), {"clock"}),
    (events.ClockSet(4000, 5), {"clock"}),
    (events.ClockChecked(4000, 4001), set()),
    (events.BallDead(), set()),
    (events.Reminded(Moment.INTERVAL_END), {"reminded"}),
    (events.TimeoutGranted(90, GUEST, "full", 1, 100, 5), {"phase", "timeouts", "timeouts_asked"}),
    (events.TimeoutAsked(HOME), {"timeouts_asked"}),
    (events.TimeoutUnasked(GUEST), {"timeouts_asked"}),
    (events.TimeoutEnded(), set()),
    (events.SubReported(HOME), {"subs_waiting"}),
    (events.SubLeft(GUEST), {"subs_waiting"}),
    (events.SubsEntered(), {"subs_waiting"}),
    (events.Substituted(HOME, "5", "4"), {"on_court", "changes", "moves"}),
    (events.ControlWon(HOME), {"first_control", "moves"}),
    (events.BallHeld(HOME), {"throw_in", "moves"}),
    (events.ArrowSet(HOME), {"arrow", "throw_in"}),
    (events.TakenBack(2), {"taken_back"}),
    (events.PutBackIn(1), {"taken_back"}),
    (events.Replaced(1, 10), set()),
    (events.Marked(1, 100), {"marks"}),
    (events.PlayerAdded(HOME, "30"), {"home"}),
    (events.StarterNamed(GUEST, "14"), {"guest"}),
    (events.StarterDropped(HOME, "4"), set()),
    (events.StartersConfirmed(HOME, ("4",)), {"starters_read"}),
    (events.TipSet(9), {"tip_ms"}),
    (events.ItemChecked("board", CheckedAs.DONE, 9), {"checks"}),
    (events.BeforeTold(Moment.ITEM_DUE, "lists", 0), {"reminded"}),
    (events.ShirtChanged(HOME, "5", "30"), {"home", "goals", "charges"}),
    (events.SentOff(HOME, "5"), {"sent_off"}),
    (events.PlayerHurt(GUEST, "14"), {"hurt"}),
    (events.ThrowVoided(20), {"misfits"}),
    (events.GameForfeited(HOME), {"phase", "owed", "timeouts_asked", "subs_waiting", "forfeit"}),
    (events.GameSuspended(1, 4000, 5), {"suspended"}),
    (events.DelayWarned(HOME), {"delays"}),
    (events.TooManySeen(HOME), set()),
    (events.ScoreChecked(HOME, 30, 31), set()),
    (events.BookCompared(HOME, Figure.SCORE, 30, 31), set()),
    (events.HandedOver(5), set()),
    (events.ScoreApproved(31, 28), {"approval"}),
    (events.CorrectionSigned("J. Miller", "counted again"), {"signatures"}),
]


@pytest.fixture
def middle(running: Play) -> Game:
    """A stopped game with a goal, a foul, throws owed, an arrow, and somebody waiting."""
    running.take(Score(HOME, 2, "5"), Foul(HOME, "5", award=Award.TWO)).wait(3).stop()
    found = running.game
    for event in (
        events.BallHeld(GUEST),
        events.TimeoutAsked(GUEST),
        events.SubReported(GUEST),
        events.TakenBack(1),
    ):
        found = apply(found, event)
    return found


def test_every_event_is_in_the_list_of_changes() -> None:
    assert [type(event) for event, _ in CHANGES] == list(TABLE)
    assert len(CHANGES) == len(EVENTS.members())


@pytest.mark.parametrize(("event", "changed"), CHANGES, ids=lambda x: type(x).__name__)
def test_an_event_changes_its_own_fields_only(
    middle: Game, event: Event, changed: set[str]
) -> None:
    before = repr(middle)
    after = apply(middle, event)
    different = {f.name for f in fields(Game) if getattr(after, f.name) != getattr(middle, f.name)}
    assert different == changed
    assert repr(middle) == before


@pytest.mark.parametrize(
    "event",
    [
        events.BasketCancelled(990),
        events.ThrowsAwarded(990, GUEST, Award.TWO),
        events.NumberGiven(990, "5"),
        events.TeamChanged(990, GUEST, None),
        events.PointsChanged(990, 3),
    ],
    ids=lambda event: type(event).__name__,
)
def test_what_refers_to_a_line_no_longer_there_is_a_misfit(middle: Game, event: Event) -> None:
    after = apply(middle, event)
    assert after.misfits == (middle.entry,)
    assert {f.name for f in fields(Game) if getattr(after, f.name) != getattr(middle, f.name)} == {
        "misfits"
    }


def test_a_substitute_who_was_not_there_is_a_misfit(play: Play) -> None:
    assert apply(play.game, events.SubLeft(HOME)).misfits == (0,)


# --- free throws ------------------------------------------------------------


def owed_after(play: Play, award: Award, *made: bool) -> list[int]:
    """Throws still owed after each of these throws."""
    play.take(Foul(GUEST, "14", award=award))
    found = []
    for each in made:
        play.take(Shot(each, HOME, "4"))
        found.append(sum(owed.left for owed in play.game.owed))
    return found


@pytest.mark.parametrize(
    ("award", "made", "left"),
    [
        (Award.TWO, (True, False), [1, 0]),
        (Award.TWO, (False, True), [1, 0]),
        (Award.THREE, (False, False, True), [2, 1, 0]),
        (Award.ONE, (True,), [0]),
        # One-and-one: a second throw only if the first is made.
        (Award.ONE_AND_ONE, (True, False), [1, 0]),
        (Award.ONE_AND_ONE, (False,), [0]),
    ],
)
def test_throws_are_taken_until_none_is_left(
    running: Play, award: Award, made: tuple[bool, ...], left: list[int]
) -> None:
    assert owed_after(running, award, *made) == left


def test_a_throw_of_the_other_team_leaves_what_is_owed(running: Play) -> None:
    running.take(Foul(GUEST, "14", award=Award.TWO), Shot(True, GUEST, "14"))
    assert [owed.left for owed in running.game.owed] == [2]


def test_two_awards_are_taken_in_their_order(running: Play) -> None:
    # FIBA case 35-8: two for each team, from different fouls.
    running.take(Foul(GUEST, "14", award=Award.TWO), Foul(HOME, "4", award=Award.TWO))
    running.take(Shot(True, GUEST, "14"), Shot(True, HOME, "4"))
    assert [(owed.team, owed.left) for owed in running.game.owed] == [(HOME, 1), (GUEST, 1)]


def test_a_new_award_for_the_same_foul_counts_throws_already_taken(running: Play) -> None:
    # NFHS case 2.10.1E: throws taken under a wrong count are set right.
    running.take(Foul(GUEST, "14", award=Award.TWO), Shot(True, HOME, "4"))
    game = apply(running.game, events.ThrowsAwarded(20, HOME, Award.THREE))
    assert [(owed.left, owed.shooter) for owed in game.owed] == [(2, "4")]
    assert apply(game, events.ThrowsAwarded(20, HOME, Award.ONE)).owed == ()


def test_a_number_given_to_a_throw_is_the_rest_of_the_throws_shooter(running: Play) -> None:
    running.take(Foul(GUEST, "14", award=Award.THREE), Shot(True, HOME), Number("4"))
    running.take(Shot(True))
    assert [goal.number for goal in running.game.goals] == ["4", "4"]


def test_an_older_throws_number_names_no_shooter(running: Play) -> None:
    running.take(Foul(GUEST, "14", award=Award.TWO), Shot(True, HOME), Shot(False, HOME, "5"))
    running.take(Number("4"), Foul(GUEST, "14", award=Award.TWO), Shot(False, HOME))
    running.take(MakeNumber("7"), Shot(False, HOME))
    assert [goal.number for goal in running.game.goals] == ["4", "5", "7", "7"]


# --- clock and phases ------------------------------------------------------------


def test_the_clock_of_an_interval_that_is_set_opens_the_period(running: Play) -> None:
    ended = apply(running.game, events.PeriodEnded(1, 5))
    again = apply(ended, events.ClockSet(8, 9))
    assert (again.phase, again.clock) == (Phase.STOPPED, Clock(8))


def test_a_running_clock_that_is_set_runs_on(running: Play) -> None:
    assert apply(running.game, events.ClockSet(8, 9)).clock == Clock(8, since_ms=9)


def test_a_running_clock_is_stopped(running: Play) -> None:
    after = apply(running.game, events.ClockStopped(4700))
    assert (after.phase, after.clock, after.ball_dead) == (Phase.STOPPED, Clock(4700), True)


def test_a_new_time_out_has_its_own_reminders_and_an_interval_keeps_its(running: Play) -> None:
    running.take(Timeout(HOME))
    reminded = apply(running.game, events.Reminded(Moment.TIMEOUT_END))
    again = apply(reminded, events.TimeoutGranted(90, GUEST, "full", 1, 100, 5))
    assert again.reminded == ()
    interval = apply(
        apply(reminded, events.PeriodEnded(1, 5)), events.Reminded(Moment.INTERVAL_END)
    )
    late = apply(interval, events.TimeoutGranted(90, GUEST, "full", 1, 100, 5))
    assert (late.phase, late.reminded) == (Phase.INTERVAL, ("interval-end",))


def test_the_officials_time_out_grants_no_teams_request(running: Play) -> None:
    game = apply(running.game, events.TimeoutAsked(HOME))
    granted = apply(game, events.TimeoutGranted(90, None, "", 1, 100, 5))
    assert granted.timeouts_asked == (HOME,)


def test_a_time_out_ends_only_once(running: Play) -> None:
    running.take(OfficialTimeout())
    ended = apply(running.game, events.TimeoutEnded())
    assert ended.phase is Phase.STOPPED
    assert apply(ended, events.TimeoutEnded()) == ended


# --- teams ------------------------------------------------------------


def test_a_foul_moved_moves_its_throws_alone(running: Play) -> None:
    running.take(Foul(GUEST, "14", award=Award.TWO), Foul(GUEST, "15", award=Award.ONE))
    after = apply(running.game, events.TeamChanged(20, HOME, None))
    assert [(owed.foul, owed.team) for owed in after.owed] == [(20, GUEST), (30, HOME)]


def test_a_time_out_moved_keeps_its_kind(running: Play) -> None:
    running.take(Timeout(HOME, "thirty"))
    line = apply(running.game, events.TeamChanged(20, GUEST, None)).timeouts[0]
    assert (line.team, line.kind) == (GUEST, "thirty")


def test_points_changed_make_a_throw_or_a_field_goal_of_it(running: Play) -> None:
    running.take(Score(HOME, 2, "4"))
    throw = apply(running.game, events.PointsChanged(20, 1))
    assert throw.goals[0].free_throw
    assert not apply(throw, events.PointsChanged(20, 3)).goals[0].free_throw


def court(game: Game, team: Team = HOME) -> Any:
    return dict(game.on_court).get(team)


def test_who_is_on_court_begins_with_the_starters(play: Play) -> None:
    for number in ("4", "5", "7", "10", "11"):
        play.book(StartPeriod(), (events.StarterNamed(HOME, number),))
    assert court(play.game) is None
    game = apply(play.game, events.Substituted(HOME, "12", "5"))
    assert court(game) == ("4", "7", "10", "11", "12")
    assert court(apply(game, events.Substituted(HOME, "5", "12"))) == ("4", "7", "10", "11", "5")


def test_both_teams_courts_are_kept_in_one_order(play: Play) -> None:
    game = apply(play.game, events.Substituted(GUEST, "14", "15"))
    game = apply(game, events.Substituted(HOME, "4", "5"))
    assert [team for team, _ in game.on_court] == [HOME, GUEST]


def test_who_enters_waits_no_longer(running: Play) -> None:
    running.take(SubWaiting(), SubWaiting(HOME), SubWaiting(GUEST))
    game = apply(running.game, events.Substituted(HOME, "4", "5"))
    assert game.subs_waiting == (None, GUEST)
    game = apply(game, events.Substituted(HOME, "5", "4"))
    assert game.subs_waiting == (GUEST,)
    assert apply(game, events.Substituted(HOME, "4", "5")).subs_waiting == (GUEST,)
