"""What is joined to one breath. Source: the design of what is said back."""

from __future__ import annotations

from callout.game.kind import Rank
from callout.game.notices.kinds import SUB_DUE, TIMEOUT_DUE, Notice
from callout.game.terms import Team
from callout.table.speech.announcer import Utterance, speech_ms
from callout.table.speech.breaths import LONGEST_MS, breaths, in_one, reworded

TIMEOUT = Notice(TIMEOUT_DUE, {"team": Team.HOME})
SUB = Notice(SUB_DUE, {"team": Team.GUEST})


def echo(text: str) -> Utterance:
    return Utterance(text, Rank.ECHO, made_ms=0)


def waits(notice: Notice) -> Utterance:
    return Utterance(notice.kind, notice.rank, made_ms=0, of=notice)


def words(waiting: object) -> str:
    assert isinstance(waiting, tuple | list)
    return " + ".join(notice.kind for notice in waiting)


def test_echoes_are_joined_while_they_stay_short() -> None:
    long = "word " * 20
    assert speech_ms(long) > LONGEST_MS
    joined = breaths([echo("Two."), echo("Five."), echo(""), echo(long)])
    assert [each.text for each in joined] == ["Two. Five.", long]


def test_what_is_urgent_is_a_breath_of_its_own() -> None:
    urgent = Utterance("Bonus.", Rank.TELL, made_ms=0)
    joined = breaths([echo("Two."), urgent, echo("Five.")])
    assert [each.text for each in joined] == ["Two.", "Bonus.", "Five."]


def test_all_that_waits_for_the_horn_is_said_in_the_place_of_the_first() -> None:
    made = in_one([echo("a"), waits(TIMEOUT), echo("b"), waits(SUB), waits(TIMEOUT)], words)
    assert [each.text for each in made] == ["a", "timeout_due + sub_due", "b"]
    assert made[1].notices == (TIMEOUT, SUB)


def test_one_that_waits_alone_keeps_its_words() -> None:
    said = (echo("a"), waits(SUB))
    assert in_one(said, words) == said


def test_what_has_lost_a_part_is_worded_anew() -> None:
    lost = Utterance("", Rank.ACT, made_ms=0, of=TIMEOUT, also=(SUB,))
    assert [each.text for each in reworded([lost, echo("")], words)] == [
        "timeout_due + sub_due",
        "",
    ]
