"""What may be pressed or said now, in one line: what one switch would be offered, with its keys."""

from __future__ import annotations

from typing import Final

from callout.game.notices.kinds import Notice
from callout.game.terms import Team
from callout.table.hands.keymap import KeyMap
from callout.table.hands.one_switch import Switch
from callout.table.speech.kinds import HELP

MOST: Final = 6
"""More than these nobody keeps in mind."""


def key_help(switch: Switch, keymap: KeyMap, team: Team | None, asked: bool) -> Notice:
    """The line; for `team` once its key was pressed, and with the answers while one is `asked`."""
    named = {
        label: keymap.find(leads if isinstance(leads, Team) else (leads,))
        for label, leads in switch.group(team, asked)
    }
    keys = [f"{_shown(key)} {label}" for label, key in named.items() if key]
    return Notice(HELP, slots={"text": "; ".join(keys[:MOST])})


def _shown(key: str) -> str:
    return " ".join(each.capitalize() for each in key.split())
