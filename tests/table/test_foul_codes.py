"""The letters of fouls, as the published examples have them.

Source: FIBA, Official Basketball Rules 2022, B.8.3; the numbers are those of its paragraphs and of
the interpretations of 2023.
"""

from __future__ import annotations

import pytest

from callout.game.calls import Call, DoubleFoul, Foul, SendOff, SetAward, Shot
from callout.game.choices import SheetForm
from callout.game.terms import Award, FoulKind, Offender, Team
from callout.table.foul_codes import CODES, coach_codes, player_codes
from callout.table.view import view
from tests.game.play import GUEST, HOME, Play
from tests.paper.played import begin

FIBA, AMERICAN = SheetForm.FIBA, SheetForm.AMERICAN
COACH, BENCH = Offender.COACH, Offender.BENCH


@pytest.fixture
def play() -> Play:
    return begin("fiba-2022").start().wait(20).stop()


def foul(
    play: Play, number: str | None, kind: FoulKind = FoulKind.PERSONAL,
    on: Offender = Offender.PLAYER, award: Award | None = None,
) -> None:  # fmt: skip
    """Home fouls, all throws are taken, and the clock runs for a while."""
    play.take(Foul(HOME, number, kind, on, award))
    while play.game.owed:
        play.take(Shot(True, GUEST, "3"))
    play.start().wait(4).stop()


def codes(play: Play, number: str, team: Team = HOME) -> str:
    return " ".join(player_codes(play.game, FIBA, team, number))


def of_coach(play: Play) -> str:
    return " ".join(coach_codes(play.game, FIBA, HOME))


@pytest.mark.parametrize(
    ("award", "code"),
    [(None, "P"), (Award.ONE, "P1"), (Award.TWO, "P2"), (Award.THREE, "P3")],
)
def test_the_figure_is_the_number_of_throws(play: Play, award: Award | None, code: str) -> None:
    """B.8.3: 1, 2 or 3 beside the letter; no count of the player's fouls."""
    foul(play, "5")
    foul(play, "5", award=award)
    assert codes(play, "5") == f"P {code}"


def test_an_offensive_foul_is_a_personal_one(play: Play) -> None:
    foul(play, "5", FoulKind.OFFENSIVE)
    assert codes(play, "5") == "P"


def test_a_throw_in_foul_is_a_personal_one_with_its_throw(play: Play) -> None:
    """Interpretation 34-1: one free throw."""
    foul(play, "5", FoulKind.THROW_IN)
    assert codes(play, "5") == "P1"


def test_two_throws_at_the_penalty_need_not_be_called(play: Play) -> None:
    """41.2: from the fifth team foul of the quarter on, two throws."""
    for number in ("4", "4", "7", "7", "10"):
        foul(play, number)
    assert codes(play, "10") == "P2"


@pytest.mark.parametrize(
    ("kinds", "code"),
    [
        (("technical", "technical"), "T1 T1 GD"),
        (("unsportsmanlike", "unsportsmanlike"), "U2 U2 GD"),
        (("technical", "unsportsmanlike"), "T1 U2 GD"),
        (("unsportsmanlike", "personal", "technical"), "U2 P T1 GD"),
        (("disqualifying",), "D2"),
        (("technical", "disqualifying"), "T1 D2"),
    ],
)
def test_gd_follows_the_foul_that_disqualifies(
    play: Play, kinds: tuple[str, ...], code: str
) -> None:
    """36.2.3, 37.2.3: two technicals, two unsportsmanlike, one of each. D says so itself."""
    for kind in kinds:
        foul(play, "5", FoulKind(kind))
    assert codes(play, "5") == code


def test_equal_penalties_that_cancel_have_a_small_c(play: Play) -> None:
    """42: no throws are taken for them; B.8.3."""
    play.take(Foul(HOME, "5", FoulKind.TECHNICAL), Foul(GUEST, "8", FoulKind.TECHNICAL))
    assert codes(play, "5") == "Tc"
    assert codes(play, "8", GUEST) == "Tc"


def test_a_double_foul_brings_no_throws(play: Play) -> None:
    """35.2."""
    play.take(DoubleFoul("5", "8"))
    assert (codes(play, "5"), codes(play, "8", GUEST)) == ("P", "P")


def test_two_technical_fouls_at_once_cancel_as_two_called_one_by_one(play: Play) -> None:
    """42."""
    play.take(DoubleFoul("5", "8", FoulKind.TECHNICAL))
    assert (codes(play, "5"), codes(play, "8", GUEST)) == ("Tc", "Tc")
    assert play.game.owed == ()


def test_a_signal_that_no_throws_follow_takes_the_figure_away(play: Play) -> None:
    play.take(Foul(HOME, "5", award=Award.TWO), SetAward(Award.NONE))
    assert codes(play, "5") == "P"


def after(play: Play, *calls: Call) -> None:
    for call in calls:
        play.take(call)


@pytest.mark.parametrize(
    ("number", "on", "coach", "player"),
    [
        (None, COACH, "D2", ""),  # The coach himself.
        (None, BENCH, "B2", ""),  # The assistant coach; his own D is entered with a pen.
        ("12", BENCH, "B2", "D"),  # A substitute.
    ],
)
def test_a_disqualified_coach_assistant_and_substitute(
    play: Play, number: str | None, on: Offender, coach: str, player: str
) -> None:
    """B.8.3.12: D2 on the coach; D and B2 on the coach; D and B2 on the coach."""
    foul(play, number, FoulKind.DISQUALIFYING, on)
    assert of_coach(play) == coach
    assert codes(play, "12") == player


