"""A person's own keys, read from a TOML file; every mistake is reported with its line.

A file has three tables, each with lines `key = "meaning"`:

- `[keys]`: the terminal of the game. `"p g"` are two keys one after the other. Caps Lock matters
  only for letters that are given as capitals.
- `[everywhere]`: keys that count whichever window has the focus.
- `[pedal]`: the keys of one device, which is named by `device`.

The meaning is a call in words (`"home two"`), a call with open places (`"{team} two"`), a list of
calls (the first one that the game accepts is made), or a word of `Hand`.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

from callout.errors import InputError
from callout.game.terms import Team
from callout.language.grammar import Grammar, Scope
from callout.language.pattern import Pattern, PatternError, Patterns
from callout.reading import key_line, read_toml
from callout.table.hands.keymap import (
    DIGITS,
    TABLES,
    Hand,
    KeyMap,
    Target,
    default_keys,
    is_key,
    two_keys,
)
from callout.table.hands.presses import LONG, keys_of

RANGES: Final = {
    "bounce_ms": (0, 200),
    "chord_ms": (10, 500),
    "long_ms": (100, 5_000),
    "stuck_ms": (1_000, 600_000),
    "repeat_ms": (0, 1_000),
    "digit_ms": (0, 1_000),
}
"""The settings of `Feel` that a file may give, with their limits in milliseconds."""
MOST_KEYS: Final = 200
"""The most keys in a table: more than any keyboard has."""
MOST_CALLS: Final = 10
"""The most calls of one key."""


_NAMES: Final[Mapping[str, Hand | Team]] = {one.value: one for kind in (Hand, Team) for one in kind}
"""What a key may stand for besides calls and digits, by the word for it."""


def meaning(words: str, patterns: Patterns) -> Target:
    """What a key with these words stands for, in whichever table it is.

    Raises:
        PatternError: it is no call and no other word for a key.
    """
    if words in _NAMES:
        return _NAMES[words]
    digit = len(words) == 1 and words in DIGITS
    return words if digit else (patterns.read(words),)


def kept_before(own: KeyMap, before: KeyMap, patterns: Patterns) -> KeyMap:
    """A person's keys as they hold before a game: those that talk, choose or write, those whose
    calls may be made then, and the language's keys beside them.
    """

    def kept(keys: Mapping[str, Target]) -> dict[str, Target]:
        found = {key: _before(target, patterns) for key, target in keys.items()}
        return {key: target for key, target in found.items() if target is not None}

    hands = {key: target for key, target in own.keys.items() if isinstance(target, Hand)}
    rest = {key: target for key, target in before.keys.items() if target not in hands.values()}
    return replace(
        own, keys={**rest, **hands}, everywhere=kept(own.everywhere), pedal=kept(own.pedal)
    )


def _before(target: Target, patterns: Patterns) -> Target | None:
    """What a key stands for before a game; None for a call that cannot be made then."""
    if not isinstance(target, tuple):
        return target
    found: list[Pattern] = []
    for each in target:
        with suppress(PatternError):
            found.append(patterns.read(each.text))
    return tuple(found) or None


def read_keys(path: Path, grammar: Grammar, scope: Scope) -> KeyMap:
    """The key map of a file, together with the language's keys that it does not replace.

    Raises:
        InputError: the file cannot be read or has a mistake; `path:line: …`.
    """
    return _Reader(path, grammar, Patterns(grammar, scope)).read()


class _Reader:
    """One file while it is read."""

    def __init__(self, path: Path, grammar: Grammar, patterns: Patterns) -> None:
        self.path, self.patterns = path, patterns
        self.map = default_keys(grammar, patterns)
        self._owners: list[tuple[Target, str, str]] = []
        """Each meaning that has a key already, with that key and its table."""

    def read(self) -> KeyMap:
        data, self._text = read_toml(self.path)
        for name, value in data.items():
            if name in TABLES and isinstance(value, dict):
                self._table(name, value)
            elif name in RANGES:
                self._setting(name, value)
            else:
                known = ", ".join((*RANGES, *(f"[{table}]" for table in TABLES)))
                raise self._error("", name, f"expected one of {known}, got {name!r}")
        return self.map

    def _setting(self, name: str, value: object) -> None:
        first, last = RANGES[name]
        if not isinstance(value, int) or isinstance(value, bool) or not first <= value <= last:
            what = f"{name}: expected milliseconds from {first} to {last}, got {value!r}"
            raise self._error("", name, what)
        self.map = replace(self.map, feel=replace(self.map.feel, **{name: value}))

    def _table(self, table: str, rows: dict[str, Any]) -> None:
        if len(rows) > MOST_KEYS:
            what = f"[{table}]: expected at most {MOST_KEYS} keys, got {len(rows)}"
            raise self._error("", table, what)
        own: dict[str, Target] = {}
        for key, value in rows.items():
            if table == "pedal" and key == "device":
                self.map = replace(self.map, device=self._words(table, key, value))
            else:
                self._check_key(table, key)
                own[key] = self._target(table, key, value)
                self._check_owner(table, key, own[key])
        if table == "keys":
            own = {**self._kept(own), **own}
            self._check_firsts(own)
        match table:
            case "keys":
                self.map = replace(self.map, keys=own)
            case "everywhere":
                self.map = replace(self.map, everywhere=own)
            case _:
                self.map = replace(self.map, pedal=own)

    def _kept(self, own: dict[str, Target]) -> dict[str, Target]:
        """The language's keys that remain beside the person's own.

        A call with a key of its own loses the language's key. A key with a meaning of its own can
        no longer be the first of two.
        """
        return {
            key: target
            for key, target in self.map.keys.items()
            if target not in own.values() and (two_keys(key) or [""])[0] not in own
        }

    def _check_firsts(self, own: dict[str, Target]) -> None:
        for key in own:
            first = (two_keys(key) or [""])[0]
            if first in own:
                what = f"expected a first key without a meaning of its own, got {first!r}"
                raise self._error("keys", key, what)

    def _check_key(self, table: str, gesture: str) -> None:
        two = two_keys(gesture) if table == "keys" else None
        names = two or keys_of(gesture)
        for name in names:
            if not is_key(name):
                raise self._error(table, gesture, f"expected a key, got {name!r}")
        if two:
            return
        if len(set(names)) < len(names):
            raise self._error(table, gesture, f"expected each key once, got {gesture!r}")
        if gesture.endswith(LONG) and len(names) > 1:
            what = f"expected keys together or one held long, got {gesture!r}"
            raise self._error(table, gesture, what)
        if table == "keys" and (gesture.endswith(LONG) or len(names) > 1):
            what = "expected a single key, as terminals do not report held keys, got"
            raise self._error(table, gesture, f"{what} {gesture!r}")

    def _target(self, table: str, key: str, value: object) -> Target:
        if isinstance(value, list) and len(value) > MOST_CALLS:
            what = f"{key}: expected at most {MOST_CALLS} calls, got {len(value)}"
            raise self._error(table, key, what)
        if isinstance(value, list) and value:
            return tuple(self._pattern(table, key, each) for each in value)
        words = self._words(table, key, value)
        try:
            return self._hand(table, key, meaning(words, self.patterns))
        except PatternError as error:
            raise self._error(table, key, f"{key}: {error}") from None

    def _hand(self, table: str, key: str, target: Target) -> Target:
        if target is Hand.TALK and table == "keys":
            what = f"expected {Hand.TAP.value!r}, as terminals do not report held keys, got 'talk'"
            raise self._error(table, key, what)
        if target is Hand.TYPE and (table != "keys" or len(key) > 1):
            what = "expected a single character in [keys] for 'type', got another key"
            raise self._error(table, key, what)
        return target

    def _pattern(self, table: str, key: str, value: object) -> Pattern:
        try:
            return self.patterns.read(self._words(table, key, value))
        except PatternError as error:
            raise self._error(table, key, f"{key}: {error}") from None

    def _words(self, table: str, key: str, value: object) -> str:
        if not isinstance(value, str) or not value.strip():
            raise self._error(table, key, f"{key}: expected words, got {value!r}")
        return " ".join(value.lower().split()) if key != "device" else value.strip()

    def _check_owner(self, table: str, key: str, target: Target) -> None:
        for other, its_key, its_table in self._owners:
            if other == target:
                line = self._line(its_table, its_key)
                what = (
                    f"expected one key for each call, got {key!r} beside {its_key!r} of line {line}"
                )
                raise self._error(table, key, what)
        self._owners.append((target, key, table))

    def _error(self, table: str, key: str, what: str) -> InputError:
        return InputError(self.path, what, self._line(table, key))

    def _line(self, table: str, key: str) -> int:
        return key_line(self._text, (table, key) if table else (key,)).line
