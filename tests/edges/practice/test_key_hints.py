"""The keys that a lesson names are those that make the call."""

from __future__ import annotations

import random
from itertools import islice

from callout.commands.practice import practice_words
from callout.edges.practice.key_hints import key_hint
from callout.game.calls import Call
from callout.game.fold import new_game
from callout.game.profile.file import load_profile
from callout.language.check import open_language
from callout.language.grammar import language_folder
from callout.practice.drawing import Drawing
from callout.practice.facts import fact_of
from callout.practice.lesson import lesson
from callout.practice.levels import LEVELS
from callout.table.hands.keymap import KeyMap
from callout.table.language import keys_of
from tests.conftest import GUEST, HOME
from tests.english import english_grammar
from tests.practised import keys_of as readme_keys

START = new_game(load_profile("youth-6-minute"), HOME, GUEST)
WORDS = practice_words(english_grammar())


def hint(call: Call) -> str:
    return key_hint(fact_of(call), keys_of(english_grammar()), WORDS)


def test_they_are_those_of_the_readme_for_every_call_of_the_lesson() -> None:
    found = [call for play in lesson(START) for call in play.calls]
    assert len(found) == 15
    for call in found:
        keys, _ = readme_keys(call)
        number = getattr(call, "number", None)
        assert hint(call).split() == (keys if number else [k for k in keys if k != "enter"])


def test_every_call_of_the_lesson_has_the_same_keys_in_spanish() -> None:
    """A key map has them by the call's words, which must be those of the lesson."""
    spanish = open_language(language_folder("es"))
    words = practice_words(spanish)
    for call in (call for play in lesson(START) for call in play.calls):
        assert key_hint(fact_of(call), keys_of(spanish), words) == hint(call)


def test_a_game_has_few_calls_without_a_hint() -> None:
    drawing = Drawing(START, LEVELS[3], random.Random(2))
    found = [call for play in islice(drawing.plays(), 150) for call in play.calls]
    assert sum(not hint(call) for call in found) <= 0.02 * len(found)


def test_a_key_map_that_lacks_a_key_gives_no_hint() -> None:
    empty = KeyMap({})
    calls = [call for play in lesson(START) for call in play.calls]
    assert {key_hint(fact_of(call), empty, WORDS) for call in calls} <= {"", "3"}
