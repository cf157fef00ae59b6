"""What slots.yaml must keep to: each mistake with its line."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from callout.errors import InputError
from callout.language.grammar import language_folder, load_grammar
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
        ("{values: {red: [red]}}", "{}", 3, "expected either values or numbers"),
        ("{values: {red: [red]}}", "{values: [red], numbers: clock}", 3, "either values or"),
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


def test_english_keeps_to_them() -> None:
    assert len(load_grammar(language_folder()).words.file.counts) == 100
