"""The keys for a call, for those who practise without an ear."""

from __future__ import annotations

from dataclasses import replace

from callout.language.replies import Replies
from callout.practice.facts import Fact
from callout.practice.words import said
from callout.table.hands.keymap import Hand, KeyMap


def key_hint(fact: Fact, keymap: KeyMap, words: Replies) -> str:
    """The keys of a call, one after the other; empty where the key map has none for it."""
    done = keymap.find(Hand.DONE) or ""
    digits = " ".join([*fact.number, done]).strip() if fact.number else ""
    if fact.kind == "number":
        return digits
    team = keymap.find(fact.team) if fact.team else ""
    kind = _kind(fact, keymap, words)
    return " ".join(filter(None, (team, kind, digits))) if kind and team is not None else ""


def _kind(fact: Fact, keymap: KeyMap, words: Replies) -> str:
    """The key for what happened: the one whose words are the same, with the team left open."""
    notice = said(replace(fact, number=None))
    text = words.say(notice.kind, notice.slots).lower()
    if fact.team:
        name = words.team_names[fact.team].lower()
        text = " ".join("{team}" if word == name else word for word in text.split())
    return next(
        (
            key
            for key, target in keymap.keys.items()
            if isinstance(target, tuple) and any(pattern.text == text for pattern in target)
        ),
        "",
    )
