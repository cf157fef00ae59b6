"""The folders of files that are not code, in a checkout and in an installed wheel."""

from __future__ import annotations

from pathlib import Path
from typing import Final, Literal

PACKAGE: Final = Path(__file__).parent


def data_folder(name: Literal["grammars", "models"]) -> Path:
    """A folder of data: within the package if it is installed, beside it in a checkout."""
    packed = PACKAGE / "_data" / name
    return packed if packed.is_dir() else PACKAGE.parent / name
