"""The threshold for one person's voice and microphone, kept between games: a number, no sound."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Final

from callout.edges import folders
from callout.edges.ear.options import MEASURED, Options
from callout.errors import InputError
from callout.reading import exists, read_toml
from callout.table.book.files import write_whole, writing

LOWEST: Final = -6.0
HIGHEST: Final = 3.0
"""A person's threshold lies between these; beyond them the microphone is at fault."""


@dataclass(frozen=True, slots=True)
class OwnEar:
    """One person's thresholds."""

    least_score: float
    """As `Options.least_score`."""


def own_ear_file() -> Path:
    """Where they are kept."""
    return folders.settings() / "ear.toml"


def keep(own: OwnEar, path: Path) -> None:
    """Write them down, for the user alone to read.

    Raises:
        InputError: the file cannot be written.
    """
    lines = [f"{name} = {value!r}\n" for name, value in asdict(own).items()]
    with writing(path):
        path.parent.mkdir(parents=True, exist_ok=True)
        # Writes the file that a link points to, and leaves the link.
        write_whole(path.resolve(), "".join(lines).encode("utf-8"))


def _warn(what: str) -> None:
    print(f"ear: {what}", file=sys.stderr, flush=True)


def own_options(path: Path, warn: Callable[[str], None] = _warn) -> Options:
    """The ear's options with the threshold that was kept; without it where the file cannot be used.

    Such a file is warned of: it must not keep a game from starting.
    """
    try:
        return _read(path)
    except InputError as error:
        warn(f"{error}; going on without it")
        return MEASURED


def _read(path: Path) -> Options:
    """What `keep` wrote, as options.

    Nothing is added to a threshold that was found in that hall, by that voice.

    Raises:
        InputError: the file is not what `keep` wrote.
    """
    if not exists(path):
        return MEASURED
    told, _ = read_toml(path)
    try:
        own = OwnEar(float(told["least_score"]))
    except (ValueError, KeyError, TypeError, OverflowError):
        what = "expected the thresholds that callout check --ear keeps; run it again"
        raise InputError(path, what) from None
    if not LOWEST <= own.least_score <= HIGHEST:
        what = f"expected least_score from {LOWEST:g} to {HIGHEST:g}, got {own.least_score:g}"
        raise InputError(path, what)
    return Options(least_score=own.least_score, more_when_clear=0.0)
