"""Numbers and clock times to words and back.

Source: English numerals (any dictionary); that scorers say shirts digit by digit, "oh" for a
nought after the minutes and "even" for none: common practice, no source.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from callout.language.check import load_language
from callout.language.grammar import language_folder
from callout.language.slots import Slot, SlotsFile, Words, counts_between, listed

WORDS = load_language(language_folder()).words
SHIRTS = ["0", "00", *(str(number) for number in range(1, 100))]


@pytest.mark.parametrize(
    ("number", "phrases"),
    [
        ("0", {"zero"}),
        ("00", {"double zero", "zero zero"}),
        ("7", {"seven"}),
        ("11", {"eleven", "one one"}),
        ("20", {"twenty", "two zero", "two oh"}),
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


def test_look_alikes_are_confirmed_by_digits() -> None:
    assert WORDS.digits("15") == "one five"
    assert WORDS.digits("50") == "five zero"
    assert WORDS.digits("23") == "twenty three"


@pytest.mark.parametrize(
    ("tenths", "said"),
    [
        (2670, "four twenty seven"),
        (2450, "four oh five"),
        (2400, "four even"),
        (420, "forty two seconds"),
        (83, "eight point three"),
        (0, "zero seconds"),
        (7200, "twelve even"),
    ],
)
def test_a_clock_time_is_said_so(tenths: int, said: str) -> None:
    assert WORDS.clock(tenths) == said


def understood(said: str) -> int:
    """The tenths that the parts of a spoken time add up to."""
    short = {" ".join(phrase): tenths for phrase, tenths in WORDS.clock_short()}
    if said in short:
        return short[said]
    both = [
        minutes + seconds
        for first, minutes in WORDS.clock_minutes()
        for second, seconds in WORDS.clock_seconds()
        if " ".join((*first, *second)) == said
    ]
    (tenths,) = both
    return tenths


@given(st.integers(0, 599) | st.integers(6, 125).map(lambda tens: tens * 10))
def test_saying_a_time_and_understanding_it_are_inverse(tenths: int) -> None:
    assert understood(WORDS.clock(tenths)) == tenths


@given(st.integers(600, 12_000))
def test_with_minutes_left_tenths_are_not_said(tenths: int) -> None:
    assert WORDS.clock(tenths) == WORDS.clock(tenths - tenths % 10)


@pytest.mark.parametrize(
    ("number", "said"),
    [(0, "zero"), (42, "forty two"), (100, "one hundred"), (105, "one hundred five"),
     (299, "two hundred ninety nine")],
)  # fmt: skip
def test_a_count_is_said_so(number: int, said: str) -> None:
    assert WORDS.count(number) == said


def test_counts_of_a_slot_and_their_unit() -> None:
    slot = Slot(numbers="count", first=1, last=3, unit=-10)
    assert list(counts_between(WORDS, slot)) == [
        (("one",), -10),
        (("two",), -20),
        (("three",), -30),
    ]


def test_all_counts_differ() -> None:
    assert len({WORDS.count(number) for number in range(300)}) == 300


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
