"""What people must take care of, each told where they meet it and once.

What is said of injuries stands among the notices, since it is said at the table; that this is only
an aid stands in words.yaml, as `aid`.
"""

from __future__ import annotations

import sys
from typing import Final

from callout.language.words import words_of
from callout.plain import plain
from callout.table.book.names import names_of
from callout.table.setup.setup import Setup

AT_THE_TABLE: Final = (
    ("cords", "where nobody runs, and taped down; a pedal's, too"),
    (
        "hearing",
        "turn the headset's own knob down until you hear the hall; one ear is enough",
    ),
    ("outdoors", "at thunder or lightning play ends at the official's word: leave table and cords"),
)
"""Told by `callout check`, where the table is set up. Common practice, no source."""


def of_names(setup: Setup) -> str:
    """What to know of the names in a list; empty where there are none."""
    count = len(names_of(setup))
    if not count:
        return ""
    words = words_of(setup.language)
    return words("holds_names", names=words.count("names", count))


def tell_names(what: str, setup: Setup) -> None:
    """Tells beside what was written that names stand on it; data-protection law is local."""
    if told := of_names(setup):
        print(plain(f"{what}: {told}"), file=sys.stderr)
