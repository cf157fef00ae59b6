"""Colours and nicknames of a game's teams: words that can be told apart, and that can be heard."""

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


def check_team_words(
    setup: Setup, grammar: Grammar, known: Set[str] | None, path: Path
) -> None:  # fmt: skip
    """See that no team's word means another thing already, and that the ear knows each.

    `known` are the ear's words; without an ear none is asked for. `path` stands in the message.

    Raises:
        InputError: one does, or the ear lacks it; with words that would do.
    """
    taken = set(words_of(grammar, replace(scope_of(setup), team_words={})))
    for team in Team:
        here = {word for phrase in setup.team(team).words for word in phrase.split()}
        for word in sorted(here & taken):
            what = f"expected a word for {team.value} that no call and no other team has"
            raise InputError(path, f"{what}, got {word!r}")
        if known is not None:
            for word in sorted(here - known):
                raise InputError(path, _lacking(team, word, known - taken))
        taken |= here


def _lacking(team: Team, word: str, known: Set[str]) -> str:
    near = get_close_matches(word, known, OFFERED, LIKE)
    offer = f"; such would do: {', '.join(near)}" if near else "; a colour would do"
    return f"expected a word for {team.value} that the ear knows, got {word!r}{offer}"
