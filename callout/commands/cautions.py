"""What people must take care of, each told where they meet it and once.

What is said of injuries stands among the notices, since it is said at the table.
"""

from __future__ import annotations

import sys
from typing import Final

from callout.plain import plain
from callout.table.book.names import names_of, names_told
from callout.table.setup.setup import Setup

AID: Final = (
    "callout is an aid. It is no official clock: the officials, local rules and licensed people "
    "decide."
)
"""Told with a new setup file. Source: NFHS 2-4 and FIBA 46, the officials' decisions are final,
from memory; the rest common practice, no source."""

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
    return (
        f"it holds {names_told(count)}, which may be children's: share it with care. Numbers alone "
        "do everything."
    )


def tell_names(what: str, setup: Setup) -> None:
    """Tells beside what was written that names stand on it; data-protection law is local."""
    if told := of_names(setup):
        print(plain(f"{what}: {told}"), file=sys.stderr)
