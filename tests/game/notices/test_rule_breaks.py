"""What is booked though the rules speak against it, and said with its rule: the published cases.

Until when errors may be put right stands in `test_windows`, and who has a chance in `test_chances`.
"""

from __future__ import annotations

import pytest

from callout.game.calls import (
    AddPlayer,
    EndPeriod,
    Foul,
    MakeNumber,
    Number,
    PutBack,
    Score,
    SetArrow,
    Shot,
    Starter,
    StartPeriod,
    SubsIn,
    Substitution,
    SubWaiting,
    Timeout,
    TimeoutOver,
    Tip,
    Undo,
)
from callout.game.profile.file import load_profile
from callout.game.terms import Award, FoulKind, Offender
from tests.game.play import GUEST, HOME, Play

AGAINST = {
    "plays_though_out", "sub_too_soon", "sub_not_now", "too_many", "timeout_not_now",
    "timeout_excess", "timeout_last", "roster_late", "roster_closed", "number_illegal",
    "not_level", "arrow_against", "misfit",
}  # fmt: skip


def against(play: Play) -> dict[str, str]:
    """What was just booked against the rules, each with its rule."""
    return {notice.kind: notice.rule for notice in play.notices if notice.kind in AGAINST}


def game(name: str) -> Play:
    """A game of that league, its clock running for some seconds."""
    return Play(load_profile(name)).start().wait(20)


def out(play: Play) -> Play:
    """The same with guest's fourteen out by five fouls."""
    return play.take(*[Foul(GUEST, "14")] * 5)


# --- players who are out --------------------------------------------------------------------------


@pytest.mark.parametrize(
    "call",
    [
        Score(GUEST, 2, "14"),
        Shot(True, GUEST, "14"),
        Foul(GUEST, "14", FoulKind.TECHNICAL),
        Substitution(GUEST, "14", "15"),
    ],
)
def test_whoever_is_out_and_plays_is_told_and_booked(call: object) -> None:
    # NFHS case 10.6.3: a fifth foul that was missed, or a return after notice.
    play = out(game("nfhs-2026")).stop().take(call)  # type: ignore[arg-type]
    assert "plays_though_out" in against(play)
    assert play.told("plays_though_out").slots == {"team": GUEST, "number": "14"}


def test_a_number_given_later_is_looked_at_too() -> None:
    # FIBA interpretation 36-10: the goal of an excluded player stands.
    play = out(game("fiba-2024")).take(Score(GUEST, 2), Number("14"))
    assert list(against(play)) == ["plays_though_out"]
    assert play.score == (0, 2)
    play.take(Score(GUEST, 2, "15"))
    assert against(play) == {}
    play.take(MakeNumber("14"))
    assert list(against(play)) == ["plays_though_out"]


def test_the_fifth_foul_itself_is_in_order() -> None:
    assert "plays_though_out" not in against(out(game("nfhs-2026")))


@pytest.mark.parametrize(
    ("league", "kind", "times"),
    [
        ("nfhs-2026", FoulKind.FLAGRANT, 1),
        ("nfhs-2026", FoulKind.TECHNICAL, 2),
        ("ncaa-men-2026", FoulKind.DISQUALIFYING, 1),
        ("fiba-2024", FoulKind.DISQUALIFYING, 1),
    ],
)
def test_who_is_out_and_is_then_ejected_is_told_once(
    league: str, kind: FoulKind, times: int
) -> None:
    """NFHS 2-11-5, FIBA interpretation 36-21; flagrant fouls from memory: he leaves the bench."""
    play = out(game(league)).take(*[Foul(GUEST, "14", kind)] * times)
    assert play.told("player_out").slots["number"] == "14"
    assert "plays_though_out" not in play.said()
    # Who is ejected already is told as that.
    play.take(Foul(GUEST, "14", kind))
    assert "player_out" not in play.said()
    assert play.told("plays_though_out").slots["number"] == "14"


def test_a_number_that_ejects_somebody_who_is_out_is_told_once() -> None:
    play = out(game("nfhs-2026")).take(Foul(GUEST, foul=FoulKind.FLAGRANT), Number("14"))
    assert "player_out" in play.said()
    assert "plays_though_out" not in play.said()


# --- substitutes ---------------------------------------------------------------------------------


def test_who_has_just_left_or_entered_waits_for_the_clock() -> None:
    # FIBA 19.2.4; interpretation 18/19-15: not on the third foul, but with the fifth.
    play = game("fiba-2024").stop().take(Substitution(GUEST, "14", "15"))
    assert against(play) == {}
    assert against(play.take(Substitution(GUEST, "15", "3"))) == {"sub_too_soon": "FIBA 19.2.4"}
    play = game("fiba-2024").stop().take(Substitution(GUEST, "14", "15"))
    assert against(play.take(Substitution(GUEST, "20", "14"))) == {"sub_too_soon": "FIBA 19.2.4"}
    play = game("fiba-2024").take(*[Foul(GUEST, "14")] * 4).stop()
    play.take(Substitution(GUEST, "14", "15"), Foul(GUEST, "14"), Substitution(GUEST, "20", "14"))
    assert against(play) == {}
    play = game("fiba-2024").stop().take(Substitution(GUEST, "14", "15")).start().stop()
    assert against(play.take(Substitution(GUEST, "15", "14"))) == {}


def test_nobody_comes_between_two_throws_in_fiba() -> None:
    # FIBA interpretation 18/19-6: before the first throw or after a made last one.
    play = game("fiba-2024").stop().take(Foul(GUEST, "14", award=Award.TWO), SubWaiting(HOME))
    play.take(Shot(True), SubsIn())
    assert against(play) == {"sub_not_now": "FIBA 19.2"}


