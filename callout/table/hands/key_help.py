"""What may be pressed or said now, in one line: the choices of one switch, with their keys."""

from __future__ import annotations

from typing import Final

from callout.game.notices.kinds import Notice
from callout.game.terms import Team
from callout.table.hands.keymap import KeyMap
from callout.table.hands.one_switch import Switch
from callout.table.speech.kinds import HELP

MOST_OFFERED: Final = 6
"""The most keys in the line; nobody remembers more."""


def key_help(switch: Switch, keymap: KeyMap, team: Team | None, asked: bool) -> Notice:
    """The line as a notice.

    With `team`, whose key was just pressed, it lists that team's calls; with `asked`, the answers
    to the open question.
    """
    named = {
        label: keymap.find(leads if isinstance(leads, Team) else (leads,))
        for label, leads in switch.group(team, asked)
    }
    keys = [f"{_shown(key)} {label}" for label, key in named.items() if key]
    return Notice(HELP, slots={"text": "; ".join(keys[:MOST_OFFERED])})


def _shown(key: str) -> str:
    return " ".join(each.capitalize() for each in key.split())
