"""Calls as people type them; the reference is the same call in the words of a voice."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from callout.game.terms import Team
from callout.language.folder import load_grammar
from callout.language.grammar import Scope, language_folder
from callout.language.parser import Parsed, Parser
from callout.language.slots import SlotsFile, Words
from callout.language.typed import by_plain, typed_words
from tests.english import english_grammar

GRAMMAR = english_grammar()
EVERY = ("00", *(str(number) for number in range(100)))
PARSER = Parser(GRAMMAR, Scope(dict.fromkeys(Team, EVERY)))


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("home 2 number 5", "home two number five"),
        ("home two, number five", "home two number five"),
        ("Home two.", "Home two"),
        ("home 3,number 00", "home three number double zero"),
        ("guest foul 11, shooting 2.", "guest foul eleven shooting two"),
        ("set clock 4:27", "set clock four twenty seven"),
        ("set clock 4:05", "set clock four oh five"),
        ("set clock 4 05", "set clock four oh five"),
        ("set clock 12:00.", "set clock twelve even"),
        ("set clock 0:42", "set clock forty two seconds"),
        ("set clock 8.3", "set clock eight point three"),
        ("set guest score 105", "set guest score one hundred five"),
        ("home number twenty-three foul!", "home number twenty three foul"),
        ("last home foul number 4?", "last home foul number four"),
        ("home 2 #5", "home two five"),
        ("home foul 5 (2 shots)", "home foul five two shots"),
        ("", ""),
    ],
)
def test_digits_and_marks_become_words(typed: str, said: str) -> None:
    assert typed_words(typed, GRAMMAR.words) == said


@pytest.mark.parametrize("typed", ["set clock 4:75", "home 300", "4:27.3", "home2", "1.2.3"])
def test_what_is_no_number_makes_no_call(typed: str) -> None:
    assert not isinstance(PARSER.parse(typed_words(typed, GRAMMAR.words)), Parsed)


@given(st.sampled_from(EVERY))
def test_every_shirt_may_be_typed(number: str) -> None:
    typed = PARSER.parse(typed_words(f"home 2, number {number}.", GRAMMAR.words))
    assert isinstance(typed, Parsed)
    (sentence,) = typed.sentences
    assert dict(sentence.slots) == {"team": "home", "points": 2, "number": number}


@given(st.integers(1, 12), st.integers(0, 59))
def test_every_time_may_be_typed_as_the_board_shows_it(minutes: int, seconds: int) -> None:
    typed = PARSER.parse(typed_words(f"set clock {minutes}:{seconds:02}", GRAMMAR.words))
    assert isinstance(typed, Parsed)
    assert dict(typed.sentences[0].slots) == {"left_tenths": 600 * minutes + 10 * seconds}


@pytest.mark.parametrize(("typed", "said"), [("si", "sí"), ("esta", "esta"), ("Numero", "número")])
def test_accents_may_be_left_out_where_that_is_no_other_word(typed: str, said: str) -> None:
    known = by_plain(["sí", "número", "esta", "está", "mas", "más", "más"])
    assert known.get(typed.lower(), typed) == said
    assert "mas" not in known


def test_each_language_has_its_own_words() -> None:
    spanish = load_grammar(language_folder("es"))
    assert typed_words("local 2, número 5.", spanish.words) == "local dos número cinco"


def test_what_a_language_has_no_words_for_stays_as_it_was_typed() -> None:
    words = Words(SlotsFile(counts=("none", "one")))
    assert typed_words("at 4:27, 8.3 and 05, 1, 2, 200", words) == "at 4:27 8 3 and 05 one 2 200"
