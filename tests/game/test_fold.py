"""The journal folded: what was taken back is left out, the clock never."""

from __future__ import annotations

from callout.game.calls import (
    AdjustClock,
    EndPeriod,
    Foul,
    Number,
    PutBack,
    Reminder,
    Score,
    SetClock,
    Timeout,
    TimeoutOver,
    Undo,
)
from callout.game.events import PutBackIn, TakenBack
from callout.game.fold import advance, fold, new_game
from callout.game.profile import Profile
from callout.game.state import Owner, Phase, Side
from callout.game.terms import Moment

from .play import GUEST, HOME, Play


def test_a_new_game_waits_with_its_first_periods_clock(profile: Profile) -> None:
    game = new_game(profile, Side("Kites"), Side("Foxes"), Owner.FOLLOW)
    assert (game.phase, game.period, game.owner) == (Phase.BEFORE, 0, Owner.FOLLOW)
    assert game.clock.left_tenths == profile.length_tenths(1)


def test_undo_passes_over_the_clock_and_what_comes_by_itself(running: Play) -> None:
    running.take(Score(HOME, 2)).stop().start().take(EndPeriod())
    running.take(Reminder(Moment.INTERVAL_WARNING), Undo())
    assert running.entries[-1].events == (TakenBack(2),)
    assert running.game.phase is Phase.INTERVAL


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
    assert running.game.misfits == ()
    assert running.game.goals[0].number == "5"


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
        (1, "start_clock", False),
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
