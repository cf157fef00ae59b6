"""What must be acted on: told twice at a stop, once at each later one, until it is done.

Source: common practice, no source; the design of this table.
"""

from __future__ import annotations

from dataclasses import replace

from callout.game.kind import Rank
from callout.game.notices import kinds
from callout.game.notices.kinds import Notice
from callout.table.speech.announcer import AGAIN_MS, HOLD_MS, Announcer, hold, say, wake_ms
from callout.table.speech.pending_notices import Pending
from callout.table.speech.reminders import acknowledge, due_again, remind, settle, waits, watch
from tests.table.speech.test_announcer import every, none, words

OUT = Notice(kinds.PLAYER_OUT, {"number": "11"})
BONUS = Notice(kinds.BONUS, {"team": "home"})


def pending(notice: Notice, entry: int = 1, again_ms: int | None = AGAIN_MS) -> Pending:
    return Pending(notice, notice.kind, entry, again_ms)


def test_a_notice_comes_once_more_and_then_at_the_next_stop() -> None:
    announcer = watch(Announcer(), pending(OUT))
    assert due_again(announcer, AGAIN_MS - 1, every)[1] == ()
    assert due_again(announcer, AGAIN_MS, none)[1] == ()
    assert wake_ms(announcer, every) == AGAIN_MS
    assert wake_ms(announcer, none) is None
    announcer, due = due_again(announcer, AGAIN_MS, every)
    assert [each.notice for each in due] == [OUT]
    assert due_again(announcer, 99 * AGAIN_MS, every)[1] == ()
    assert wake_ms(announcer, every) is None
    assert remind(announcer, none, 100 * AGAIN_MS) == announcer
    announcer = remind(announcer, every, 100 * AGAIN_MS)
    assert due_again(announcer, 100 * AGAIN_MS - 1, every)[1] == ()
    announcer, due = due_again(announcer, 100 * AGAIN_MS, every)
    assert [each.notice for each in due] == [OUT]
    assert due_again(announcer, 199 * AGAIN_MS, every)[1] == ()


def test_a_notice_that_was_acknowledged_comes_no_more() -> None:
    told = acknowledge(watch(Announcer(), pending(OUT)))
    assert told is not None
    assert due_again(told, 9 * AGAIN_MS, every) == (told, ())


def test_a_notice_that_is_told_once_never_comes_at_a_stop() -> None:
    announcer = watch(Announcer(), pending(BONUS, 2, None))
    assert remind(announcer, every, 0) == announcer


def test_a_notice_ends_when_the_thing_is_done() -> None:
    announcer = watch(watch(Announcer(), pending(OUT)), pending(BONUS, 2, None))
    after = settle(announcer, lambda each: each.notice == OUT)
    assert [each.notice for each in after.pending] == [BONUS]
    assert due_again(after, 99 * AGAIN_MS, every)[1] == ()


def test_what_is_done_is_not_said_any_more() -> None:
    said = words("Home eleven is out.", Rank.ACT, of=OUT)
    announcer, _ = say(Announcer(), words("Now.", Rank.ACT), 0)
    announcer, _ = say(announcer, said, 0)
    announcer, _ = hold(announcer, said, 0, HOLD_MS)
    announcer = watch(watch(announcer, pending(OUT)), pending(BONUS, 2, None))
    assert waits(announcer, OUT)
    assert not waits(announcer, BONUS)
    after = settle(announcer, lambda each: each.notice == OUT)
    assert not waits(after, OUT)
    assert [each.text for each in after.queue] == [""], "the tone of what was held"


def test_the_referee_is_told_all_of_the_newest_entry_at_once() -> None:
    announcer = watch(watch(Announcer(), pending(OUT, 7)), pending(BONUS, 8))
    announcer = watch(announcer, pending(replace(BONUS, kind=kinds.HALF_TIME), 8))
    told = acknowledge(announcer)
    assert told is not None
    assert [each.entry for each in told.pending] == [7]
    assert acknowledge(Announcer()) is None


def test_the_same_notice_comes_only_once_and_stays_where_the_newer_is_taken_back() -> None:
    announcer = watch(watch(Announcer(), pending(OUT, 1)), pending(replace(OUT), 4))
    announcer = remind(announcer, every, 5_000)
    after, due = due_again(announcer, 5_000, every)
    assert [each.entry for each in due] == [1]
    assert due_again(after, 99 * AGAIN_MS, every)[1] == ()
    undone = settle(announcer, lambda each: each.entry == 4)
    assert [each.entry for each in undone.pending] == [1]
    told = acknowledge(announcer)
    assert told is not None
    assert told.pending == ()
