"""Corrections are listed with what stood before, each once, and nothing else is."""

from __future__ import annotations

from callout.game.calls import (
    AddPlayer,
    Correct,
    Foul,
    HeldBall,
    LastTeam,
    MakeNumber,
    MakePoints,
    MakeTeam,
    NoBasket,
    Number,
    PutBack,
    Score,
    SetArrow,
    SetClock,
    SetScore,
    Substitution,
    SwitchArrow,
    Timeout,
    TimeoutOver,
    Tip,
    Undo,
)
from callout.game.decide import Refusal
from callout.game.put_right import PastEntries
from callout.game.terms import Team
from callout.paper.sheet.history import History, history
from tests.english import WORDS
from tests.game.play import GUEST, HOME, Play
from tests.paper.played import begin, end_game, end_period


def past(play: Play) -> History:
    return history(WORDS, play.begin, tuple(play.entries))


def told(play: Play) -> list[str]:
    return [f"{each.what} ({each.by})" for each in past(play).corrections]


def test_a_game_without_corrections_has_none() -> None:
    play = begin("fiba-2024").start().take(Tip(HOME)).wait(9).take(Score(HOME, 2, None))
    play.take(Number("5")).wait(9).stop().take(Foul(GUEST, "8"), Timeout(HOME))
    play.wait(60).take(TimeoutOver()).start()
    assert past(play).corrections == ()


def test_each_kind_of_correction_says_what_stood_before() -> None:
    play = begin("nfhs-2026").start().wait(80)
    play.take(Score(HOME, 3, "7"), MakePoints(2), MakeNumber("5"), MakeTeam(GUEST))
    assert told(play) == [
        "home basket of 3, number 7, Q1 6:40: now 2 (table, by script)",
        "home basket of 2, number 7, Q1 6:40: now number 5 (table, by script)",
        "home basket of 2, number 5, Q1 6:40: now guest, number 5 (table, by script)",
    ]


def test_what_the_officials_rule_is_told_as_theirs() -> None:
    play = begin("nfhs-2026").start().wait(80).take(Score(HOME, 2, "7"), NoBasket()).stop()
    play.take(SetScore(GUEST, 4), SetClock(3000))
    assert told(play) == [
        "does not count: home basket of 2, number 7, Q1 6:40 (officials, by script)",
        "guest score set to 4 (officials, by script)",
        "clock set to 5:00 from 6:40 (officials, by script)",
    ]


def test_an_undo_and_its_undoing_are_both_told() -> None:
    play = begin("nfhs-2026").start().wait(80).take(Score(HOME, 2, "7"), Undo(), PutBack())
    play.stop().take(Foul(GUEST, None), Undo(), Timeout(HOME), Undo())
    assert told(play) == [
        "taken back: home basket of 2, number 7, Q1 6:40 (table, by script)",
        "put back: home basket of 2, number 7, Q1 6:40 (table, by script)",
        "taken back: guest personal foul, number missing, Q1 6:40 (table, by script)",
        "taken back: home time-out, Q1 6:40 (table, by script)",
    ]


def test_a_correction_that_is_taken_back_is_told_twice() -> None:
    play = begin("nfhs-2026").start().wait(80)
    play.take(Score(HOME, 2, "5"), LastTeam(HOME, GUEST), Undo(), MakePoints(3))
    assert told(play) == [
        "home basket of 2, number 5, Q1 6:40: now guest, number 5 (table, by script)",
        "taken back: home basket of 2, number 5, Q1 6:40: now guest, number 5 (table, by script)",
        "home basket of 2, number 5, Q1 6:40: now 3 (table, by script)",
    ]


def test_an_older_line_that_is_put_right_is_told_with_what_it_was() -> None:
    play = begin("nfhs-2026").start().wait(80).take(Score(HOME, 2, "5"))
    line = play.game.goals[0].item
    play.wait(20).take(Score(GUEST, 2, "8"))
    for call in (Correct(line, points=3), Correct(line, off=True)):
        decision = PastEntries(play.begin, play.entries, play.game).corrected(call, play.at())
        assert not isinstance(decision, Refusal)
        play.book(call, decision)
    assert play.score == (0, 2)
    assert told(play) == [
        "home basket of 2, number 5, Q1 6:40: now home basket of 3, number 5, Q1 6:40"
        " (table, by script)",
        "home basket of 3, number 5, Q1 6:40: now taken off (table, by script)",
    ]


def test_when_it_was_made_is_the_moment_of_the_correction() -> None:
    play = begin("nfhs-2026").start().wait(80).take(Score(HOME, 2, "5"))
    end_period(play)
    made = play.wait(30).at().wall_ms
    play.take(SetScore(HOME, 3))
    (only,) = past(play).corrections
    assert (only.wall_ms, only.period, only.left_tenths) == (made, 1, 0)
    assert only.entry == play.game.entry


def test_a_late_name_and_the_arrow() -> None:
    play = begin("nfhs-2026").start().take(Tip(HOME)).wait(9)
    play.take(AddPlayer(HOME, "44")).stop().take(SetArrow(HOME))
    assert told(play) == [
        "number 44 added to the home list (table, by script)",
        "arrow set to home (table, by script)",
    ]


def test_the_arrow_turn_by_turn() -> None:
    """NFHS 6-4: the other team gets it after the tip; it turns when the throw-in ends."""
    play = begin("nfhs-2026").start().take(Tip(HOME)).wait(30).take(HeldBall()).take(SwitchArrow())
    assert past(play).arrow == ((1, Team.GUEST), (1, Team.HOME))


def test_who_came_in_and_when_the_game_began_and_ended() -> None:
    play = begin("fiba-2024").wait(7)
    began = play.at().wall_ms
    play.start().wait(9).stop().take(Substitution(HOME, "12", "4")).start()
    play.take(Score(HOME, 2, "5")).to_period(4)
    end_period(play)
    end_game(play)
    found = past(play)
    assert found.entered == {(Team.HOME, "12")}
    assert found.started_ms == began
    assert found.ended_ms == play.at().wall_ms


def test_substitutions_held_balls_and_tips_say_what_they_were() -> None:
    play = begin("fiba-2024").start().take(Tip(HOME), Substitution(HOME, "5", "7"), HeldBall())
    tip, sub, held = (each.item for each in play.game.moves)
    for right in (Correct(sub, number="4"), Correct(held, team=HOME), Correct(tip, off=True)):
        decision = PastEntries(play.begin, play.entries, play.game).corrected(right, play.at())
        assert not isinstance(decision, Refusal)
        play.book(right, decision)
    assert told(play) == [
        "home substitution, 5 for 7: now home substitution, 4 for 7 (table, by script)",
        "held ball, guest: now held ball, home (table, by script)",
        "home control: now taken off (table, by script)",
    ]
    # On the sheet player four has come in, and player five has not.
    assert past(play).entered == {(HOME, "4")}