def test_an_excluded_player_who_is_disqualified_stands_beside_the_fifth_box(play: Play) -> None:
    """B.8.3.12: T1 P3 P2 P1 P2, then D behind the boxes, and B2 on the coach."""
    foul(play, "5", FoulKind.TECHNICAL)
    for award in (Award.THREE, Award.TWO, Award.ONE, Award.TWO):
        foul(play, "5", award=award)
    foul(play, "5", FoulKind.DISQUALIFYING)
    assert codes(play, "5") == "T1 P3 P2 P1 P2 D"
    assert of_coach(play) == "B2"


def test_an_excluded_player_s_technical_foul_is_the_bench_s(play: Play) -> None:
    """Interpretation 36-20: after his fifth foul a T is entered on the coach as B1; no GD."""
    foul(play, "5", FoulKind.TECHNICAL)
    for _ in range(4):
        foul(play, "5")
    foul(play, "5", FoulKind.TECHNICAL)
    assert codes(play, "5").split()[0] == "T1"
    assert "GD" not in codes(play, "5")
    assert of_coach(play) == "B1"


@pytest.mark.parametrize(
    ("whose", "code"),
    [
        ((COACH, BENCH), "C1 B1"),
        ((COACH, COACH), "C1 C1 GD"),
        ((BENCH, BENCH), "B1 B1"),
        ((BENCH, BENCH, BENCH), "B1 B1 B1 GD"),
        ((COACH, BENCH, BENCH), "C1 B1 B1 GD"),
    ],
)
def test_the_coach_s_own_fouls_and_those_of_his_bench(
    play: Play, whose: tuple[Offender, ...], code: str
) -> None:
    """36.2.4: out after two of his own, or three in all."""
    for on in whose:
        foul(play, None, FoulKind.TECHNICAL, on)
    assert of_coach(play) == code


def test_the_other_form_has_letters_alone(play: Play) -> None:
    foul(play, "5", award=Award.TWO)
    foul(play, "5", FoulKind.TECHNICAL)
    foul(play, None, FoulKind.TECHNICAL, COACH)
    assert player_codes(play.game, AMERICAN, HOME, "5") == ["P", "T"]
    assert coach_codes(play.game, AMERICAN, HOME) == ["C"]


def test_every_kind_of_foul_has_a_letter_of_its_own() -> None:
    assert set(CODES) == set(FoulKind)
    # FIBA B.8.3: a throw-in foul is entered as the personal foul that it is.
    letters = [CODES[kind] for kind in FoulKind if kind is not FoulKind.THROW_IN]
    assert len(set(letters)) == len(letters)
    assert CODES[FoulKind.THROW_IN] == CODES[FoulKind.PERSONAL]


@pytest.mark.parametrize("letters", ["P T U D"])
def test_the_letters_of_the_scoresheet_are_used(letters: str) -> None:
    # FIBA B.8.3 writes P, T, U and D.
    assert set(letters.split()) <= set(CODES.values())


def test_who_is_sent_off_without_a_foul_has_no_mark_of_one(play: Play) -> None:
    """B.8.3 has no mark for it: GD only ever follows fouls."""
    play.take(SendOff(HOME, "5"), SendOff(HOME, None))
    assert codes(play, "5") == ""
    assert of_coach(play) == ""


def test_the_book_has_the_codes_of_its_league_s_sheet(play: Play) -> None:
    foul(play, "5", award=Award.TWO)
    assert view(play.game, 0)["players"]["home"]["5"]["foul_codes"] == ["P2"]
    school = begin("nfhs-2026").start().wait(20).stop()
    foul(school, "5", award=Award.TWO)
    assert view(school.game, 0)["players"]["home"]["5"]["foul_codes"] == ["P"]


def fights(play: Play, number: str | None, on: Offender = BENCH) -> None:
    play.take(Foul(HOME, number, FoulKind.DISQUALIFYING, on, fight=True))


def test_who_leaves_the_bench_in_a_fight_has_f_in_all_boxes_that_are_left(play: Play) -> None:
    """B.8.3.13: a substitute with P2 P2 has P2 P2 D F F, and the coach B2."""
    foul(play, "12", award=Award.TWO)
    foul(play, "12", award=Award.TWO)
    fights(play, "12")
    assert codes(play, "12") == "P2 P2 D F F"
    assert of_coach(play) == "B2"


def test_a_coach_answers_once_for_all_who_leave_the_bench_in_one_fight(play: Play) -> None:
    """39.3, from memory; a fight after the clock has run again is another."""
    for number in ("12", "10", "11"):
        fights(play, number)
    assert [owed.award for owed in play.game.owed] == [Award.TWO]
    assert of_coach(play) == "B2"
    assert codes(play, "11") == "D F F F F"
    play.start().wait(9).stop()
    fights(play, "7")
    assert of_coach(play) == "B2 B2"


def test_a_coach_who_fights_himself(play: Play) -> None:
    """B.8.3.13: D2 and F on the coach."""
    fights(play, None, COACH)
    assert of_coach(play) == "D2 F F"
    fights(play, "12")
    assert of_coach(play) == "D2 F F"
