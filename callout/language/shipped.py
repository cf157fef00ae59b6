"""The languages that come with the program, each read once a process."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, wraps
from pathlib import Path
from typing import TypeVar

from callout.data import data_folder

T = TypeVar("T")


def language_folder(name: str = "en") -> Path:
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
