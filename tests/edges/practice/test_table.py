"""Practice as scripts play it: good, slow and sloppy users, by keys, by voice and typed."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Any

import pytest

from callout.game import calls
from callout.practice.judge import Outcome
from callout.practice.report import Report
from callout.table.speech.announcer import speech_ms
from tests.practised import GOOD, SLOPPY, SLOW, TELLS_MS, Practised, User

TOLERANCE_MS = 50


@pytest.fixture
def practised() -> Iterator[list[Practised]]:
    """Practices to be closed."""
    made: list[Practised] = []
    yield made
    for each in made:
        each.close()


def played(made: list[Practised], user: User, means: str, level: int = 3) -> Report:
    made.append(Practised.at(level, minutes=0.8) if level else Practised.lesson())
    return made[-1].play(user, means)


def off_ms(practice: Practised) -> list[int]:
    """By how much each measured reaction differs from the script's."""
    judged = practice.table.rehearsal.done.judged
    return [
        abs((each.reaction_ms or 0) - practice.delays[at])
        for at, each in enumerate(judged)
        if each.called is not None
    ]


@pytest.mark.parametrize("means", ["keys", "voice", "typed"])
def test_a_good_user_is_told_nothing_and_timed_exactly(
    practised: list[Practised], means: str
) -> None:
    done = played(practised, GOOD(), means)
    assert done.whole.count >= 8
    assert done.whole.right == done.whole.count
    assert (done.extra, practised[0].coached()) == (0, [])
    off = off_ms(practised[0])
    assert len(off) == done.whole.count
    assert max(off) <= TOLERANCE_MS
    assert done.spoken == (1.0 if means == "voice" else 0.0)


def test_a_slow_user_is_late_and_timed_exactly(practised: list[Practised]) -> None:
    done = played(practised, SLOW(), "keys", level=2)
    assert done.whole.late >= 0.7 * done.whole.count
    assert done.whole.wrong == 0
    assert done.median_ms is not None
    assert done.median_ms > 4_000
    assert sum("late" in each for each in practised[0].coached()) == done.whole.late


def test_a_sloppy_user_is_told_each_mistake(practised: list[Practised]) -> None:
    done = played(practised, SLOPPY(seed=5), "keys")
    assert done.whole.missed >= 1
    assert done.whole.wrong >= 1
    assert done.median_ms is not None
    assert done.median_ms < 2_000
    said = practised[0].coached()
    assert sum(each.startswith("Missed") for each in said) == done.whole.missed
    assert any(each.startswith("You called") for each in said)


def test_the_three_reports_differ_as_they_should(practised: list[Practised]) -> None:
    users = (GOOD(), SLOW(), SLOPPY(seed=5))
    good, slow, sloppy = (played(practised, user, "keys") for user in users)
    assert good.whole.share > max(slow.whole.share, sloppy.whole.share)
    assert slow.median_ms is not None
    assert slow.median_ms > 2 * max(good.median_ms or 0, sloppy.median_ms or 0) > 0
    assert sloppy.whole.wrong + sloppy.whole.missed > slow.whole.wrong + slow.whole.missed


class Silent(User):
    """Calls nothing."""

    def on(self, play: Any) -> Iterator[Any]:
        """Nothing."""
        return iter(())


def test_who_says_nothing_misses_all_and_has_no_time(practised: list[Practised]) -> None:
    done = played(practised, Silent((0, 0)), "keys", level=2)
    assert done.whole.count == done.whole.missed > 3
    assert done.median_ms is None
    assert practised[0].table.session.game.goals == ()


def test_at_the_first_level_a_slow_user_is_waited_for(practised: list[Practised]) -> None:
    """Nobody else calls then, and the next play comes after the call."""
    done = played(practised, SLOW(), "keys", level=1)
    judged = practised[0].table.rehearsal.done.judged
    assert done.whole.missed == 0
    for each, then in pairwise(judged):
        if each.wanted.begun_ms < then.wanted.begun_ms:
            assert each.called is not None
            assert each.called.wall_ms <= then.wanted.begun_ms


def test_a_partner_keeps_the_clock_below_the_last_level(practised: list[Practised]) -> None:
    played(practised, GOOD(), "keys", level=1)
    sources = {
        entry.source
        for entry in practised[0].table.session.entries
        if isinstance(entry.call, calls.StartClock | calls.StopClock)
    }
    assert sources == {"script"}


def test_the_last_level_begins_late_in_a_close_game(practised: list[Practised]) -> None:
    played(practised, GOOD(), "keys")
    practice = practised[0]
    game = practice.table.session.game
    assert game.period == game.profile.periods.count
    by_user = {type(e.call) for e in practice.table.session.entries if e.source == "key"}
    assert {calls.StartClock, calls.StopClock} <= by_user


@pytest.mark.parametrize("means", ["keys", pytest.param("voice", marks=pytest.mark.thorough)])
def test_the_first_lesson_takes_three_minutes_at_most(
    practised: list[Practised], means: str
) -> None:
    """The ten calls of the README's table, in its fifteen forms."""
    done = played(practised, GOOD(), means, level=0)
    assert done.whole.right == done.whole.count == 15
    texts = [text for text, _ in practised[0].hall.told]
    spoken_ms = sum(speech_ms(text) - TELLS_MS for text in texts)
    assert practised[0].now_ms + spoken_ms < 180_000
    assert practised[0].coached() == ["Good."] * 15


def test_without_an_ear_a_lesson_names_the_keys_and_a_game_does_not(
    practised: list[Practised],
) -> None:
    played(practised, Silent((0, 0)), "keys", level=0)
    played(practised, Silent((0, 0)), "keys", level=1)
    lesson, game = ([text for text, _ in each.hall.told] for each in practised)
    assert any(text.endswith("Say: start clock. Or press tab.") for text in lesson)
    assert not any("press" in text for text in game)


def test_a_lesson_asks_once_more_and_goes_on(practised: list[Practised]) -> None:
    done = played(practised, Silent((0, 0)), "keys", level=0)
    said = practised[0].coached()
    assert any(each == "Once more. Say: start clock." for each in said)
    assert "Good." not in said
    assert done.whole.right == 0


def test_what_may_still_come_is_not_missed_at_the_end(practised: list[Practised]) -> None:
    practice = Practised.at(3)
    practised.append(practice)
    while not practice.hall.told:
        practice.wait(100)
    practice.hall.end()
    practice.wait(100)
    assert [each.outcome for each in practice.table.rehearsal.done.judged] == [Outcome.MISSED]
    assert practice.table.finished().judged == ()
