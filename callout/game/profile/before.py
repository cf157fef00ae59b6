"""What is done before a game, in which order and by when: a league's checklist as plain data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Annotated

from pydantic import Field

from callout.game.profile.sections import STRICT, Seconds, label
from callout.game.values import ItemName


class Look(Enum):
    """What the program itself sees, says or tries of an item."""

    NONE = "nothing"
    TIP = "tip"
    """Whether the time of the start is known."""
    ARRIVAL = "arrival"
    """Nothing; it is due when the crew or the first list is, whichever is earlier."""
    LISTS = "lists"
    """Whether both teams have a list."""
    NUMBERS = "numbers"
    """Numbers that are not legal, too many of them, and those that sound alike."""
    STARTERS = "starters"
    """Whether both teams have named theirs, and somebody has agreed to them."""
    FIGURES = "figures"
    """The league's main figures are read out."""
    MICROPHONE = "microphone"
    VOICE = "voice"
    KEYS = "keys"


@dataclass(frozen=True, slots=True)
class Item:
    """One thing to do before a game."""

    __pydantic_config__ = STRICT

    by_s: Annotated[Seconds, label("due before the start")] = 0
    """0 for no time of its own."""
    look: Annotated[Look, label("the program sees to")] = Look.NONE
    words: Annotated[str, Field(max_length=200), label("said as")] = ""
    """What is said; empty for an item that the language has words for."""


@dataclass(frozen=True, slots=True)
class Before:
    """The interval before a game, and what is done in it or earlier."""

    __pydantic_config__ = STRICT

    interval_s: Annotated[Seconds, label("Interval before the game")]
    warnings_s: Annotated[tuple[Seconds, ...], label("Warnings before the start")]
    horn_last_s: Annotated[Seconds, label("End of it in which a warning is a horn")]
    """The referees are told of earlier ones by word of mouth."""
    soon_s: Annotated[
        int, Field(ge=120, le=3_600), label("A deadline is announced that long before")
    ]
    order: Annotated[tuple[ItemName, ...], label("Checklist, in the order in which it is done")]
    items: Annotated[Mapping[ItemName, Item], label("On the checklist")]
