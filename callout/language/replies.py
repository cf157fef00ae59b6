"""Sentences for kinds of notice, from the texts of a language's replies.yaml.

replies.yaml has one entry for each kind, with a text for each level. In a text `{team}` is a value,
`{nth:ordinal}` a value in another form, and a part in `[…]` is left out when one of its values is
None. The words for values come from the language's slots.yaml and from `terms` in replies.yaml.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import Enum
from functools import cached_property
from pathlib import Path
from typing import Any, Final

from callout.game.kind import Kind
from callout.game.terms import Team
from callout.language.slots import Strict, UnsayableError, Words
from callout.language.source import Source


class Level(Enum):
    """How much is said back."""

    URGENT = "urgent"
    LESS = "less"
    NORMAL = "normal"
    MORE = "more"


class Texts(Strict):
    """The texts of one kind. Where `less` or `more` is missing, the text of `normal` is used.

    Where `urgent` is missing, that level says nothing: what is not urgent must not interrupt.
    """

    urgent: str | None = None
    less: str | None = None
    normal: str
    more: str | None = None

    def at(self, level: Level) -> str:
        """The text of a level; empty where nothing is said."""
        if level is Level.URGENT:
            return self.urgent or ""
        if level is Level.LESS:
            return self.normal if self.less is None else self.less
        return self.more if level is Level.MORE and self.more is not None else self.normal


class RepliesFile(Strict):
    """replies.yaml."""

    terms: Mapping[str, Mapping[str, str]] = {}
    """Words for values that are neither numbers nor teams, by the form that a text asks for."""
    nothing: str = "0"
    """The word for a score of 0."""
    none: str = "0"
    """The word for 0 time-outs left."""
    below_ten: str = "0-9"
    """What one switch reads for the group of numbers below ten."""
    other_number: str = "other"
    """What it reads for a number that is not on the team's list."""
    either: str = " / "
    """What is said between two things to choose from."""
    then: str = ", "
    """What is said between the first and the second of an order."""
    choices: Mapping[str, Mapping[str, str]] = {}
    """The menu of one switch, by group: the words that are read, and the call or group meant."""
    before: Mapping[str, Mapping[str, str]] = {}
    """The same before the game."""
    kinds: Mapping[str, Texts]


FIELD: Final = re.compile(r"\{(\w+)(?::(\w+))?\}")
PART: Final = re.compile(r"\[([^\[\]]*)\]")
SENTENCE: Final = re.compile(r"(^|[.!?] )([¿¡]?\w)")
BETWEEN: Final = re.compile(r"(?<=[.!?]) ")
"""Where one sentence of a text ends and the next begins."""


@dataclass(frozen=True)
class Replies:
    """The replies of one language."""

    file: RepliesFile
    words: Words
    team_names: Mapping[Team, str]

    def say(self, kind: str, slots: Mapping[str, object], level: Level = Level.NORMAL) -> str:
        """The sentence for a kind at a level; empty where nothing is said.

        Where the language has no words for a number, the part in brackets or the sentence that
        holds it is left out, and the rest is said.

        Raises:
            KeyError: the language has no such kind, or the text wants a value that is not given.
        """
        text = self.file.kinds[kind].at(level)
        text = PART.sub(lambda part: self._part(part[1], slots), text)
        try:
            text = self._fill(text, slots)
        except UnsayableError:
            text = " ".join(filter(None, (self._try(one, slots) for one in BETWEEN.split(text))))
        return SENTENCE.sub(lambda found: found[1] + found[2].upper(), " ".join(text.split()))

    def _part(self, text: str, slots: Mapping[str, object]) -> str:
        wanted = [field[1] for field in FIELD.finditer(text)]
        if any(slots.get(name) is None for name in wanted):
            return ""
        return self._try(text, slots)

    def _try(self, text: str, slots: Mapping[str, object]) -> str:
        """A part of a text with its values; empty where one of them has no words."""
        try:
            return self._fill(text, slots)
        except UnsayableError:
            return ""

    def _fill(self, text: str, slots: Mapping[str, object]) -> str:
        return FIELD.sub(lambda field: self._value(slots[field[1]], field[2]), text)

    def _value(self, value: Any, role: str | None) -> str:
        if role in self.forms:
            return self.forms[role](value)
        plain = value.value if isinstance(value, Enum) else value
        if role is not None:
            return self.file.terms[role][str(plain)]
        if isinstance(value, Team):
            return self.team_names[value]
        return self.words.count(plain) if isinstance(plain, int) else str(plain)

    def _thing(self, item: str) -> str:
        """The short name of an item of the checklist; a league may have items of its own."""
        return self.file.terms.get("thing", {}).get(item) or item.replace("-", " ")

    @cached_property
    def forms(self) -> dict[str | None, Callable[[Any], str]]:
        """The forms that a number may be said in, by role."""
        return {
            "shirt": self.words.digits,
            "whole": self.words.shirt,
            "ordinal": self.words.ordinal,
            "clock": self.words.clock,
            "left": lambda left: self.words.count(left) if left else self.file.none,
            "score": lambda points: self.words.count(points) if points else self.file.nothing,
            "scores": lambda scores: ", ".join(map(self.words.count, scores)),
            "shirts": lambda numbers: ", ".join(map(self.words.digits, numbers)),
            "either": lambda numbers: self.file.either.join(map(self.words.shirt, numbers)),
            "choice": self.file.either.join,
            "teams": lambda teams: ", ".join(self.team_names[team] for team in teams),
            "thing": self._thing,
            "things": lambda items: ", ".join(map(self._thing, items)),
            "order": lambda teams: self.file.then.join(self.team_names[team] for team in teams),
        }


def load_replies(
    path: Path, words: Words, team_names: Mapping[Team, str], kinds: Mapping[str, Kind]
) -> Replies:
    """The replies in that file, checked against the rows of all kinds.

    Raises:
        InputError: the file is missing or wrong, lacks a kind, or names an unknown one, an
            unknown value or an unknown form; `path:line: …`.
    """
    source = Source(path)
    file = source.as_model(RepliesFile)
    replies = Replies(file, words, team_names)
    missing = sorted(set(kinds) - set(file.kinds))
    if missing:
        raise source.error(f"expected a text for every kind, got none for {missing}", "kinds")
    for kind, texts in file.kinds.items():
        if kind not in kinds:
            raise source.error(f"expected a known kind, got {kind!r}", "kinds", kind)
        for level, text in texts.model_dump(exclude_none=True).items():
            what = _wrong(text, frozenset(kinds[kind].slots), {None, *replies.forms, *file.terms})
            if what:
                raise source.error(what, "kinds", kind, level)
    return replies


def _wrong(text: str, known: frozenset[str], roles: set[str | None]) -> str:
    """What is wrong with a text; empty if nothing is."""
    for field in FIELD.finditer(text):
        if field[1] not in known:
            return f"expected a value of this kind ({', '.join(sorted(known))}), got {field[0]!r}"
        if field[2] not in roles:
            return f"expected a known form, got {field[0]!r}"
    if set("{}[]") & set(FIELD.sub("", PART.sub(lambda part: part[1], text))):
        return f"expected matching brackets, got {text!r}"
    return ""
