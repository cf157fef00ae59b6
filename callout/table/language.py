"""What one game takes of a language: what can be said in it, by voice and by keys, and replies."""

from __future__ import annotations

from collections.abc import Set
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Final

from callout.game.terms import Team
from callout.game.values import SHIRTS
from callout.language.grammar import Grammar, Scope, language_folder
from callout.language.parser import Parser
from callout.language.pattern import Patterns
from callout.language.replies import Replies, load_replies
from callout.language.scope import Sentences
from callout.language.typed import typed_words
from callout.table.hands.keymap import KeyMap, default_keys
from callout.table.hands.one_switch import Group, read_menu
from callout.table.setup.setup import Setup
from callout.table.speech.kinds import ALL_KINDS


def english() -> Path:
    """The language that scripts are written in."""
    return language_folder("en")


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
    """What reads the words of a game, of a voice or a keyboard."""

    grammar: Grammar
    scope: Scope

    @cached_property
    def calls(self) -> Parser:
        """Reads the calls."""
        return Parser(self.grammar, self.scope)

    @cached_property
    def with_answers(self) -> Parser:
        """Reads the calls, and the answers to a question."""
        return Parser(self.grammar, self.scope, Sentences.BOTH)

    def now(self, asked: bool) -> Parser:
        """What reads the words that are said now, where a question is open or none."""
        return self.with_answers if asked else self.calls

    def typed(self, line: str) -> str:
        """The words of a line that somebody typed, who writes digits and commas."""
        return typed_words(line, self.grammar.words)

    def without(self, lacking: Set[str]) -> Parsers:
        """The same without what holds one of these words."""
        own = {
            team: tuple(each for each in phrases if not lacking & set(each.split()))
            for team, phrases in self.scope.team_words.items()
        }
        return replace(self, scope=replace(self.scope, team_words=own)) if lacking else self

    def woken_by(self, wake: tuple[str, ...]) -> Parsers:
        """The same where these words come before each call."""
        return replace(self, scope=replace(self.scope, wake=wake)) if wake else self


def replies_of(grammar: Grammar) -> Replies:
    """The replies of a language, with its words for the teams."""
    if grammar.folder not in _REPLIES:
        values = grammar.slots.slots["team"].values
        names = dict(values) if isinstance(values, dict) else {}
        teams = {team: names[team.value][0] for team in Team}
        path = grammar.folder / "replies.yaml"
        _REPLIES[grammar.folder] = load_replies(path, grammar.words, teams, ALL_KINDS)
    return _REPLIES[grammar.folder]


def parsers_of(grammar: Grammar, scope: Scope) -> Parsers:
    """What reads the words of a game, the same for every game with the same words."""
    return _PARSERS.setdefault((grammar.folder, repr(scope)), Parsers(grammar, scope))


def patterns_of(grammar: Grammar) -> Patterns:
    """What reads the words that keys stand for."""
    if grammar.folder not in _PATTERNS:
        _PATTERNS[grammar.folder] = Patterns(grammar)
    return _PATTERNS[grammar.folder]


def keys_of(grammar: Grammar) -> KeyMap:
    """The keys of a language, as long as nobody gives his own."""
    if grammar.folder not in _KEYS:
        _KEYS[grammar.folder] = default_keys(grammar, patterns_of(grammar))
    return _KEYS[grammar.folder]


def menu_of(grammar: Grammar) -> dict[str, Group]:
    """What is read to whoever has one switch."""
    if grammar.folder not in _MENUS:
        _MENUS[grammar.folder] = read_menu(grammar, replies_of(grammar), patterns_of(grammar))
    return _MENUS[grammar.folder]


# All are made from files that stay as they are while the program runs, and the same teams play
# one script after the other.
_REPLIES: Final[dict[Path, Replies]] = {}
_PARSERS: Final[dict[tuple[Path, str], Parsers]] = {}
_PATTERNS: Final[dict[Path, Patterns]] = {}
_KEYS: Final[dict[Path, KeyMap]] = {}
_MENUS: Final[dict[Path, dict[str, Group]]] = {}
