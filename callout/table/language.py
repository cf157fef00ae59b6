"""Parsers, key patterns, keys and replies of a language, each made once and kept."""

from __future__ import annotations

from collections.abc import Set
from dataclasses import dataclass, replace
from functools import cache, cached_property, lru_cache
from pathlib import Path
from typing import Final

from callout.game.terms import Team
from callout.game.values import SHIRTS
from callout.language.grammar import Grammar, Scope, language_folder
from callout.language.parser import Parser
from callout.language.pattern import Patterns
from callout.language.replies import Replies, load_replies
from callout.language.scope import Sentences
from callout.language.typed import by_plain, typed_words
from callout.table.hands.keymap import KeyMap, default_keys
from callout.table.hands.one_switch import Group, read_menu
from callout.table.setup.setup import Setup
from callout.table.speech.kinds import ALL_KINDS

MOST_PARSERS: Final = 4
"""Games whose parsers are kept: those of one take 30 MB, and scripts of one folder share teams."""


def english() -> Path:
    """The folder of the language of the demo, and of a script that says nothing of another."""
    return language_folder()


def scope_of(setup: Setup) -> Scope:
    """What can be said in the game of a setup."""
    rules = setup.rules()
    legal = rules.legal_numbers()
    return Scope(
        {team: tuple(p.number for p in setup.team(team).players) for team in Team},
        legal,
        frozenset(rules.fouls.kinds),
        {team: setup.team(team).words for team in Team},
        illegal=tuple(number for number in SHIRTS if number not in legal),
    )


@dataclass(frozen=True)
class Parsers:
    """The parsers of one game, for words that were spoken or typed."""

    grammar: Grammar
    scope: Scope

    @cached_property
    def calls(self) -> Parser:
        """Parses calls."""
        return Parser(self.grammar, self.scope, states=self.with_answers.states)

    @cached_property
    def with_answers(self) -> Parser:
        """Parses calls, and answers to a question."""
        return Parser(self.grammar, self.scope, Sentences.BOTH)

    def now(self, asked: bool) -> Parser:
        """The parser for now: `asked` while a question is open."""
        return self.with_answers if asked else self.calls

    def typed(self, line: str) -> str:
        """The words of a typed line, in which numbers may be digits, and accents be missing."""
        words = typed_words(line, self.grammar.words).split()
        return " ".join(self._accented.get(word.lower(), word) for word in words)

    @cached_property
    def _accented(self) -> dict[str, str]:
        machine = self.with_answers.states.machine
        return by_plain(word for state in machine.words for word, _, _ in state)

    def without(self, lacking: Set[str]) -> Parsers:
        """The same without the team names in which one of these words occurs."""
        own = {
            team: tuple(each for each in phrases if not lacking & set(each.split()))
            for team, phrases in self.scope.team_words.items()
        }
        return replace(self, scope=replace(self.scope, team_words=own)) if lacking else self

    def woken_by(self, wake: tuple[str, ...]) -> Parsers:
        """The same with these words before each call."""
        return replace(self, scope=replace(self.scope, wake=wake)) if wake else self


# What follows is made once for a language, or for a language and a game: scripts are run one after
# the other in the same language, and most of them with the same teams.


@cache
def replies_of(grammar: Grammar) -> Replies:
    """The replies of a language, with its words for the teams."""
    values = grammar.slots.slots["team"].values
    names = dict(values) if isinstance(values, dict) else {}
    teams = {team: names[team.value][0] for team in Team}
    return load_replies(grammar.folder / "replies.yaml", grammar.words, teams, ALL_KINDS)


@lru_cache(maxsize=MOST_PARSERS)
def parsers_of(grammar: Grammar, scope: Scope) -> Parsers:
    """The parsers of a game."""
    return Parsers(grammar, scope)


@cache
def patterns_of(grammar: Grammar) -> Patterns:
    """The reader of what keys stand for."""
    return Patterns(grammar)


@cache
def keys_of(grammar: Grammar) -> KeyMap:
    """The keys of a language, which hold unless a person has keys of their own."""
    return default_keys(grammar, patterns_of(grammar))


@cache
def menu_of(grammar: Grammar) -> dict[str, Group]:
    """What is read to a person who has one switch."""
    return read_menu(grammar, replies_of(grammar), patterns_of(grammar))
