"""Checks a path that was given for a game's file, before SQLite opens it."""

from __future__ import annotations

from pathlib import Path

from callout.errors import JournalError
from callout.plain import quoted
from callout.reading import exists, is_file
from callout.table.setup.header import is_setup


def no_game(path: Path) -> JournalError:
    """The error of a command that was given the name of a game's file that is not there."""
    what = "there is no such file; expected a game's file, such as saturday.game"
    return JournalError(f"{path}: {what}")


def check_game_path(path: Path) -> None:
    """Check that a path is a file and not a setup file; it need not exist.

    Raises:
        InputError: it cannot be examined.
        JournalError: it is a setup file, a folder, a pipe or a device.
    """
    if not exists(path):
        return
    if not is_file(path):
        raise JournalError(f"{path}: expected a game, got a folder, a pipe or a device")
    if is_setup(path):
        what = "is a setup file, not a game; to play it: callout live NEW.game --setup"
        raise JournalError(f"{path}: {what} {quoted(path)}")


def check_game_exists(path: Path) -> None:
    """Check that a path is a game's file, and there.

    Raises:
        InputError: it cannot be examined.
        JournalError: it is not there, or is something else.
    """
    check_game_path(path)
    if not exists(path):
        raise no_game(path)
