"""The messages between the table and the page's process, used at both ends of the pipe."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from callout.edges.wire import Wire


@dataclass(frozen=True, slots=True)
class Open:
    """The first command: by which tokens the pages are opened.

    They are no arguments, since every user of a machine can read the arguments of a process.
    """

    hall: str
    partner: str
    after: str
    game: str
    """The path of the game's file, from which the sheet and the tables are made."""
    language: str
    """The code of the language in which they are made."""


@dataclass(frozen=True, slots=True)
class Show:
    """The game as it now is."""

    hall: dict[str, Any]
    """What everybody may see; no players."""
    partner: dict[str, Any]
    """What the partner sees besides."""


@dataclass(frozen=True, slots=True)
class Beat:
    """The table lives, and this is its clock."""

    left_tenths: int
    running: bool


@dataclass(frozen=True, slots=True)
class Ready:
    """The server listens."""


@dataclass(frozen=True, slots=True)
class Problem:
    """The server cannot listen, and ends."""

    what: str
    """Why, and what to do."""


@dataclass(frozen=True, slots=True)
class Called:
    """The partner called something on the page."""

    words: str


@dataclass(frozen=True, slots=True)
class Numbered:
    """The number of one line of the book was given on the page after the game."""

    item: int
    number: str


@dataclass(frozen=True, slots=True)
class Approved:
    """The score is to be approved, on the page after the game; the table asks once more."""

    by: str
    """Name and role."""


@dataclass(frozen=True, slots=True)
class Signed:
    """A correction of the closed book, signed on the page after the game."""

    words: str
    by: str
    reason: str


Command = Open | Show | Beat
Done = Called | Numbered | Approved | Signed
"""What a person does on a page."""
Told = Ready | Problem | Done

COMMANDS: Final = Wire[Command]("do", {"open": Open, "show": Show, "beat": Beat})
EVENTS: Final = Wire[Told]("event", {
    "ready": Ready, "problem": Problem, "called": Called, "numbered": Numbered,
    "approved": Approved, "signed": Signed,
})  # fmt: skip
