"""A game's own words, its teams' and the one that wakes the ear: told apart, and heard."""

from __future__ import annotations

from collections.abc import Iterator, Set
from dataclasses import replace
from difflib import get_close_matches
from pathlib import Path
from typing import Final

from callout.errors import InputError
from callout.game.terms import Team
from callout.language.grammar import Grammar, words_of
from callout.table.language import scope_of
from callout.table.setup.header import OWN, header_lines
from callout.table.setup.setup import Setup, make_setup

OFFERED: Final = 4
"""At most so many words are offered in the place of one that will not do."""

LIKE: Final = 0.7
"""How like it each of them must be at least, of 1."""


def check_own_words(path: Path, grammar: Grammar, known: Set[str] | None) -> None:
    """See that no own word of a setup file means another thing already, and the ear knows each.

    `known` are the ear's words; without an ear none is asked for.

    Raises:
        InputError: one does, or the ear lacks it, with words that would do; `path:line: …`.
    """
    lines = header_lines(path)
    setup = make_setup(lines, path)
    scope = replace(scope_of(setup), team_words={})
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
            # A team may have the same word in two of its names.
            owner = taken.setdefault(word, whose)
            if owner != whose:
                what = f"is a word of {owner} already" if owner else "is a word of the calls"
            elif word in theirs:
                what = "is in the other team's name"
            elif known is not None and word not in known:
                what = "is not known to the ear"
            if what:
                others_have = {each for each in taken if taken[each] != whose}
                offer = _Free(known, others_have | theirs).like(word, names.get(whose, []))
                what = f"{key}: expected another word, as {word!r} {what}{offer}"
                raise InputError(path, what, line)


def own_words(setup: Setup) -> frozenset[str]:
    """A game's own words."""
    phrases = (*setup.home.words, *setup.guest.words, *setup.wake)
    return frozenset(word for phrase in phrases for word in phrase.split())


def _words(text: str) -> list[str]:
    return text.lower().replace(",", " ").split()


def _whose(key: str) -> str:
    return key.split()[-1]


class _Free:
    """The words that may still be given."""

    def __init__(self, known: Set[str] | None, taken: Set[str]) -> None:
        self.known, self.taken = known, taken

    def like(self, word: str, name: list[str]) -> str:
        """Such as would do in the place of a word, of the team's own name above all."""
        found = dict.fromkeys([*self._of(name), *self._near(word)])
        return f"; such would do: {', '.join([*found][:OFFERED])}" if found else ""

    def _of(self, name: list[str]) -> Iterator[str]:
        """Words of the team's name, or words that are like them."""
        for word in name:
            if word.isalpha():
                yield from [word] if self._may(word) else self._near(word)

    def _near(self, word: str) -> list[str]:
        # One that is taken sounds like those that are near it in writing.
        if word in self.taken or self.known is None:
            return []
        return get_close_matches(word, self.known - self.taken, OFFERED, LIKE)

    def _may(self, word: str) -> bool:
        return word not in self.taken and (self.known is None or word in self.known)
