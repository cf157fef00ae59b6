"""The listener itself: for each of its complaints a reply that must never be given."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from callout.game import calls, events
from callout.game.calls import Call
from callout.game.fold import Entry, fold, new_game
from callout.game.kind import Rank
from callout.game.profile.file import load_profile
from callout.game.state import At, Game, Phase, Side
from callout.game.terms import Award, FoulKind, Offender, Team
from callout.table.speech.reply import Reply, Said, Sort
from tests.faults.listener import Listener, apart, score, shirt, value
from tests.table.play import GUEST, HOME

START = new_game(load_profile("nfhs-2026"), Side("Kites", HOME), Side("Foxes", GUEST))
ALL = tuple[events.Event, ...]
RUNS: ALL = (events.PeriodStarted(1, 4_800, None), events.ClockStarted(4_800, 0))
STANDS: ALL = (*RUNS, events.ClockStopped(4_000))
FOUL: ALL = (events.FoulCharged(20, Team.GUEST, "14", FoulKind.PERSONAL, Offender.PLAYER, 1, 4_000),
             events.ThrowsAwarded(20, Team.HOME, Award.TWO))  # fmt: skip
SCORED = events.Scored(30, Team.HOME, 2, "5", 1, 3_900)


def entries(*each: ALL) -> list[Entry]:
    call: Call = calls.Mark()
    return [Entry(n, call, "key", At(4_000, 0), found) for n, found in enumerate(each, start=1)]


def said(text: str, kind: str = "goal", entry: int | None = 2) -> Said:
    return Said(Sort.NOTICE, kind, Rank.ECHO, "", text, 1, 4_000, 0, entry)


def heard(made: Sequence[Entry], *replies: Reply) -> list[str]:
    listener, game = Listener(), fold(START, made)
    for reply in replies:
        listener.hear(reply, made, game, 0)
    return [each.partition(":")[0] for each in listener.complaints]


@pytest.mark.parametrize(
    ("words", "number"),
    [("zero", 0), ("nothing", 0), ("ninety nine", 99), ("one hundred", 100),
     ("two hundred five", 205), ("nine hundred ninety nine", 999)],
)  # fmt: skip
def test_numbers_are_read_back(words: str, number: int) -> None:
    assert value(words) == number


@pytest.mark.parametrize(
    ("words", "number"),
    [("five", "5"), ("one three", "13"), ("twenty three", "23"), ("double zero", "00")],
)
def test_shirts_are_read_back(words: str, number: str) -> None:
    assert shirt(words) == number


@pytest.mark.parametrize(
    ("text", "kind", "wrong"),
    [
        ("Home two. Two, nothing.", "goal", []),
        ("Home two. Ninety eight, nothing.", "goal", ["the score is 2, 0"]),
        ("Home two. 2, 0.", "goal", ["not words"]),
        ("Home minus one.", "foul", ["not words"]),
        ("Home time-out, full. Ninety nine left.", "timeout", ["more time-outs than anyone has"]),
        ("Stopped, five. Ninety nine left.", "clock_stopped", []),
        ("Home foul. Team three.", "foul", ["more team fouls than there were fouls"]),
        ("Scores level, three, two. Overtime.", "level", ["the score is 2, 0"]),
    ],
)
def test_a_wrong_number_is_heard(text: str, kind: str, wrong: list[str]) -> None:
    made = entries(RUNS, (SCORED,))
    assert heard(made, Reply((said(text, kind),), (2,))) == wrong


@pytest.mark.parametrize(
    ("texts", "wrong"),
    [
        (("Two shots and the ball, home.", "Two shots, guest."), []),
        (("Two shots and the ball, home.", "Two shots and the ball, guest."),
         ["a thing and its contrary"]),
        (("Home shots not booked: two.", "Home shots not booked: two."), ["twice in one breath"]),
        (("Home lost an unused time-out. Two left.", "Undone: home time-out. Three left."),
         ["two numbers for home"]),
        (("Home lost an unused time-out. Two left.", "Guest lost an unused time-out. One left."),
         []),
        (("Scores level. Overtime.", "If that is all, say end game."),
         ["a thing and its contrary"]),
    ],
)  # fmt: skip
def test_what_contradicts_itself_in_one_breath_is_heard(
    texts: tuple[str, ...], wrong: list[str]
) -> None:
    reply = Reply(tuple(said(text, "timeout") for text in texts), (2,))
    assert heard(entries(RUNS, (SCORED,)), reply) == wrong


def test_two_lines_of_the_book_may_have_the_same_words() -> None:
    line = said("Number open: first quarter, seven even, home free throw.", "number_is_open")
    assert heard(entries(RUNS, (SCORED,)), Reply((line, line), (2,))) == []


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("Time-outs guest, then home. Subs both. Horn.",
         ["Guest wants a time-out. Horn.", "Home wants a time-out. Horn.",
          "Home sub waiting. Horn.", "Guest sub waiting. Horn."]),
        ("Time-out home. Sub waiting. Horn.",
         ["Home wants a time-out. Horn.", "Sub waiting. Horn."]),
        ("Sub guest. Horn.", ["Guest sub waiting. Horn."]),
        ("Sub waiting. Horn.", ["Sub waiting. Horn."]),
        ("Guest wants a time-out. Horn.", ["Guest wants a time-out. Horn."]),
        ("Time-out is over. Horn.", ["Time-out is over. Horn."]),
    ],
)  # fmt: skip
def test_one_sentence_for_several_is_heard_as_one_for_each(text: str, parts: list[str]) -> None:
    assert apart(text) == parts


SHOTS, OUT, BASKET = "Two shots, home.", "Guest one four is out.", "That basket stops the clock."
WANTS, SUB = "Home wants a time-out. Horn.", "Home sub waiting. Horn."
ASKED = (events.TimeoutAsked(Team.HOME), events.SubReported(Team.HOME))
GRANTED = events.TimeoutGranted(30, Team.HOME, "full", 1, 4_000, 0)


@pytest.mark.parametrize(
    ("text", "made", "wrong"),
    [
        (SHOTS, (STANDS, FOUL), []),
        (SHOTS, (STANDS, FOUL, (events.ClockStarted(4_000, 0),)), ["again though play went on"]),
        (SHOTS, (STANDS, FOUL, (SCORED,)), ["again after a goal"]),
        (SHOTS, (STANDS, FOUL, (events.FreeThrow(30, Team.HOME, True, "5", 1, 4_000),)),
         ["again though throws were taken"]),
        (OUT, (STANDS, FOUL), []),
        (OUT, (RUNS, FOUL), ["again in play"]),
        (OUT, (STANDS, FOUL, (events.Substituted(Team.GUEST, "3", "14"),)),
         ["again though another came in"]),
        (OUT, (STANDS, FOUL, (events.PeriodEnded(1, 0), events.PeriodStarted(2, 4_800, None))),
         ["again in a later period"]),
        (BASKET, (RUNS, FOUL), []),
        ("Clock is running.", (RUNS, FOUL), []),
        ("Clock is running.", (STANDS, FOUL), ["again though the clock stands"]),
        ("Clock is stopped.", (STANDS, (SCORED,)), []),
        ("Clock is stopped.", (RUNS, (SCORED,)), ["again though the clock runs"]),
        (BASKET, (STANDS, FOUL), ["again though the clock stands"]),
        (WANTS, (STANDS, ASKED), []),
        (WANTS, (STANDS, ASKED, (GRANTED,)), ["again though nobody wants one"]),
        (SUB, (STANDS, ASKED), []),
        (SUB, (STANDS, ASKED, (events.SubsEntered(),)), ["again though they are in"]),
        (SUB, (STANDS, ASKED, (events.PeriodEnded(1, 0),)), ["a horn in an interval"]),
        (SUB, (STANDS, ASKED, (events.GameEnded(),)), ["again with no game on"]),
        (SUB, (STANDS, FOUL), ["again though nobody waits"]),
    ],
)  # fmt: skip
def test_what_is_repeated_after_it_is_done_is_heard(
    text: str, made: tuple[ALL, ...], wrong: list[str]
) -> None:
    new = Reply((said(text, "player_out"),), (2,))
    assert heard(entries(*made), new, Reply(repeated=(text,))) == wrong


def test_what_is_repeated_twice_at_one_stop_is_heard() -> None:
    new, again = Reply((said(SHOTS, "shots_owed"),), (2,)), Reply(repeated=(SHOTS,))
    made = entries(STANDS, FOUL)
    assert heard(made, new, again, again) == ["more than once more at one stop"]
    assert heard(made, again) == ["again, and never said before"]


def test_the_score_is_added_up_by_itself() -> None:
    goals: list[tuple[int, events.Event]] = [
        (2, SCORED), (4, events.Scored(40, Team.GUEST, 3, None, 1, 3_800)),
        (5, events.FreeThrow(50, Team.HOME, True, "5", 1, 3_800)),
        (6, events.FreeThrow(60, Team.HOME, False, "5", 1, 3_800)),
        (7, events.TeamChanged(30, Team.GUEST, None)), (8, events.PointsChanged(40, 2)),
        (9, events.ScoreSet(90, Team.HOME, 7, 1)), (10, events.BasketCancelled(40)),
    ]  # fmt: skip
    assert score(goals) == {Team.HOME: 7, Team.GUEST: 2}
    # A throw that a lane violation made void brought its point before the score was set.
    assert score([*goals, (11, events.ThrowVoided(50))]) == {Team.HOME: 6, Team.GUEST: 2}


def test_a_game_that_is_over_is_over() -> None:
    game: Game = fold(START, entries(STANDS, (events.GameEnded(),)))
    assert game.phase is Phase.OVER
