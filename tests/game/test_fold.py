"""The journal folded: what was taken back is left out, but a clock that was stopped stands."""

from __future__ import annotations

from dataclasses import replace

import pytest

from callout.game.calls import (
    AdjustClock,
    Call,
    ClockExpired,
    EndGame,
    EndPeriod,
    Foul,
    HeldBall,
    Number,
    PutBack,
    Reminder,
    Score,
    SetClock,
    Shot,
    StartClock,
    StartPeriod,
    StopClock,
    SwitchArrow,
    Timeout,
    TimeoutOver,
    Tip,
    Undo,
)
from callout.game.due import due
from callout.game.events import PeriodEnded, PutBackIn, TakenBack
from callout.game.fold import Entry, advance, fold, new_game, turned_by_clock
from callout.game.game_clock import Clock
from callout.game.profile.file import load_profile
from callout.game.profile.profile import Profile
from callout.game.sources import CLOCK
from callout.game.state import Owner, Phase, Side
from callout.game.terms import Award, Moment
from tests.game.play import GUEST, HOME, Play


def test_a_new_game_waits_with_its_first_periods_clock(profile: Profile) -> None:
    game = new_game(profile, Side("Kites"), Side("Foxes"), Owner.FOLLOW)
    assert (game.phase, game.period, game.owner) == (Phase.BEFORE, 0, Owner.FOLLOW)
    assert game.clock.left_tenths == profile.length_tenths(1)


def test_undo_passes_over_the_clock_and_what_comes_by_itself(running: Play) -> None:
    running.take(Score(HOME, 2)).stop().start().to_left(1, 0).take(ClockExpired())
    running.take(Reminder(Moment.INTERVAL_WARNING), Undo())
    assert running.entries[-1].events == (TakenBack(2),)
    assert running.game.phase is Phase.INTERVAL


# Where to begin or end a period is taken back, the source is common practice: no rule book says
# how a table puts its own slip right, and FIBA 49 and NFHS 2-12 leave the clock to the timer.


@pytest.mark.parametrize("ending", [EndPeriod(), EndGame()])
def test_a_period_ended_by_mistake_goes_on_where_it_stood(profile: Profile, ending: Call) -> None:
    play = Play(profile).start().take(Tip(HOME)).wait(9).take(Score(HOME, 2), ending, Undo())
    assert play.entries[-1].events == (TakenBack(4),)
    assert (play.game.phase, play.game.period) == (Phase.STOPPED, 1)
    assert play.game.arrow is (GUEST if profile.arrow.used else None)
    assert play.game.clock == Clock(profile.length_tenths(1) - 90)
    assert play.score == (2, 0)
    told = play.told("undone_end").slots
    assert (told["nth"], told["left_tenths"]) == (1, profile.length_tenths(1) - 90)
    assert play.said() == ["undone_end"]
    play.take(Undo())
    assert play.score == (0, 0)


def test_a_period_ended_in_a_time_out_goes_on_in_it(running: Play) -> None:
    running.wait(9).take(Timeout(HOME)).wait(5).take(EndPeriod(), Undo())
    assert running.game.phase is Phase.TIMEOUT
    assert [each.wall_ms - running.now_ms for each in due(running.game)] == [40_000, 55_000]


def test_without_a_clock_no_time_is_told_of_a_period_that_goes_on() -> None:
    play = Play(load_profile("nfhs-2026"), Owner.NONE)
    play.take(StartPeriod(), EndPeriod(), Undo())
    assert play.told("undone_end").slots["left_tenths"] is None


@pytest.mark.parametrize("beginning", [StartClock(), StartPeriod()])
def test_a_period_begun_by_mistake_is_taken_back_whole(profile: Profile, beginning: Call) -> None:
    play = Play(profile).start().take(Tip(HOME)).wait(9).take(Score(HOME, 2), EndPeriod())
    before = play.game
    play.wait(20).take(beginning, Undo())
    assert play.entries[-1].events == (TakenBack(before.entry + 1),)
    assert play.said() == ["undone_start"]
    after = play.game
    assert (after.phase, after.period, after.arrow) == (Phase.INTERVAL, 1, before.arrow)
    assert (after.clock, after.starts, after.reminded) == (before.clock, before.starts, ())
    assert after.interval_since_ms == before.interval_since_ms


def test_a_clock_stopped_after_such_a_slip_is_no_clock_of_the_interval(running: Play) -> None:
    running.wait(9).take(EndPeriod()).wait(20).start().wait(3).stop().take(Undo())
    assert (running.game.phase, running.game.clock) == (Phase.INTERVAL, Clock(0))


def test_a_period_that_has_been_played_is_not_taken_back(running: Play) -> None:
    running.take(Score(HOME, 2), EndPeriod()).start().wait(61).take(Undo())
    assert running.entries[-1].events == (TakenBack(2),)


def test_neither_is_one_in_which_the_clock_was_started_again(running: Play) -> None:
    running.take(Score(HOME, 2), EndPeriod(), StartPeriod()).start().stop().start().take(Undo())
    assert running.entries[-1].events == (TakenBack(2),)


def test_nor_one_that_has_run_out(running: Play) -> None:
    running.take(EndPeriod()).start().take(ClockExpired())
    assert running.refusal(Undo()) == "nothing_to_undo"


def test_what_the_clock_asked_and_a_person_answered_may_be_taken_back(running: Play) -> None:
    ending = Entry(2, EndPeriod(), "clock", running.at(), (PeriodEnded(1, running.now_ms),))
    running.game = advance(running.begin, running.entries, running.game, ending)
    running.entries.append(ending)
    running.take(Undo())
    assert (running.game.phase, running.game.period) == (Phase.RUNNING, 1)


