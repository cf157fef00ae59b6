"""What slots.yaml must keep to: each mistake with its line."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from callout.errors import InputError
from callout.language.check import load_language
from callout.language.folder import load_grammar
from callout.language.grammar import language_folder
from callout.language.slots import Slot
from tests.language.conftest import PAINT

Write = Callable[..., Path]

NUMBERS = """
slots:
  colour: {values: {red: [red]}}
  shirt: {numbers: shirt}
  count: {numbers: count, first: 0, last: 99}
  clock: {numbers: clock}
counts: [COUNTS]
digits: [DIGITS]
shirts: {"00": [nil]}
clock: {oh: oh, even: even, second: second, seconds: seconds, point: point}
"""
COUNTS = ", ".join(f"n{at}" for at in range(100))
DIGITS = ", ".join(f"[d{at}]" for at in range(10))
GOOD = NUMBERS.replace("COUNTS", COUNTS).replace("DIGITS", DIGITS)
CALL = PAINT.replace("scarlet", "red")


def test_good_files_are_taken(language: Write) -> None:
    assert load_grammar(language(GOOD, paint=CALL)).words.count(42) == "n42"


@pytest.mark.parametrize(
    ("old", "new", "line", "says"),
    [
        ("{values: {red: [red]}}", "{}", 3, "one of 'values', 'like' and 'numbers', got none"),
        ("{values: {red", "{numbers: clock, values: {red", 3, "got 'values' and 'numbers'"),
        ("{values: {red", "{like: shirt, values: {red", 3, "got 'values' and 'like'"),
        ("{values: {red", "{without: [red], values: {red", 3, "'without' with 'like' only"),
        ("{numbers: shirt}", "{like: pink}", 4, "a slot that lists its values, got 'pink'"),
        ("{numbers: shirt}", "{like: shirt}", 4, "a slot that lists its values, got 'shirt'"),
        ("{numbers: shirt}", "{like: count}", 4, "a slot that lists its values, got 'count'"),
        ("{numbers: shirt}", "{like: colour, without: [red]}", 4, "at least one value, got none"),
        (
            "{numbers: shirt}",
            "\n    like: colour\n    without:\n      - pink",
            7,
            "expected a phrase of the slot 'colour', got 'pink'",
        ),
        ("{numbers: shirt}", "{like: colour, of: home}", 4, "'of' with shirt numbers only"),
        ("{values: {red: [red]}}", "{values: []}", 3, "expected at least one value, got none"),
        ("{red: [red]}", "{red: [red], pink: [red]}", 3, "each phrase once, got 'red' again"),
        ("{red: [red]}", "{red: [red, Red]}", 3, "each phrase once, got 'red' again"),
        ("{red: [red]}", "{red: []}", 3, "should have at least 1 item"),
        ("{red: [red]}", "{red: [' ']}", 3, "should have at least 1 character"),
        ("{values: {red", "{scope: team, values: {red", 3, "one of home, guest, got 'red'"),
        ("{values: {red", "{scope: foul, values: {red", 3, "expected one of personal, offensive"),
        ("{values: {red", "{of: home, values: {red", 3, "'of' with shirt numbers only"),
        ("{numbers: shirt}", "{numbers: shirt, scope: team}", 4, "values with the scope 'team'"),
        ("{numbers: shirt}", "{numbers: shirt, before: shirt}", 4, "'before' with shirt numbers"),
        ("{numbers: shirt}", "{numbers: shirt, before: size}", 4, "a slot of values, got 'size'"),
        ("{values: {red", "{before: colour, values: {red", 3, "'before' with shirt numbers"),
        ("{values: {red", "{other: true, values: {red", 3, "'other' with the scope 'team' only"),
        ("{numbers: shirt}", "{numbers: shirt, apart_from: size}", 4, "values, got 'size'"),
        ("first: 0", "first: 100", 5, "0 <= first <= last <= 99, got 100 and 99"),
        ("last: 99", "last: 100", 5, "0 <= first <= last <= 99, got 0 and 100"),
        ("first: 0", "unit: 0", 5, "expected a unit other than 0"),
        (f"counts: [{COUNTS}]\n", "", 4, "expected 'counts' in this file for the numbers 'shirt'"),
        ("n0, ", "", 7, "expected 100 phrases, for 0 to 99, got 99"),
        (f"digits: [{DIGITS}]\n", "", 4, "expected 'digits' in this file for shirt numbers"),
        ("[d0], ", "", 8, "expected words for 10 digits, got 9"),
        ('"00": [nil]', "", 9, "expected a phrase for the shirt number '00', got none"),
        ('"00": [nil]', '"00": [n5]', 9, "each phrase once, got 'n5' for '00' and '5'"),
        ('"00": [nil]', '"00": [nil], "100": [x]', 9, "expected a shirt number, 0, 00 or 1 to 99"),
        ('"00": [nil]}', '"00": [nil]}\nalike: [["5", "100"]]', 10, "expected a shirt number, 0"),
        (
            '"00": [nil]}',
            '"00": [nil]}\ntoo_easily: {x: 1}',
            10,
            "a word of a shirt number, got 'x'",
        ),
        ("even: even, ", "", 10, "clock.even: field required"),
    ],
)
def test_a_mistake_is_refused_with_its_line(
    language: Write, old: str, new: str, line: int, says: str
) -> None:
    assert GOOD.count(old) == 1
    folder = language(GOOD.replace(old, new), paint=CALL)
    with pytest.raises(InputError) as caught:
        load_grammar(folder)
    assert str(caught.value).startswith(f"{folder / 'slots.yaml'}:{line}: ")
    assert says in str(caught.value)


def test_clock_words_are_needed_for_clock_times_only(language: Write) -> None:
    clock = "clock: {oh: oh, even: even, second: second, seconds: seconds, point: point}\n"
    with pytest.raises(InputError, match=r"slots\.yaml:6: expected 'clock' in this file"):
        load_grammar(language(GOOD.replace(clock, ""), paint=CALL))


def test_with_hundreds_counts_go_further(language: Write) -> None:
    longer = GOOD.replace("last: 99", "last: 199") + "hundreds: {100: h}\n"
    assert load_grammar(language(longer, paint=CALL)).words.count(142) == "h n42"


def test_a_phrase_is_lower_case_whatever_is_written(language: Write) -> None:
    grammar = load_grammar(language(GOOD.replace("[red]", "[Red]"), paint=CALL))
    assert grammar.slots.slots["colour"].values == {"red": ("red",)}


FOULS = """
slots:
  foul:
    scope: foul
    values: {flagrant: [flagrant, flagrant one], throw-in: [throw in]}
  foul_before_number: {like: foul, without: [Flagrant]}
  foul_alone: {like: foul, without: [throw in]}
  size: {values: [one, two, three]}
  some: {like: size, without: [two], scope: unworn}
"""


def test_a_slot_can_be_like_another_without_some_of_its_phrases(language: Write) -> None:
    call = CALL.replace("{colour}", "{foul}").replace("colour: red", "foul: flagrant")
    slots = load_grammar(language(FOULS, paint=call)).slots.slots
    # All of the slot, less the phrases; a value without any phrase is none.
    assert slots["foul_before_number"] == Slot(
        scope="foul", values={"flagrant": ("flagrant one",), "throw-in": ("throw in",)}
    )
    assert slots["foul_alone"] == Slot(
        scope="foul", values={"flagrant": ("flagrant", "flagrant one")}
    )
    assert slots["some"] == Slot(scope="unworn", values={"one": ("one",), "three": ("three",)})


def test_a_call_with_such_a_slot_is_understood(language: Write) -> None:
    """The example of each call is checked as it is read."""
    slots = FOULS.replace("foul_alone:", "colour:")
    call = CALL.replace("it red", "it flagrant one").replace("colour: red", "colour: flagrant")
    refused = f"{call}refused: [paint it throw in]\n"
    assert load_language(language(slots, paint=refused)).calls[0].name == "paint"


def test_english_keeps_to_them() -> None:
    assert len(load_grammar(language_folder()).words.file.counts) == 100
