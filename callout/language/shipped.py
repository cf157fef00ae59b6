"""The languages that come with the program, each read once a process."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, wraps
from pathlib import Path
from typing import Final, TypeVar

from callout.data import data_folder
from callout.reading import is_folder

T = TypeVar("T")

ENGLISH: Final = "en"
"""The language of a game that says nothing of another."""


@cache
def languages() -> tuple[str, ...]:
    """The codes of the languages that come with the program, in their order."""
    folders = filter(is_folder, data_folder("grammars").iterdir())
    return tuple(sorted(folder.name for folder in folders))


def language_folder(name: str = ENGLISH) -> Path:
    """The folder of a language that comes with the program."""
    return data_folder("grammars") / name


def is_shipped(folder: Path) -> bool:
    """Whether it is the folder of a language that comes with the program."""
    return folder.parent == data_folder("grammars")


def kept_if_shipped(load: Callable[[Path, str], T]) -> Callable[[Path, str], T]:
    """The same loader, which keeps what it made of a language that comes with the program.

    Its files stay as they are while the program runs, and to read and check English takes 0.7 s. A
    folder of somebody's own is read each time: it may have been put right since.
    """
    kept = cache(load)

    @wraps(load)
    def loaded(folder: Path, part: str) -> T:
        return kept(folder, part) if is_shipped(folder) else load(folder, part)

    return loaded
