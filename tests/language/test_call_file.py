"""What one call file must keep to by itself: each mistake with its line."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from callout.errors import InputError
from callout.language.call_file import slot_named
from callout.language.folder import load_grammar

Write = Callable[..., Path]

SLOTS = """
slots:
  team: {scope: team, values: {home: [home], guest: [guest]}}
  points: {values: {1: [one], 2: [two]}}
"""

GOOD = """
name: score
say:
  - "{team} {points}"
  - "[basket] {points} for {team}"
does:
  score:
    team: $team
    points: $points
examples:
  - {say: home two, slots: {team: home, points: 2}}
"""


def test_a_good_file_is_taken(language: Write) -> None:
    (file,) = load_grammar(language(SLOTS, score=GOOD)).calls
    assert file.name == "score"
    assert file.does == {"score": {"team": "$team", "points": "$points"}}


@pytest.mark.parametrize(
    ("old", "new", "line", "says"),
    [
        ("[basket] {points} for", "[{points}] for", 5,
         "expected a value for the field 'points' of 'score', got a way to leave out 'points'"),
        ("{points} for {team}", "{points} for {team} {points}", 5,
         "expected each slot once in a sentence, got 'points' twice"),
        ("    points: $points\n", "", 7, "a value for the field 'points' of 'score', got none"),
        ("$points", "4", 9, "points: input should be less than or equal to 3, got 4"),
        ("$team", "nobody", 8, "team: input should be 'home' or 'guest', got 'nobody'"),
        ("$team", "$side", 8, "no template gives the slot '$side'"),
        ("points: $points", "goals: $points", 9, "expected a field of 'score' (number, "),
        ("examples:", "asks: [team, side]\nexamples:", 10, "no template gives the slot 'side'"),
        ("name: score", "name: ''", 2, "name: string should have at least 1 character"),
        ("examples:", "when: never\nexamples:", 10, "when: input should be 'always' or"),
        ("for {team}", "for{team}", 5, "expected a space between words and groups"),
        ("for {team}", "for <team>", 5, "expected words, slots and groups"),
    ],
)  # fmt: skip
def test_a_mistake_is_refused_with_its_line(
    language: Write, old: str, new: str, line: int, says: str
) -> None:
    assert GOOD.count(old) >= 1
    folder = language(SLOTS, score=GOOD.replace(old, new, 1))
    with pytest.raises(InputError) as caught:
        load_grammar(folder)
    assert str(caught.value).startswith(f"{folder / 'calls' / 'score.yaml'}:{line}: ")
    assert says in str(caught.value)


def test_a_key_needs_a_call(language: Write) -> None:
    text = "name: wave\nsay: [wave now]\nkeys: {f1: wave now}\nexamples: [{say: wave now}]\n"
    with pytest.raises(InputError, match=r"wave\.yaml:3: expected 'does' for a key, got none"):
        load_grammar(language(SLOTS, wave=text))


def test_a_call_has_a_way_to_be_made(language: Write) -> None:
    with pytest.raises(InputError, match="expected a template under 'say' or 'typed', got none"):
        load_grammar(language(SLOTS, wave="name: wave\nsay: []\nexamples: [{say: wave now}]\n"))


def test_only_text_with_a_dollar_names_a_slot() -> None:
    assert [slot_named(value) for value in ("$team", "team", 1, True)] == ["team", "", "", ""]
