"""Numbers and clock times to words and back.

Source: English numerals (any dictionary); that scorers say shirts digit by digit, "oh" for a
nought after the minutes and "even" for none: common practice, no source.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from callout.game import calls
from callout.game.calls import Call
from callout.game.terms import Team
from callout.language.grammar import Scope
from callout.language.parser import Parsed, Parser
from callout.language.slots import Slot, SlotsFile, UnsayableError, Words, counts_between, listed
from tests.english import english_grammar

SHIRTS = ("0", "00", *(str(number) for number in range(1, 100)))
GRAMMAR = english_grammar()
WORDS = GRAMMAR.words
PARSER = Parser(GRAMMAR, Scope(legal=SHIRTS))


def understood(said: str) -> Call:
    """The one call that is heard in the words."""
    result = PARSER.parse(said)
    assert isinstance(result, Parsed), said
    (call,) = result.calls
    return call


@pytest.mark.parametrize(
    ("number", "phrases"),
    [
        ("0", {"zero"}),
        ("00", {"double zero", "zero zero"}),
        ("7", {"seven"}),
        ("11", {"eleven", "one one"}),
        ("20", {"twenty", "two zero"}),
        ("23", {"twenty three", "two three"}),
    ],
)
def test_a_shirt_number_has_these_phrases(number: str, phrases: set[str]) -> None:
    assert {" ".join(phrase) for phrase in WORDS.shirt_phrases(number)} == phrases


def test_no_phrase_belongs_to_two_shirt_numbers() -> None:
    owners: dict[tuple[str, ...], str] = {}
    for number in SHIRTS:
        for phrase in WORDS.shirt_phrases(number):
            assert owners.setdefault(phrase, number) == number
    assert set(owners.values()) == set(SHIRTS)


@pytest.mark.parametrize("number", SHIRTS)
def test_saying_a_shirt_number_and_understanding_it_are_inverse(number: str) -> None:
    for said in (WORDS.shirt(number), WORDS.digits(number)):
        assert understood(f"number {said}") == calls.Number(number)


@given(st.sampled_from(SHIRTS), st.data())
def test_each_way_to_say_a_shirt_number_is_understood(number: str, data: st.DataObject) -> None:
    phrase = data.draw(st.sampled_from(WORDS.shirt_phrases(number)))
    expected = calls.Foul(Team.GUEST, number)
    assert understood(f"guest foul {' '.join(phrase)}") == expected


def test_look_alikes_are_confirmed_by_digits() -> None:
    assert WORDS.digits("15") == "one five"
    assert WORDS.digits("50") == "five zero"
    assert WORDS.digits("23") == "twenty three"


def test_two_numbers_on_a_list_sound_alike() -> None:
    # From the language's own list of such numbers.
    assert WORDS.pairs_alike(["30", "4", "13", "16", "50"]) == (("13", "30"),)
    assert WORDS.pairs_alike(["60", "4", "16", "15", "50"]) == (("15", "50"), ("16", "60"))
    assert WORDS.pairs_alike([]) == ()


@pytest.mark.parametrize(
    ("tenths", "said"),
    [
        (2670, "four twenty seven"),
        (2450, "four oh five"),
        (2400, "four even"),
        (420, "forty two seconds"),
        (83, "eight point three"),
        (0, "zero seconds"),
        (10, "one second"),
        (11, "one point one"),
        (600, "one even"),
        (599, "fifty nine point nine"),
        (7200, "twelve even"),
    ],
)
def test_a_clock_time_is_said_so(tenths: int, said: str) -> None:
    assert WORDS.clock(tenths) == said


@given(st.integers(0, 599) | st.integers(6, 125).map(lambda tens: tens * 10))
def test_saying_a_time_and_understanding_it_are_inverse(tenths: int) -> None:
    assert understood(f"set clock {WORDS.clock(tenths)}") == calls.SetClock(tenths)


@given(st.integers(600, 12_000))
def test_with_minutes_left_tenths_are_not_said(tenths: int) -> None:
    assert WORDS.clock(tenths) == WORDS.clock(tenths - tenths % 10)


@pytest.mark.parametrize(
    ("number", "said"),
    [(0, "zero"), (42, "forty two"), (100, "one hundred"), (105, "one hundred five"),
     (299, "two hundred ninety nine"), (300, "three hundred"),
     (999, "nine hundred ninety nine")],
)  # fmt: skip
def test_a_count_is_said_so(number: int, said: str) -> None:
    assert WORDS.count(number) == said


@pytest.mark.parametrize("number", [-1, -98, 1000])
def test_a_count_below_zero_or_above_the_last_has_no_words(number: int) -> None:
    assert WORDS.most == 999
    with pytest.raises(UnsayableError, match="expected a number from 0 to 999"):
        WORDS.count(number)
    with pytest.raises(UnsayableError):
        WORDS.ordinal(number)


@given(st.integers(0, 199), st.sampled_from(Team))
def test_saying_a_score_and_understanding_it_are_inverse(points: int, team: Team) -> None:
    said = f"set {team.value} score {WORDS.count(points)}"
    assert understood(said) == calls.SetScore(team, points)


@given(st.integers(1, 60), st.booleans())
def test_seconds_put_on_or_taken_off_are_tenths_of_either_sign(seconds: int, on: bool) -> None:
    said = f"{'add' if on else 'take off'} {WORDS.count(seconds)} seconds"
    assert understood(said) == calls.AdjustClock(10 * seconds if on else -10 * seconds)


@pytest.mark.parametrize("word", ["home", "guest", "visitor", "visitors", "away"])
def test_a_team_word_is_understood(word: str) -> None:
    """Team words and what they name: common practice, no source."""
    team = Team.HOME if word == "home" else Team.GUEST
    assert understood(f"{word} two") == calls.Score(team, 2)


def test_counts_of_a_slot_and_their_unit() -> None:
    slot = Slot(numbers="count", first=1, last=3, unit=-10)
    assert list(counts_between(WORDS, slot)) == [
        (("one",), -10),
        (("two",), -20),
        (("three",), -30),
    ]


def test_all_ordinals_differ() -> None:
    assert len({WORDS.ordinal(number) for number in range(1, 100)}) == 99


def test_all_counts_differ() -> None:
    assert len({WORDS.count(number) for number in range(1000)}) == 1000


def test_ordinals_end_in_counts() -> None:
    assert [WORDS.ordinal(n) for n in (1, 3, 12, 13)] == ["first", "third", "twelfth", "thirteen"]


def test_a_plain_list_stands_for_itself() -> None:
    assert listed(Slot(values=("dark roast", "light"))) == {
        "dark roast": ("dark roast",),
        "light": ("light",),
    }


def test_a_language_without_clock_words_has_no_times() -> None:
    with pytest.raises(LookupError, match="no words for clock times"):
        Words(SlotsFile()).clock(60)
