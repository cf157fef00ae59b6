"""A game's own words: the teams' colours and nicknames, and the word that wakes the ear.

Each must be known to the ear and must not mean something else already.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence, Set
from dataclasses import replace
from difflib import get_close_matches
from pathlib import Path
from typing import Final

from callout.errors import InputError
from callout.game.terms import Team
from callout.language.grammar import Grammar
from callout.language.vocabulary import words_of
from callout.table.language import scope_of
from callout.table.setup.header import OWN, Item, header_lines
from callout.table.setup.setup import Setup, make_setup

OFFERED: Final = 4
"""The most words suggested in place of one that cannot be used."""

LEAST_SIMILARITY: Final = 0.7
"""The least similarity, from 0 to 1, of a suggested word to the one that it replaces."""


def check_own_words(path: Path, grammar: Grammar, known: Set[str] | None) -> None:
    """Check that the own words of a setup file are free, and known to the ear.

    `known` are the words of the ear's model; None if there is no ear.

    Raises:
        InputError: a word is taken already or unknown to the ear; the message suggests others.
    """
    check_own_lines(header_lines(path), path, grammar, known)


def check_own_lines(
    lines: Sequence[Item], path: Path, grammar: Grammar, known: Set[str] | None
) -> None:
    """The same for lines that are in no file yet; `path` is for errors.

    Raises:
        InputError: as `check_own_words`.
    """
    setup = make_setup(lines, path)
    scope = replace(scope_of(setup), team_words={})
    # Whose each word is, `home`, `guest` or `wake`; empty for the words of the calls themselves.
    taken = dict.fromkeys(words_of(grammar, scope), "")
    names = {team.value: _words(setup.team(team).name) for team in Team}
    for key, value, line in lines:
        if key not in OWN:
            continue
        whose = _whose(key)
        others = [names[team] for team in names if whose in names and team != whose]
        theirs = {word for words in others for word in words}
        for word in _words(value):
            what = ""
            # The same word may stand in a team's colour and in its nickname.
            owner = taken.setdefault(word, whose)
            if owner != whose:
                what = f"is a word of {owner} already" if owner else "is a word of the calls"
            elif word in theirs:
                what = "is in the other team's name"
            elif known is not None and word not in known:
                what = "is not known to the ear"
            if what:
                others_have = {each for each in taken if taken[each] != whose}
                free = _FreeWords(known, others_have | theirs)
                offer = free.suggestion(word, names.get(whose, []))
                what = f"{key}: expected another word, as {word!r} {what}{offer}"
                raise InputError(path, what, line)


def own_words(setup: Setup) -> frozenset[str]:
    """The own words of a game, without the team's full names."""
    phrases = (*setup.home.words, *setup.guest.words, *setup.wake)
    return frozenset(word for phrase in phrases for word in phrase.split())


def _words(text: str) -> list[str]:
    return text.lower().replace(",", " ").split()


def _whose(key: str) -> str:
    return key.split()[-1]


class _FreeWords:
    """The words that a team may still be given."""

    def __init__(self, known: Set[str] | None, taken: Set[str]) -> None:
        self.known, self.taken = known, taken

    def suggestion(self, word: str, name: list[str]) -> str:
        """Words to use in place of `word`, first those of the team's own name; for a message."""
        found = dict.fromkeys([*self._from_name(name), *self._similar(word)])
        return f"; try: {', '.join([*found][:OFFERED])!r}" if found else ""

    def _from_name(self, name: list[str]) -> Iterator[str]:
        """Free words of the team's name, or similar ones."""
        for word in name:
            if word.isalpha():
                yield from [word] if self._is_free(word) else self._similar(word)

    def _similar(self, word: str) -> list[str]:
        # Words spelt like one that is taken would sound like it, too.
        if word in self.taken or self.known is None:
            return []
        return get_close_matches(word, self.known - self.taken, OFFERED, LEAST_SIMILARITY)

    def _is_free(self, word: str) -> bool:
        return word not in self.taken and (self.known is None or word in self.known)
