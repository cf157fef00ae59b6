"""What may be pressed or said now: the choices of one switch with their keys, a page at a time."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from callout.game.called import CALLS
from callout.game.kind import Kind
from callout.game.notices.kinds import Notice
from callout.game.talk import TALK
from callout.game.terms import Team
from callout.language.pattern import Pattern
from callout.language.scope import Sentences
from callout.table.hands.keymap import Hand, KeyMap
from callout.table.hands.one_switch import TEAM, Switch
from callout.table.speech.kinds import HELP, HELP_WORDS

MOST_OFFERED: Final = 6
"""The most keys of a page; nobody remembers more."""

HELPERS: Final = (Hand.DONE, Hand.CLEAR, Hand.TYPE, Hand.CHOOSE)
"""Keys that make no call by themselves, named at the end."""


def key_rows(switch: Switch, keymap: KeyMap, team: Team | None, asked: bool) -> tuple[str, ...]:
    """Everything that may be pressed now, each key with its words; the most usual first.

    With `team`, whose key was just pressed, it is that team's calls; with `asked`, the answers to
    the open question come first.
    """
    named: dict[str, str] = {}
    groups = [*(["asked"] if asked else []), "team" if team else "first"]
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


def word_rows(switch: Switch, asked: bool, closed: bool) -> tuple[str, ...]:
    """Everything that may be said or typed now, in whole calls; the most usual first.

    `closed`: the book is closed, so that only questions to the table are left.
    """
    words = switch.replies.file.terms.get("place", {})
    usual = [leads for label in (["asked"] if asked else []) for leads in _own(switch, label, None)]
    for label, leads in switch.menu["first"].items():
        if label == TEAM:
            usual += (each for team in Team for each in _own(switch, "team", team))
        elif isinstance(leads, Pattern) and switch.possible(leads, None):
            usual.append(leads)
    rare = [_calls(switch, "first", None), *(_calls(switch, "team", team) for team in Team)]
    others = (leads for rows in rare for _, leads in rows if isinstance(leads, Pattern))
    found = (each for each in (*usual, *others) if not closed or _is_talk(switch, each))
    return tuple(dict.fromkeys(_worded(each, words) for each in found))


def _is_talk(switch: Switch, pattern: Pattern) -> bool:
    """Whether a call is for the table, and not for the book."""
    names = switch.patterns.grammar.calls[pattern.index].does or {}
    return all(issubclass(CALLS.members()[name], TALK) for name in names)


def _own(switch: Switch, name: str, team: Team | None) -> Iterator[Pattern]:
    """The calls of a group itself that may be made now."""
    for leads in switch.menu[name].values():
        if isinstance(leads, Pattern) and switch.possible(leads, team):
            yield leads


def _worded(pattern: Pattern, words: Mapping[str, str]) -> str:
    """A call with words for its open places: `home or guest two`."""
    text = pattern.text
    for place in (*pattern.places, *pattern.options):
        text = text.replace(f"{{{place.slot}}}", words.get(place.kind, place.slot))
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
    return " ".join(word for word in pattern.text.split() if word != TEAM)


def shown(key: str) -> str:
    """A key as it is printed on a keyboard: `P N`, `Left`."""
    spaced = key.replace("pagedown", "page down").replace("pageup", "page up")
    return " ".join(each.capitalize() for each in spaced.split())
