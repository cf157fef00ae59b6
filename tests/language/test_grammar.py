"""What a language file may hold, and what is refused."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from callout.data import data_folder
from callout.errors import CalloutError, InputError
from callout.game import calls
from callout.game.terms import FoulKind, Team
from callout.language.check import load_language
from callout.language.grammar import Grammar, Scope, check_words, load_grammar, words_of
from callout.language.parser import Parsed, Parser
from tests.language.conftest import PAINT

Write = Callable[..., Path]

SCORE = """
name: score
say:
  - "{colour} scores"
does: {score: {team: home, points: 2}}
examples:
  - {say: red scores, slots: {colour: red}}
"""


def test_a_small_language_loads(language: Write) -> None:
    grammar = load_language(language(paint=PAINT, score=SCORE))
    parser = Parser(grammar, Scope())
    result = parser.parse("paint it blue")
    assert isinstance(result, Parsed)
    assert (result.sentences[0].name, result.sentences[0].slots) == ("paint", {"colour": "blue"})
    assert result.calls == ()
    scored = parser.parse("scarlet scores")
    assert isinstance(scored, Parsed)
    assert scored.calls == (calls.Score(Team.HOME, 2),)


@pytest.mark.parametrize(
    ("old", "new", "line", "says"),
    [
        ("examples:", "sample: 1\nexamples:", 5, "sample: extra inputs are not permitted, got 1"),
        ("{colour}", "{color}", 4, "expected a slot of slots.yaml (colour), got 'color'"),
        ("{colour}", "{colour", 4, "expected a template, got 'paint it {colour'"),
        ("it scarlet", "it green", 6, "expected one 'paint', got 'paint it green'"),
        ("colour: red", "colour: blue", 6, "expected 'paint' with {'colour': 'blue'}"),
        ("examples:", "refused: [paint it red]\nexamples:", 5, "expected no 'paint', got one"),
        ("paint it {colour}", "{colour}", 4, "expected two words or more, got 'red'"),
        ("examples:", "does: {scores: {}}\nexamples:", 5, "name of a known call, got 'scores'"),
        ("examples:", "does: {undo: {}, mark: {}}\nexamples:", 5, "expected one call"),
        ("examples:", "does: {tip: {time: 1}}\nexamples:", 5, "a field of 'tip' (team)"),
        ("examples:", "does: {tip: {team: $team}}\nexamples:", 5, "no template gives the slot"),
    ],
)
def test_a_mistake_is_refused_with_its_line(
    language: Write, old: str, new: str, line: int, says: str
) -> None:
    folder = language(paint=PAINT.replace(old, new, 1))
    with pytest.raises(InputError) as caught:
        load_language(folder)
    assert str(caught.value).startswith(f"{folder / 'calls' / 'paint.yaml'}:{line}: ")
    assert says in str(caught.value)


def test_a_sentence_that_two_calls_share_is_refused(language: Write) -> None:
    other = PAINT.replace("name: paint", "name: coat").replace(
        "paint it {colour}", "(paint|coat) it {colour}"
    )
    folder = language(paint=PAINT, other=other)
    with pytest.raises(
        InputError, match=r"got 'coat' and 'paint' for 'paint it (red|scarlet|blue)'"
    ):
        load_language(folder)


def test_an_example_with_two_readings_is_refused(language: Write) -> None:
    slots = "slots: {one: {values: {a: [x], b: [y]}}, two: {values: {c: [x], d: [y]}}}\n"
    text = 'name: pick\nsay: ["pick ({one}|{two})"]\nexamples: [{say: pick x, slots: {one: a}}]\n'
    with pytest.raises(InputError, match="expected one reading of 'pick x', got two"):
        load_language(language(slots, pick=text))


def test_a_folder_without_calls_is_refused(language: Write) -> None:
    with pytest.raises(InputError, match="expected at least one call file"):
        load_grammar(language())


def test_words_that_the_model_lacks_are_named_all_at_once(language: Write) -> None:
    grammar = load_grammar(language(paint=PAINT))
    check_words(grammar, Scope(), {"paint", "it", "red", "scarlet", "blue"}.__contains__)
    with pytest.raises(InputError) as caught:
        check_words(grammar, Scope(), {"paint", "it", "red"}.__contains__)
    assert "'scarlet' (paint.yaml:4)" in str(caught.value)
    assert "'blue' (paint.yaml:4)" in str(caught.value)


def test_only_the_foul_words_of_the_rule_book_are_active(grammar: Grammar) -> None:
    narrow = words_of(grammar, Scope(foul_kinds=frozenset({FoulKind.TECHNICAL})))
    assert "technical" in narrow
    assert "flagrant" not in narrow
    assert "flagrant" in words_of(grammar, Scope())


def test_a_game_may_add_colours(grammar: Grammar) -> None:
    scope = Scope(team_words={Team.GUEST: ("orange",)})
    result = Parser(grammar, scope).parse("orange two")
    assert isinstance(result, Parsed)
    assert result.calls == (calls.Score(Team.GUEST, 2),)


def test_a_call_that_its_values_do_not_make_is_an_error(grammar: Grammar) -> None:
    index = next(at for at, file in enumerate(grammar.calls) if file.name == "score")
    with pytest.raises(CalloutError, match="call 'score': points"):
        grammar.call(index, {"team": "home", "points": 9})


def test_keys_name_calls_that_take_no_words(grammar: Grammar) -> None:
    keys = grammar.keys()
    assert keys["f13"] == calls.StartClock()
    assert keys["f15"] == calls.Undo()
    files = [file.key for file in grammar.calls if file.key]
    assert len(files) == len(set(files)) == len(keys)


def test_every_call_can_be_said_but_those_of_the_clock(grammar: Grammar) -> None:
    said = {name for file in grammar.calls for name in file.does or ()}
    assert set(calls.CALLS.members()) - said == {"clock_expired", "reminder"}


def test_data_lies_beside_the_package() -> None:
    assert (data_folder("grammars") / "en" / "slots.yaml").is_file()
