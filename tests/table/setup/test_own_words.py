"""A game's own words: each tells one thing, and is a word that the ear has."""

from __future__ import annotations

from pathlib import Path

import pytest

from callout.errors import InputError
from callout.language.folder import load_grammar
from callout.language.grammar import language_folder
from callout.table.setup.own_words import check_own_words, own_words
from callout.table.setup.setup import read_setup

KNOWN = frozenset({"foxes", "fox", "kites", "red", "blue", "ones", "guest", "two"})


class Checker:
    """Setup files with these header lines; `_` stands for a space in a key."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._grammar = load_grammar(language_folder())

    def check(self, known: frozenset[str] | None = KNOWN, **lines: str) -> frozenset[str]:
        """Check the words of such a game; those that were taken."""
        given = {"profile": "nfhs-2026", "home": "Kites | 4 5", "guest": "Foxes | 8 11", **lines}
        rows = [f"{key.replace('_', ' ')}: {value}\n" for key, value in given.items()]
        self.path.write_text("".join(rows), encoding="utf-8")
        check_own_words(self.path, self._grammar, known)
        return own_words(read_setup(self.path))

    def refusal(self, known: frozenset[str] | None = KNOWN, **lines: str) -> str:
        """Why they are refused, the file's place left out."""
        with pytest.raises(InputError) as refused:
            self.check(known, **lines)
        return str(refused.value).removeprefix(str(self.path))


@pytest.fixture
def words(tmp_path: Path) -> Checker:
    """Checks setup files."""
    return Checker(tmp_path / "game.setup")


def test_words_that_the_ear_has_are_taken(words: Checker) -> None:
    taken = words.check(colour_home="red", nickname_guest="foxes, blue ones")
    assert taken == {"red", "foxes", "blue", "ones"}


def test_a_word_that_the_ear_lacks_is_refused_with_such_as_would_do(words: Checker) -> None:
    text = words.refusal(nickname_guest="foxez")
    what = "expected another word, as 'foxez' is not known to the ear"
    assert text.startswith(f":4: nickname guest: {what}")
    assert "try: 'foxes, fox" in text


def test_where_no_word_is_near_the_team_s_own_name_is_offered(words: Checker) -> None:
    assert words.refusal(nickname_guest="zzyzx").endswith("to the ear; try: 'foxes'")


def test_where_nothing_would_do_nothing_is_offered(words: Checker) -> None:
    text = words.refusal(nickname_guest="zzyzx", guest="Qrzt | 8 11")
    assert text.endswith("'zzyzx' is not known to the ear")


@pytest.mark.parametrize(
    ("home", "key", "word"),
    [
        ("Kites | 4 5", "nickname_guest", "kites"),
        ("Red Kites | 4 5", "colour_guest", "red"),
        ("Red Kites | 4 5", "nickname_guest", "blue kites"),
    ],
)
def test_a_word_of_the_other_team_s_name_is_no_name(
    words: Checker, home: str, key: str, word: str
) -> None:
    """ "Kites two" would be booked for the guests."""
    for known in (KNOWN, None):
        text = words.refusal(known, home=home, **{key: word})
        assert f"{word.split()[-1]!r} is in the other team's name" in text
        assert text.endswith("; try: 'foxes'")


def test_a_word_of_its_own_name_is(words: Checker) -> None:
    words.check(home="Red Kites | 4 5", colour_home="red", nickname_home="kites")


@pytest.mark.parametrize(
    ("known", "key", "value"),
    [
        (KNOWN, "nickname_guest", "kites"),
        (None, "nickname_guest", "kites"),
        (KNOWN, "nickname_home", "two"),
        (None, "nickname_home", "two"),
        (KNOWN, "colour_guest", "zzyzx"),
    ],
)
def test_what_is_offered_would_do(
    words: Checker, known: frozenset[str] | None, key: str, value: str
) -> None:
    _, _, offered = words.refusal(known, **{key: value}).partition("try: ")
    assert offered
    for word in offered.strip("'").split(", "):
        words.check(known, **{key: word})


def test_the_word_that_wakes_the_ear_is_another_than_those_of_the_teams(words: Checker) -> None:
    assert words.check(colour_home="red", wake="blue") == {"red", "blue"}
    text = words.refusal(colour_home="red", wake="red")
    assert text.endswith("wake: expected another word, as 'red' is a word of home already")
    assert "wake: expected another word, as 'zzyzx' is not known" in words.refusal(wake="zzyzx")


def test_no_word_that_the_calls_have_already_is_offered(words: Checker) -> None:
    """ "Twos" is nearest to "two", which is points."""
    assert "two," not in words.refusal(nickname_home="twos")


@pytest.mark.parametrize("word", ["two", "foul", "guest", "eleven"])
def test_a_word_of_the_calls_is_no_team(words: Checker, word: str) -> None:
    text = words.refusal(nickname_home=word)
    assert f"{word!r} is a word of the calls; try: 'kites'" in text


def test_one_word_is_not_two_teams(words: Checker) -> None:
    text = words.refusal(colour_home="red", colour_guest="red")
    assert "colour guest: expected another word, as 'red' is a word of home already" in text


def test_a_team_may_have_a_word_twice(words: Checker) -> None:
    assert words.check(colour_home="red", nickname_home="red ones") == {"red", "ones"}


def test_a_game_tells_what_another_ear_lacks_of_it(words: Checker) -> None:
    taken = words.check(None, colour_home="red", nickname_guest="foxez, blue ones", wake="zzyzx")
    assert taken - KNOWN == {"foxez", "zzyzx"}


def test_without_an_ear_any_word_that_tells_one_team_will_do(words: Checker) -> None:
    assert words.check(None, nickname_guest="zzyzx") == {"zzyzx"}
    assert "'two'" in words.refusal(None, nickname_home="two")
