"""A game's own words, its teams' and the one that wakes the ear: told apart, and heard."""

from __future__ import annotations

from collections.abc import Set
from dataclasses import replace
from difflib import get_close_matches
from pathlib import Path
from typing import Final

from callout.errors import InputError
from callout.language.grammar import Grammar, words_of
from callout.table.setup import Setup, header_lines, make_setup
from callout.table.words import scope_of

OWN: Final = ("colour home", "nickname home", "colour guest", "nickname guest", "wake")
"""The keys of the header that give them."""

OFFERED: Final = 4
"""So many words are offered in the place of one that the ear lacks."""

LIKE: Final = 0.7
"""How like it each of them must be at least, of 1."""


def check_own_words(path: Path, grammar: Grammar, known: Set[str] | None) -> None:
    """See that no own word of a setup file means another thing already, and the ear knows each.

    `known` are the ear's words; without an ear none is asked for.

    Raises:
        InputError: one does, or the ear lacks it, with words that would do; `path:line: …`.
    """
    lines = header_lines(path)
    scope = replace(scope_of(make_setup(lines, path)), team_words={})
    taken = dict.fromkeys(words_of(grammar, scope), "")
    for key, value, line in lines:
        if key not in OWN:
            continue
        for word in value.lower().replace(",", " ").split():
            # A team may have the same word in two of its names.
            if taken.setdefault(word, _whose(key)) != _whose(key):
                what = f"expected a word that nothing else is called by, got {word!r}"
                raise InputError(path, f"{key}: {what}", line)
            if known is not None and word not in known:
                what = f"expected a word that the ear knows, got {word!r}"
                raise InputError(path, f"{key}: {what}{_offer(word, known - set(taken))}", line)


def own_words(setup: Setup) -> frozenset[str]:
    """A game's own words."""
    phrases = (*setup.home.words, *setup.guest.words, *setup.wake)
    return frozenset(word for phrase in phrases for word in phrase.split())


def _whose(key: str) -> str:
    return key.split()[-1]


def _offer(word: str, known: Set[str]) -> str:
    near = get_close_matches(word, known, OFFERED, LIKE)
    return f"; such would do: {', '.join(near)}" if near else ""