def test_an_end_is_put_back_unless_play_has_gone_on(running: Play) -> None:
    running.take(EndPeriod(), Undo(), PutBack())
    assert running.game.phase is Phase.INTERVAL
    running.take(Undo()).start()
    assert running.refusal(PutBack()) == "played_on"


def test_a_start_is_put_back_with_the_time_that_has_passed(running: Play) -> None:
    running.take(EndPeriod()).start().take(Undo()).wait(7).take(PutBack())
    assert (running.game.phase, running.game.period) == (Phase.RUNNING, 2)
    assert running.at().left_tenths == 4730


def test_a_time_out_misheard_in_another_leaves_that_one_running(running: Play) -> None:
    running.wait(9).take(Timeout(HOME)).wait(20).take(Timeout(GUEST), Undo())
    assert running.game.phase is Phase.TIMEOUT
    assert [each.wall_ms - running.now_ms for each in due(running.game)] == [25_000, 40_000]


def test_undo_passes_over_a_time_outs_end(running: Play) -> None:
    running.take(Timeout(HOME), TimeoutOver(), Undo())
    assert running.entries[-1].events == (TakenBack(2),)
    assert running.game.timeouts == ()
    assert running.game.phase is Phase.STOPPED


def test_a_time_out_taken_back_does_not_start_the_clock(running: Play) -> None:
    running.wait(9).take(Timeout(HOME), Undo())
    assert (running.game.phase, running.game.clock.left_tenths) == (Phase.STOPPED, 4710)


def test_a_clock_setting_is_taken_back_like_any_entry(running: Play) -> None:
    running.stop().take(SetClock(4000), AdjustClock(-10), Undo(), Undo())
    assert running.game.clock.left_tenths == 4800


def test_what_completed_a_line_taken_back_no_longer_fits(running: Play) -> None:
    running.take(Score(HOME, 2), Number("5"))
    running.book(Undo(), (TakenBack(2),))
    assert running.game.misfits == (3,)
    assert running.told("misfit")
    running.book(PutBack(), (PutBackIn(2),))
    assert not running.game.misfits
    assert running.game.goals[0].number == "5"


def test_a_throw_taken_back_in_play_is_owed_no_more(running: Play) -> None:
    running.stop().take(Foul(GUEST, "14", award=Award.TWO), Shot(True, HOME), Shot(False, HOME))
    running.start().take(Undo())
    assert running.score == (1, 0)
    assert running.game.owed == ()


def test_undo_and_put_back_are_undone_by_each_other(running: Play) -> None:
    running.take(Score(HOME, 2))
    booked = running.game.goals
    running.take(Undo(), PutBack())
    assert running.game.goals == booked
    running.take(Undo())
    assert running.game.goals == ()
    assert running.game.taken_back == (2,)


def test_the_books_lines_name_their_calls(running: Play) -> None:
    running.take(Score(HOME, 2)).stop()
    assert [(line.entry, line.call, line.undoable) for line in running.game.lines] == [
        (1, "start_clock", True),
        (2, "score", True),
        (3, "stop_clock", False),
    ]


def test_items_keep_their_names_whatever_is_taken_back(running: Play) -> None:
    running.take(Score(HOME, 2), Foul(GUEST, "14"), Undo(), Undo(), Score(HOME, 3))
    assert [goal.item for goal in running.game.goals] == [60]


def test_one_more_entry_is_the_same_as_the_whole_fold(running: Play) -> None:
    running.take(Score(HOME, 2), Foul(GUEST, "14"), Undo())
    *rest, last = running.entries
    before = fold(running.begin, rest)
    assert advance(running.begin, rest, before, last) == fold(running.begin, running.entries)


def test_a_fold_may_go_on_from_any_game(running: Play) -> None:
    running.take(Score(HOME, 2), Score(GUEST, 3))
    half = fold(running.begin, running.entries[:2])
    assert fold(half, running.entries[2:]) == running.game


def test_an_undone_foul_no_longer_ends_the_throw_in_that_the_clock_has_ended(
    running: Play,
) -> None:
    """NFHS 6-4: a foul keeps the arrow for the team; without one the throw-in turned it."""
    running.take(Tip(HOME), StopClock(), HeldBall(), Foul(HOME, "4"), StartClock())
    assert running.game.arrow is GUEST
    assert running.take(Undo()).game.arrow is HOME
    assert running.said() == ["undone_foul", "arrow"]
    assert running.take(PutBack()).game.arrow is GUEST


def test_an_undone_held_ball_gives_back_the_arrow_that_the_clock_turned(running: Play) -> None:
    """NFHS 6-4, FIBA 12.6: the arrow turns by a throw-in, and of this one nothing is left."""
    running.take(Tip(HOME), StopClock(), HeldBall(), StartClock())
    assert running.game.arrow is HOME
    assert running.take(Undo()).game.arrow is GUEST
    assert running.told("undone_held").slots["arrow"] is GUEST
    assert running.take(PutBack()).game.arrow is HOME
    assert running.told("arrow").slots == {"team": HOME}


def test_the_clock_turns_the_arrow_and_a_person_who_calls_it_is_told_apart(running: Play) -> None:
    running.take(Tip(HOME))
    assert not turned_by_clock(running.entries[-1]), "first control sets it"
    running.take(StopClock(), HeldBall(), StartClock())
    assert turned_by_clock(running.entries[-1])
    running.take(SwitchArrow())
    assert not turned_by_clock(running.entries[-1])
    assert turned_by_clock(replace(running.entries[-1], source=CLOCK)), "its throw-in was over"
    running.take(StopClock(), StartClock())
    assert not turned_by_clock(running.entries[-1]), "there was no throw-in to end"