def test_high_school_lets_them_in_before_the_last_throw() -> None:
    # NFHS 3-3-1: of several throws for a personal foul only before the last, and after it if made.
    play = game("nfhs-2026").stop().take(Foul(GUEST, "14", award=Award.THREE), SubWaiting(HOME))
    assert against(play.take(Shot(True), SubsIn())) == {"sub_not_now": "NFHS 3-3-1"}
    play.take(Shot(True), SubWaiting(HOME), SubsIn())
    assert against(play) == {}


def test_a_sixth_player_on_court_is_told() -> None:
    # FIBA interpretation 36-6 for six on court; here the line-up shows it.
    play = Play(load_profile("fiba-2024"))
    play.take(*[Starter(HOME, number) for number in ("4", "5", "7", "10", "11")]).start()
    assert against(play) == {}
    assert against(play.take(Starter(HOME, "12"))) == {"too_many": ""}
    play.take(Undo())
    assert against(play.take(PutBack())) == {"too_many": ""}


# --- time-outs -----------------------------------------------------------------------------------


def test_the_last_time_out_and_one_too_many() -> None:
    # NFHS 2-11-6: the coach is told when the last is used; 5-11: one more is granted and penalized.
    play = game("nfhs-2026")
    for _ in range(4):
        play.take(Timeout(HOME), TimeoutOver())
        assert against(play) == {}
    assert list(against(play.take(Timeout(HOME)))) == ["timeout_last"]
    assert list(against(play.take(Timeout(HOME)))) == ["timeout_excess"]


def test_none_before_the_clock_has_run_nor_for_who_has_just_scored() -> None:
    # FIBA interpretation 18/19-2; 18.2.8 for the team that has scored in the last two minutes.
    play = Play(load_profile("fiba-2024")).take(StartPeriod(), Timeout(HOME))
    assert against(play) == {"timeout_not_now": "FIBA 18.2"}
    play = game("fiba-2024").to_left(4, 60).take(Score(HOME, 2, "4")).stop()
    assert "timeout_not_now" not in against(play.take(Timeout(GUEST)))
    play = game("fiba-2024").to_left(4, 60).take(Score(HOME, 2, "4")).stop().take(Timeout(HOME))
    assert against(play)["timeout_not_now"] == "FIBA 18.2"


def test_none_between_two_throws_and_so_many_in_an_interval() -> None:
    # FIBA interpretations 18/19-6, and 18/19-20 for an interval.
    play = game("fiba-2024").stop().take(Foul(GUEST, "14", award=Award.TWO), Shot(True))
    assert "timeout_not_now" in against(play.take(Timeout(HOME)))
    rules = load_profile("fiba-2024")
    play = game("fiba-2024").take(EndPeriod(), *[Timeout(HOME)] * rules.timeouts.in_interval)
    assert "timeout_not_now" not in against(play)
    assert "timeout_not_now" in against(play.take(Timeout(GUEST)))


# --- lists and periods ---------------------------------------------------------------------------


def test_a_late_name_is_closed_in_fiba_and_a_technical_in_high_school() -> None:
    # FIBA interpretation 7-2; NFHS 3-2: one technical a team, whatever else is wrong with its list.
    assert list(against(game("fiba-2024").take(AddPlayer(HOME, "50")))) == ["roster_closed"]
    play = game("nfhs-2026").take(AddPlayer(HOME, "50"))
    assert play.told("roster_late").slots["award"] is Award.TWO
    assert play.take(AddPlayer(HOME, "51")).told("roster_late").slots["award"] is None
    technical = Foul(HOME, None, FoulKind.TECHNICAL, Offender.TEAM)
    play = game("nfhs-2026").take(technical, AddPlayer(HOME, "50"))
    assert play.told("roster_late").slots["award"] is None
    assert against(Play(load_profile("fiba-2024")).take(AddPlayer(HOME, "50"))) == {}


@pytest.mark.parametrize(
    ("league", "number", "told"),
    [
        # NFHS 3-4, case 3.4.3B for a seven; FIBA 4.3.2: 0, 00 and 1 to 99, both zeros at once.
        ("nfhs-2026", "8", True),
        ("nfhs-2026", "55", False),
        ("fiba-2024", "99", False),
        ("fiba-2024", "00", False),
    ],
)
def test_numbers_that_are_not_legal(league: str, number: str, told: bool) -> None:
    play = Play(load_profile(league)).take(AddPlayer(HOME, number))
    assert ("number_illegal" in against(play)) is told


def test_two_zeros_on_one_list() -> None:
    # NFHS 3-4: not both 0 and 00; FIBA 4.3.2: both.
    for league, told in (("nfhs-2026", True), ("fiba-2024", False)):
        play = Play(load_profile(league)).take(AddPlayer(HOME, "0"), AddPlayer(HOME, "00"))
        assert ("number_illegal" in against(play)) is told


def test_an_overtime_of_a_game_that_is_not_level() -> None:
    # NFHS 5-7-1, FIBA 8.7: it is played while the score is level.
    play = game("nfhs-2026").to_period(4).take(EndPeriod())
    assert against(play.take(StartPeriod())) == {}
    play = game("nfhs-2026").to_period(4).take(Score(HOME, 2), EndPeriod(), StartPeriod())
    assert play.told("not_level").slots == {"home": 2, "guest": 0}


def test_an_arrow_that_the_officials_have_elsewhere() -> None:
    # NFHS 6-4, FIBA 12.6: whose it is stands in the book.
    play = game("nfhs-2026").take(Tip(HOME), SetArrow(HOME))
    assert play.told("arrow_against").slots == {"team": HOME, "was": GUEST}
    assert against(game("nfhs-2026").take(SetArrow(HOME))) == {}
