"""An entry of the past put right: which line is meant, and the book as if called rightly at once.

The reference of each correction is the same game with the right call in the place of the wrong one.
"""

from __future__ import annotations

import pytest

from callout.game import calls
from callout.game.calls import Call, Correct, DoubleFoul, Foul, PutRight, Score, Shot, Timeout
from callout.game.decide import Decisions, Refusal, decide
from callout.game.events import NumberGiven, Replaced
from callout.game.figures.fouls import is_out, player_fouls, team_fouls
from callout.game.figures.timeouts import timeouts_left
from callout.game.fold import fold
from callout.game.profile.file import load_profile
from callout.game.put_right import PastEntries
from callout.game.state import Game
from callout.game.terms import Award, FoulKind, Offender
from tests.game.play import GUEST, HOME, Play


def past(play: Play) -> PastEntries:
    return PastEntries(play.begin, play.entries, play.game)


def fitting(play: Play, call: PutRight) -> list[int]:
    """The entries of the lines that fit."""
    return [each.item // 10 for each in past(play).fitting(call)]


def right(play: Play, call: PutRight | Correct) -> Play:
    """Book the one correction that a description means."""
    correct = call if isinstance(call, Correct) else past(play).fitting(call)[0]
    decision = Decisions(play.game, past(play)).on(correct, play.at())
    assert not isinstance(decision, Refusal), decision
    play.book(correct, decision)
    return play


def refusal(play: Play, correct: Correct) -> str:
    decision = Decisions(play.game, past(play)).on(correct, play.at())
    assert isinstance(decision, Refusal)
    return decision.kind


def lines(game: Game) -> tuple[object, ...]:
    """All that a correction may change."""
    return (game.goals, game.charges, game.arrow, game.owed, game.timeouts, game.misfits)


def test_a_line_is_found_by_what_the_book_says_of_it(running: Play) -> None:
    running.take(Foul(HOME, "5"), Foul(GUEST, "5"), Foul(HOME, "4"), Score(HOME, 2, "5"))
    running.take(Score(HOME, 3, "5"), Shot(False, HOME, "5"), Timeout(HOME), Foul(HOME, "5"))
    assert fitting(running, PutRight(HOME, "foul", "5", to_number="10")) == [9, 2]
    assert fitting(running, PutRight(HOME, "foul", to=GUEST)) == [9, 4, 2]
    assert fitting(running, PutRight(HOME, "foul", to=GUEST, last=True)) == [9]
    assert fitting(running, PutRight(GUEST, "foul", "5", off=True)) == [3]
    assert fitting(running, PutRight(HOME, "basket", "5", to_number="4")) == [6, 5]
    assert fitting(running, PutRight(HOME, number="5", worth=3, points=2)) == [6]
    assert fitting(running, PutRight(HOME, "throw", "5", made=True)) == [7]
    assert fitting(running, PutRight(HOME, "timeout", to=GUEST)) == [8]
    assert fitting(running, PutRight(HOME, "timeout", off=True)) == [8]


@pytest.mark.parametrize(
    ("line", "given"),
    [
        (Score(HOME, 2, "5"), PutRight(HOME, "basket", to=GUEST)),
        (Foul(HOME, "5"), PutRight(HOME, "foul", to=GUEST)),
        (Shot(True, HOME, "5"), PutRight(HOME, "throw", to=GUEST)),
    ],
)
def test_the_number_of_a_line_given_to_the_other_team_is_assumed(
    running: Play, line: Call, given: PutRight
) -> None:
    """Common practice, no source: the number was called for a player of the other team."""
    running.take(Score(GUEST, 3), line, Timeout(HOME))
    right(running, given)
    assert running.refusal(calls.Number("5")) == "number_is_that"
    running.take(calls.Number("14"))
    assert running.entries[-1].events == (NumberGiven(30, "14"),)
    # What is named once is not changed; the older line has waited.
    running.take(calls.Number("5"))
    assert running.entries[-1].events == (NumberGiven(20, "5"),)
    assert fold(running.begin, running.entries) == running.game


def test_a_number_that_is_named_with_the_other_team_is_certain(running: Play) -> None:
    running.take(Score(HOME, 2, "5"))
    right(running, Correct(20, GUEST, "14"))
    assert running.refusal(calls.Number("5")) == "nothing_open"


def test_a_newer_line_without_a_number_comes_before_one_that_was_moved(running: Play) -> None:
    running.take(Score(HOME, 2, "5"), Score(GUEST, 3))
    right(running, PutRight(HOME, "basket", "5", to=GUEST))
    running.take(calls.Number("14"))
    assert running.entries[-1].events == (NumberGiven(30, "14"),)


def test_what_the_book_says_already_does_not_fit(running: Play) -> None:
    running.take(Score(HOME, 2, "5"), Foul(HOME, "4"), Shot(True, HOME, "5"), Timeout(GUEST))
    for call in (
        PutRight(HOME, "basket", "5", points=2),
        PutRight(HOME, "basket", "5", to_number="5"),
        PutRight(HOME, "basket", to=HOME),
        PutRight(HOME, "foul", "4", to_number="4"),
        PutRight(HOME, "throw", made=True),
        PutRight(GUEST, "timeout", to=GUEST),
        # Nor does what no line of that kind can be.
        PutRight(HOME, "foul", "4", made=True),
        PutRight(HOME, "basket", "5", made=False),
        PutRight(HOME, "basket", "5", foul=FoulKind.TECHNICAL),
        PutRight(HOME, "foul", "4", foul=FoulKind.PERSONAL),
        PutRight(GUEST, "timeout", foul=FoulKind.TECHNICAL),
        PutRight(GUEST, "timeout", "5", off=True),
        PutRight(HOME, "throw", "5", worth=1, points=2),
    ):
        assert fitting(running, call) == []
        assert Decisions(running.game, past(running)).refuses(call, running.at())
    assert Decisions(running.game).fitting(PutRight(HOME, "foul", off=True)) == ()


def test_a_period_may_be_named(running: Play) -> None:
    running.take(Foul(HOME, "5")).to_period(2).take(Foul(HOME, "5"))
    call = PutRight(HOME, "foul", "5", period=1, to_number="4")
    assert fitting(running, call) == [2]
    assert len(fitting(running, PutRight(HOME, "foul", "5", to_number="4"))) == 2


def test_three_is_points_for_a_basket_and_a_player_for_all_else(running: Play) -> None:
    running.take(Score(GUEST, 2, "8"), Foul(GUEST, "8"), Shot(True, GUEST, "8"))
    made = [
        past(running).fitting(PutRight(GUEST, entry, "8", points=3))[0]
        for entry in ("basket", "foul", "throw")
    ]
    assert [(each.number, each.points) for each in made] == [(None, 3), ("3", None), ("3", None)]
    running.take(Score(GUEST, 3, "8"))
    (of_three,) = past(running).fitting(PutRight(GUEST, "basket", "8", worth=3, points=3))
    assert (of_three.number, of_three.points) == ("3", None)


BEFORE = (Score(HOME, 2, "4"), Foul(GUEST, "14"))
AFTER = (Score(GUEST, 3, "8"), Foul(HOME, "7"), Shot(True, GUEST, "8"))


@pytest.mark.parametrize(
    ("wrong", "rightly", "call"),
    [
        (Foul(HOME, "5"), Foul(HOME, "4"), PutRight(HOME, "foul", "5", to_number="4")),
        (Foul(HOME, "5"), Foul(GUEST, "5"), PutRight(HOME, "foul", "5", to=GUEST)),
        (Foul(HOME, "10"), Foul(GUEST, "10"), PutRight(HOME, "foul", "10", to=GUEST)),
        (
            Foul(HOME, "5", FoulKind.TECHNICAL, award=Award.TWO),
            Foul(GUEST, "5", FoulKind.TECHNICAL, award=Award.TWO),
            PutRight(HOME, "foul", "5", to=GUEST),
        ),
        (
            Foul(HOME, foul=FoulKind.TECHNICAL, on=Offender.COACH),
            Foul(GUEST, foul=FoulKind.TECHNICAL, on=Offender.COACH),
            PutRight(HOME, "foul", to=GUEST),
        ),
        (
            Foul(HOME, "5"),
            Foul(HOME, "5", FoulKind.TECHNICAL),
            PutRight(HOME, "foul", "5", foul=FoulKind.TECHNICAL),
        ),
        (Score(HOME, 3, "5"), Score(HOME, 2, "5"), PutRight(HOME, "basket", "5", points=2)),
        (Score(HOME, 3, "5"), Score(HOME, 1, "5"), PutRight(HOME, "basket", "5", points=1)),
        (Score(HOME, 3, "5"), Score(GUEST, 3, "5"), PutRight(HOME, "basket", "5", to=GUEST)),
        (Score(HOME, 1, "5"), Score(HOME, 2, "5"), PutRight(HOME, number="5", worth=1, points=2)),
        (Shot(True, HOME, "5"), Shot(False, HOME, "5"), PutRight(HOME, "throw", made=False)),
        (Shot(True, HOME, "5"), Shot(True, HOME, "4"), PutRight(HOME, "throw", to_number="4")),
        (Timeout(HOME, "thirty"), Timeout(GUEST, "thirty"), PutRight(HOME, "timeout", to=GUEST)),
        (DoubleFoul("5", "8"), DoubleFoul("4", "8"), PutRight(HOME, "foul", "5", to_number="4")),
        (DoubleFoul("5", "8"), DoubleFoul("5", "3"), PutRight(GUEST, "foul", "8", to_number="3")),
    ],
)
def test_the_book_is_as_if_it_had_been_called_rightly(
    running: Play, wrong: Call, rightly: Call, call: PutRight
) -> None:
    reference = Play(running.game.profile).start()
    reference.now_ms = running.now_ms
    reference.take(*BEFORE, rightly, *AFTER)
    running.take(*BEFORE, wrong, *AFTER)
    right(running, past(running).fitting(call)[-1])
    assert lines(running.game) == lines(reference.game)
    assert running.game.misfits == ()


def test_what_was_taken_off_was_never_called(running: Play) -> None:
    running.take(Score(HOME, 2), calls.Number("5"), Foul(HOME), calls.Number("7"))
    running.take(calls.SetAward(Award.TWO), Timeout(GUEST))
    right(running, PutRight(HOME, "foul", "7", off=True))
    assert lines(running.game)[1::2] == ((), (), ())
    assert running.said() == ["undone_foul"]
    right(running, PutRight(HOME, "basket", "5", off=True))
    assert running.score == (0, 0)
    right(running, PutRight(GUEST, "timeout", off=True))
    assert timeouts_left(running.game, GUEST, 100) == timeouts_left(running.begin, GUEST, 100)
    # What is left of those entries is nothing that "undo" could take back.
    running.take(calls.Undo()).take(calls.Undo()).take(calls.Undo())
    assert running.score == (2, 0)
    assert team_fouls(running.game, HOME) == 1


def test_one_foul_of_a_double_foul_is_taken_off(running: Play) -> None:
    running.take(DoubleFoul("5", "8"), DoubleFoul("4", "3"))
    right(running, PutRight(HOME, "foul", "5", off=True))
    right(running, PutRight(GUEST, "foul", "3", off=True))
    found = [(charge.team, charge.number) for charge in running.game.charges]
    assert found == [(GUEST, "8"), (HOME, "4")]
    assert running.game.misfits == ()


def test_what_is_left_of_a_double_technical_is_technical(running: Play) -> None:
    running.take(DoubleFoul("5", "8", FoulKind.TECHNICAL))
    right(running, PutRight(HOME, "foul", "5", off=True))
    assert [charge.foul for charge in running.game.charges] == [FoulKind.TECHNICAL]
    # NFHS 4-19: alone it brings two throws.
    assert [(owed.team, owed.left) for owed in running.game.owed] == [(HOME, 2)]


def test_a_double_foul_stays_one_foul_of_each_team(running: Play) -> None:
    running.take(DoubleFoul("5", "8"))
    item = running.game.charges[0].item
    assert refusal(running, Correct(item, team=GUEST)) == "nothing_to_correct"


def test_throws_that_went_with_the_foul_go_with_it(running: Play) -> None:
    # The shooters were not named, so the throws went to the team that was owed them.
    running.take(
        Foul(HOME, "5", award=Award.TWO), Shot(True), Shot(False), calls.StopClock()
    ).start()
    right(running, PutRight(HOME, "foul", "5", to=GUEST))
    assert [(goal.team, goal.made) for goal in running.game.goals] == [(HOME, True), (HOME, False)]
    assert running.told("changed_too").slots["count"] == 2
    running.take(calls.Undo())
    assert running.score == (0, 1)
    assert running.said()[:1] == ["undone_change"]


def test_who_took_a_throw_is_kept_where_its_foul_is_taken_off(running: Play) -> None:
    running.take(Foul(GUEST, "14", award=Award.TWO), Shot(True, HOME), calls.Number("12"))
    running.take(Shot(False, HOME))
    right(running, PutRight(GUEST, "foul", "14", off=True))
    assert [(goal.number, goal.made) for goal in running.game.goals] == [
        ("12", True), ("12", False),
    ]  # fmt: skip


def test_what_was_said_to_be_a_teams_throw_stays_so(running: Play) -> None:
    running.take(Foul(HOME, "5", award=Award.TWO), Shot(True, GUEST, "8"))
    right(running, PutRight(HOME, "foul", "5", to=GUEST))
    assert running.score == (0, 1)
    assert "changed_too" not in running.said()


def test_a_foul_of_a_player_who_was_not_out_is_his_own_again() -> None:
    # FIBA 40 and interpretation 36-20: fouls of an excluded player are the coach's.
    play = Play(load_profile("fiba-2024")).start()
    play.take(*[Foul(HOME, "5")] * 5).wait(1).take(Foul(HOME, "5"))
    assert [charge.on for charge in play.game.charges][-1] is not Offender.PLAYER
    right(play, Correct(play.game.charges[0].item, number="4"))
    assert [charge.on for charge in play.game.charges][-1] is Offender.PLAYER
    assert player_fouls(play.game, HOME, "5") == 5
    assert is_out(play.game, HOME, "5")


def test_a_player_may_play_again_or_is_out_now(running: Play) -> None:
    # NFHS 4-14-2: five fouls are the limit.
    running.take(*[Foul(HOME, "5")] * 5, *[Foul(HOME, "4")] * 4)
    assert is_out(running.game, HOME, "5")
    right(running, PutRight(HOME, "foul", "5", to_number="4", last=True))
    assert running.told("may_play").slots == {"team": HOME, "number": "5"}
    assert running.told("player_out").slots["number"] == "4"
    # A line that is given to a player who is out.
    running.take(Score(HOME, 2, "5"))
    right(running, PutRight(HOME, "basket", to_number="4"))
    assert running.told("plays_though_out").slots["number"] == "4"
    right(running, PutRight(HOME, "basket", "4", points=3))
    assert "plays_though_out" not in running.said()


def test_a_bonus_that_is_no_longer_reached_is_told(running: Play) -> None:
    # NFHS 4-8-1: from the fifth foul of a quarter; the fourth was told as the last without throws.
    running.take(*[Foul(HOME, "5")] * 2, *[Foul(HOME, "7")] * 2)
    assert "bonus" in running.said()
    right(running, PutRight(HOME, "foul", "7", off=True, last=True))
    assert running.told("no_bonus").slots == {"team": HOME, "fouls": 3}
    running.take(Foul(HOME, "7"), calls.StopClock()).start()
    right(running, PutRight(HOME, "foul", "7", off=True, last=True))
    assert "bonus_off" in running.said()
    assert "no_bonus" not in running.said()


def test_what_cannot_be_is_refused(running: Play) -> None:
    running.take(Score(HOME, 2, "5"), Foul(HOME, "5"), calls.OfficialTimeout())
    goal, foul = running.game.goals[0].item, running.game.charges[0].item
    assert refusal(running, Correct(goal, number="99")) == "not_on_roster"
    assert refusal(running, Correct(foul, team=GUEST, number="4")) == "not_on_roster"
    assert refusal(running, Correct(goal, number="5")) == "nothing_to_correct"
    assert refusal(running, Correct(7)) == "nothing_to_correct"
    three = Play(load_profile("fiba-3x3")).start().take(Score(HOME, 2, "5"))
    assert refusal(three, Correct(three.game.goals[0].item, points=3)) == "points_impossible"
    # Without the entries nothing can be put right; the session has them at hand.
    correct = Correct(goal, number="4")
    assert decide(running.game, correct, running.at()) == Decisions(running.game).on(
        correct, running.at()
    )
    assert running.refusal(correct) == "nothing_to_correct"


def test_a_line_whose_entry_made_none_of_its_kind_cannot_be_called_rightly(running: Play) -> None:
    """A book that was recovered from a damaged file may hold such entries."""
    running.take(Foul(HOME, "5"), Timeout(HOME))
    for entry in list(running.entries[-2:]):
        running.entries[entry.id - 1] = type(entry)(
            entry.id, calls.Mark(), entry.source, entry.at, entry.events
        )
    running.game = fold(running.begin, running.entries)
    foul, timeout = running.game.charges[0].item, running.game.timeouts[0].item
    for item in (foul, timeout):
        assert refusal(running, Correct(item, team=GUEST)) == "nothing_to_correct"
    right(running, Correct(foul, off=True))
    assert running.game.charges == ()


def test_an_entry_may_be_put_right_twice_and_both_are_kept(running: Play) -> None:
    running.take(Foul(HOME, "5"), Score(GUEST, 2, "8"))
    right(running, PutRight(HOME, "foul", "5", to_number="4"))
    right(running, PutRight(HOME, "foul", "4", to=GUEST))
    assert [(c.team, c.said) for c in running.game.charges] == [(GUEST, "4")]
    assert [entry.call for entry in running.entries[1:2]] == [Foul(HOME, "5")]
    kept = [event for entry in running.entries for event in entry.events]
    assert sum(isinstance(event, Replaced) for event in kept) == 2
    running.take(calls.Undo())
    assert [(c.team, c.number) for c in running.game.charges] == [(HOME, "4")]
    running.take(calls.Undo())
    assert [(c.team, c.number) for c in running.game.charges] == [(HOME, "5")]
    assert fold(running.begin, running.entries).charges == running.game.charges


def test_what_was_put_right_before_is_kept_by_the_next_correction(running: Play) -> None:
    running.take(Foul(HOME, "5"), Score(GUEST, 2, "8"))
    right(running, PutRight(HOME, "foul", "5", foul=FoulKind.TECHNICAL))
    changed = running.told("changed_foul").slots
    assert (changed["foul"], changed["was_foul"]) == (FoulKind.TECHNICAL, FoulKind.PERSONAL)
    right(running, PutRight(HOME, "foul", "5", to_number="4"))
    (charge,) = running.game.charges
    assert (charge.number, charge.foul) == ("4", FoulKind.TECHNICAL)


def test_the_window_of_the_rule_book_is_named_where_there_is_one() -> None:
    # FIBA 2024 art. 44: an error before the last two minutes is put right before that mark.
    play = Play(load_profile("fiba-2024")).start().take(Score(HOME, 2, "5"), Foul(GUEST, "8"))
    right(play, PutRight(HOME, "basket", "5", to_number="4"))
    assert "too_late_book" not in play.said()
    play.to_left(4, 100).stop().start()
    right(play, PutRight(HOME, "basket", "4", to_number="5"))
    assert "44" in play.told("too_late_book").rule
    # NFHS 2-10-1 ends the time for throws to be taken or cancelled; the record of one that was
    # taken is put right until the officials approve the score (2-2-4, 2-11).
    nfhs = Play(load_profile("nfhs-2026")).start()
    nfhs.take(Foul(GUEST, "8", award=Award.ONE), Shot(True, HOME, "5")).stop().start()
    nfhs.wait(9).stop().start().wait(9)
    right(nfhs, PutRight(HOME, "throw", "5", to_number="4"))
    assert not {"too_late_throws", "too_late_book"} & set(nfhs.said())


def test_what_later_entries_said_themselves_is_kept(running: Play) -> None:
    running.take(Foul(HOME), Score(HOME, 2), calls.Number("5"), calls.Number("4"))
    # The first number completed the basket, the second the foul.
    right(running, PutRight(HOME, "foul", "4", to=GUEST))
    assert [goal.number for goal in running.game.goals] == ["5"]
    assert [(c.team, c.said) for c in running.game.charges] == [(GUEST, "4")]
    # An entry that was decided by rules that were changed since is left alone.
    running.take(Foul(HOME, "5"), Shot(True, GUEST, "8"))
    running.entries[-1] = type(running.entries[-1])(
        running.entries[-1].id, Shot(True, HOME, "7"), "voice", running.at(),
        running.entries[-1].events,
    )  # fmt: skip
    right(running, PutRight(HOME, "foul", "5", to_number="4"))
    assert [goal.number for goal in running.game.goals] == ["5", "8"]


@pytest.mark.parametrize(
    ("undone", "since", "why"),
    [
        (calls.Starter(HOME, "4"), calls.Starter(HOME, "12"), "starters_full"),
        (calls.Starter(HOME, "4"), calls.Starter(HOME, "4"), "already_starter"),
        (calls.DropStarter(HOME, "5"), calls.DropStarter(HOME, "5"), "no_starter"),
        (calls.AddPlayer(HOME, "30"), calls.AddPlayer(HOME, "30"), "on_roster"),
        (calls.ChangeShirt(HOME, "4", "30"), calls.AddPlayer(HOME, "30"), "on_roster"),
        (calls.SendOff(HOME, "4"), calls.SendOff(HOME, "4"), "already_off"),
        (calls.TimeoutWaiting(HOME), calls.TimeoutWaiting(HOME), "already_asked"),
        (calls.Forfeit(HOME), calls.Forfeit(GUEST), "game_over"),
    ],
)
def test_what_was_said_anew_since_is_not_put_back(undone: Call, since: Call, why: str) -> None:
    """FIBA 4.2.2: five players on court. Each is refused as its call would be."""
    play = Play(load_profile("fiba-2024"))
    play.take(*(calls.Starter(HOME, number) for number in ("5", "7", "10", "11")))
    play.take(undone, calls.Undo())
    assert not Decisions(play.game, past(play)).refuses(calls.PutBack(), play.at())
    play.take(since)
    refused = Decisions(play.game, past(play)).on(calls.PutBack(), play.at())
    assert isinstance(refused, Refusal)
    assert refused.kind == why


def test_what_happened_is_put_back_in_its_place_whatever_came_since(running: Play) -> None:
    """Common practice, no source: a time-out that was taken was taken."""
    running.take(Timeout(HOME), calls.Undo(), calls.EndGame())
    assert running.refusal(Timeout(HOME)) == "game_over"
    assert not Decisions(running.game, past(running)).refuses(calls.PutBack(), running.at())
    assert Decisions(running.game, past(running)).refuses(calls.PutBack(1), running.at())
