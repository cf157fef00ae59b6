"""Where the files that are not code are found, in a checkout and in an installed wheel."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

PACKAGE = Path(__file__).parent


def data_folder(name: Literal["grammars", "models"]) -> Path:
    """The folder of that name: packed with the program, or beside it in a checkout."""
    packed = PACKAGE / "_data" / name
    return packed if packed.is_dir() else PACKAGE.parent / name
