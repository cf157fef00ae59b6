"""A game's own words: each tells one thing, and is a word that the ear has."""

from __future__ import annotations

from pathlib import Path

import pytest

from callout.errors import InputError
from callout.language.grammar import language_folder, load_grammar
from callout.table.own_words import check_own_words
from callout.table.setup import Item, Setup, make_setup

PATH = Path("game.setup")
KNOWN = frozenset({"foxes", "fox", "kites", "red", "blue", "ones", "guest", "two"})


def setup_with(**lines: str) -> Setup:
    """A game with these header lines; `_` stands for a space in a key."""
    given = {"profile": "nfhs-2026", "home": "Harbour Kites | 4 5", "guest": "Quarry Foxes | 8 11"}
    more = {key.replace("_", " "): value for key, value in lines.items()}
    return make_setup([Item(key, value) for key, value in (given | more).items()], PATH)


def check(known: frozenset[str] | None = KNOWN, **lines: str) -> None:
    """Check the words of such a game."""
    check_own_words(setup_with(**lines), load_grammar(language_folder()), known, PATH)


def refusal(known: frozenset[str] | None = KNOWN, **lines: str) -> str:
    """Why they are refused."""
    with pytest.raises(InputError) as refused:
        check(known, **lines)
    return str(refused.value)


def test_words_that_the_ear_has_are_taken() -> None:
    check(colour_home="red", nickname_guest="foxes, blue ones")


def test_a_word_that_the_ear_lacks_is_refused_with_such_as_would_do() -> None:
    text = refusal(nickname_guest="foxez")
    assert "guest: expected a word that the ear knows, got 'foxez'" in text
    assert "such would do: foxes, fox" in text


def test_where_no_word_is_near_none_is_offered() -> None:
    assert refusal(nickname_guest="zzyzx").endswith("got 'zzyzx'")


def test_the_word_that_wakes_the_ear_is_another_than_those_of_the_teams() -> None:
    check(colour_home="red", wake="blue")
    assert "wake: expected a word that nothing else" in refusal(colour_home="red", wake="red")
    assert "wake: expected a word that the ear knows" in refusal(wake="zzyzx")


def test_no_word_that_the_calls_have_already_is_offered() -> None:
    """ "Twos" is nearest to "two", which is points."""
    assert "two," not in refusal(nickname_home="twos")


@pytest.mark.parametrize("word", ["two", "foul", "guest", "eleven"])
def test_a_word_of_the_calls_is_no_team(word: str) -> None:
    assert f"nothing else is called by, got {word!r}" in refusal(nickname_home=word)


def test_one_word_is_not_two_teams() -> None:
    text = refusal(colour_home="red", colour_guest="red")
    assert "guest: expected a word that nothing else is called by, got 'red'" in text


def test_without_an_ear_any_word_that_tells_one_team_will_do() -> None:
    check(None, nickname_guest="zzyzx")
    assert "'two'" in refusal(None, nickname_home="two")
