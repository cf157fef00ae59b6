"""A game's own words, its teams' and the one that wakes the ear: told apart, and heard."""

from __future__ import annotations

from collections.abc import Set
from dataclasses import replace
from difflib import get_close_matches
from pathlib import Path
from typing import Final

from callout.errors import InputError
from callout.game.terms import Team
from callout.language.grammar import Grammar, words_of
from callout.table.setup import Setup
from callout.table.words import scope_of

OFFERED: Final = 4
"""So many words are offered in the place of one that the ear lacks."""

LIKE: Final = 0.7
"""How like it each of them must be at least, of 1."""


def check_own_words(setup: Setup, grammar: Grammar, known: Set[str] | None, path: Path) -> None:
    """See that no word of a game's own means another thing already, and that the ear knows each.

    `known` are the ear's words; without an ear none is asked for. `path` stands in the message.

    Raises:
        InputError: one does, or the ear lacks it; with words that would do.
    """
    own = {team.value: setup.team(team).words for team in Team} | {"wake": setup.wake}
    taken = set(words_of(grammar, replace(scope_of(setup), team_words={})))
    for key, phrases in own.items():
        here = {word for phrase in phrases for word in phrase.split()}
        for word in sorted(here & taken):
            what = f"{key}: expected a word that nothing else is called by, got {word!r}"
            raise InputError(path, what)
        if known is not None:
            for word in sorted(here - known):
                what = f"{key}: expected a word that the ear knows, got {word!r}"
                raise InputError(path, what + _offer(word, known - taken))
        taken |= here


def _offer(word: str, known: Set[str]) -> str:
    near = get_close_matches(word, known, OFFERED, LIKE)
    return f"; such would do: {', '.join(near)}" if near else ""
