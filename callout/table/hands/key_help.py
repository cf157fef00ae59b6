"""What may be pressed or said now: the choices of one switch with their keys, a page at a time."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain, cycle
from typing import Final

from callout.game.called import CALLS
from callout.game.figures import checklist
from callout.game.kind import Kind
from callout.game.notices.kinds import Notice
from callout.game.state import Game
from callout.game.talk import TALK
from callout.game.terms import Team
from callout.language.pattern import Pattern
from callout.language.scope import Sentences
from callout.table.hands.keymap import Hand, KeyMap
from callout.table.hands.one_switch import ASKED, FIRST, TEAM, Switch
from callout.table.speech.kinds import HELP, HELP_WORDS

MOST_OFFERED: Final = 6
"""The most keys of a page; nobody remembers more."""

SOME_SHIRTS: Final = ("4", "10")
"""Examples where the lists are empty: numbers that every league allows, and that sound apart."""

LATER: Final = "…"
"""Stands for what is pressed after a key: a number, a time."""

HELPERS: Final = (Hand.DONE, Hand.CLEAR, Hand.TYPE, Hand.CHOOSE)
"""Keys that make no call by themselves, named at the end."""


def expected(switch: Switch, game: Game, asked: bool) -> str:
    """The group of the menu that comes first now: the answers to an open question, or before the
    game what the item of the checklist needs; empty where nothing is expected.
    """
    if asked:
        return ASKED
    item = checklist.current(game)
    group = checklist.look_of(game.profile, item).value if item else ""
    return group if group in switch.menu else ""


def key_rows(switch: Switch, keymap: KeyMap, team: Team | None, first: str) -> tuple[str, ...]:
    """Everything that may be pressed now, each key with its words; the most usual first.

    With `team`, whose key was just pressed, it is that team's calls. `first` is the group that is
    expected now, as `expected` gives it.
    """
    named: dict[str, str] = {}
    asked = first == ASKED
    groups = [*([first] if first else []), "team" if team else FIRST]
    for label, leads in (row for group in groups for row in _calls(switch, group, team)):
        if key := keymap.find(leads if isinstance(leads, Team) else (leads,)):
            named.setdefault(key, label)
    for key, target in keymap.keys.items():
        if isinstance(target, tuple) and _fits(switch, target[0], team, asked):
            named.setdefault(key, _without_team(target[0]))
    words = switch.replies.file.terms.get("hand", {})
    for hand in () if team else HELPERS:
        if (key := keymap.find(hand)) and hand.value in words:
            named[key] = words[hand.value]
    return tuple(f"{shown(key)} {label}" for key, label in named.items())


def word_rows(switch: Switch, first: str, closed: bool) -> tuple[str, ...]:
    """Everything that may be said or typed now, in whole calls; the most usual first.

    `first` is the group that is expected now, as `expected` gives it. `closed`: the book is closed,
    so that only questions to the table are left.
    """
    usual = [*_own(switch, first, None)] if first else []
    shown_how = [_example(switch, each) for each in usual if first != ASKED]
    for label, leads in switch.menu[FIRST].items():
        if label == TEAM:
            usual += (each for team in Team for each in _own(switch, "team", team))
        elif isinstance(leads, Pattern) and switch.possible(leads, None):
            usual.append(leads)
    rare = [_calls(switch, FIRST, None), *(_calls(switch, "team", team) for team in Team)]
    others = (leads for rows in rare for _, leads in rows if isinstance(leads, Pattern))
    found = (each for each in (*usual, *others) if not closed or _is_talk(switch, each))
    return tuple(dict.fromkeys((*shown_how, *(_worded(switch, each) for each in found))))


def _is_talk(switch: Switch, pattern: Pattern) -> bool:
    """Whether a call is for the table, and not for the book."""
    names = switch.patterns.grammar.calls[pattern.index].does or {}
    return all(issubclass(CALLS.members()[name], TALK) for name in names)


def _own(switch: Switch, name: str, team: Team | None) -> Iterator[Pattern]:
    """The calls of a group itself that may be made now."""
    for leads in switch.menu[name].values():
        if isinstance(leads, Pattern) and switch.possible(leads, team):
            yield leads


def _example(switch: Switch, pattern: Pattern) -> str:
    """The call as somebody would say it, with values in it."""
    if pattern.wants("shirt"):
        return _worded(switch, pattern)
    return switch.patterns.grammar.calls[pattern.index].examples[0].say


def _worded(switch: Switch, pattern: Pattern) -> str:
    """A call with words for its open places, and shirt numbers of the lists: `home or guest sub
    four in ten out`. Where the number is all there is to say, it is any number.
    """
    words, text = switch.replies.file.terms.get("place", {}), pattern.text
    numbers = chain(switch.numbers(None), cycle(SOME_SHIRTS))
    for place in (*pattern.places, *pattern.options):
        shirt = place.kind == "shirt" and " " in text
        word = switch.replies.words.shirt(next(numbers)) if shirt else words.get(place.kind)
        text = text.replace(f"{{{place.slot}}}", word or place.slot)
    return text


def help_page(rows: Sequence[str], page: int, kind: Kind = HELP) -> Notice:
    """A page of them as a notice, with how many are left after it."""
    begin = page * MOST_OFFERED
    left = max(0, len(rows) - begin - MOST_OFFERED)
    text = "; ".join(rows[begin : begin + MOST_OFFERED])
    return Notice(kind, slots={"text": text, "more": left or None})


def help_in_words(rows: Sequence[str], page: int) -> Notice:
    """A page of whole calls as a notice."""
    return help_page(rows, page, HELP_WORDS)


def pages(rows: Sequence[str]) -> int:
    """How many pages there are, at least one."""
    return max(1, -(-len(rows) // MOST_OFFERED))


def _calls(switch: Switch, name: str, team: Team | None) -> Iterator[tuple[str, Pattern | Team]]:
    """The calls of a group that may be made now, then those of its groups in their order."""
    deeper: list[str] = []
    for label, leads in switch.menu[name].items():
        if isinstance(leads, Pattern):
            if switch.possible(leads, team):
                yield label, leads
        elif label == TEAM:
            yield from ((switch.replies.team_names[each], each) for each in Team)
        else:
            deeper.append(leads)
    for group in deeper:
        yield from _calls(switch, group, team)


def _fits(switch: Switch, pattern: Pattern, team: Team | None, asked: bool) -> bool:
    """Whether a key's call may be made now: with a team's key before it, only a team's call."""
    sentences = switch.patterns.grammar.calls[pattern.index].sentences
    of_team = pattern.wants("team") is not None
    answers = sentences is not Sentences.CALLS
    return of_team == (team is not None) and answers <= asked and switch.possible(pattern, team)


def _without_team(pattern: Pattern) -> str:
    """The words of a key's call without its team; what is pressed next stands as dots."""
    said = (word for word in pattern.text.split() if word != TEAM)
    return " ".join(LATER if word.startswith("{") else word for word in said)


def shown(key: str) -> str:
    """A key as it is printed on a keyboard: `P N`, `Left`."""
    spaced = key.replace("pagedown", "page down").replace("pageup", "page up")
    return " ".join(each.capitalize() for each in spaced.split())
