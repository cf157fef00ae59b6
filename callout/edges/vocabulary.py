"""The words that a recognizer's model knows, read from its own grammar; no recognizer is needed.

Source of the format: OpenFst's documented vector FST and symbol table.
"""

from __future__ import annotations

import struct
from pathlib import Path
from typing import BinaryIO, Final

from callout.edges.acceptor import FST_MAGIC, SYMBOLS_MAGIC
from callout.errors import ModelError

INPUT_SYMBOLS: Final = 1
"""The flag of a file that holds the words of its arcs."""

LONGEST: Final = 1_000
"""A longer word is a damaged file."""


def model_words(model: Path) -> frozenset[str]:
    """Every word of a model, its signs for noise and other speech left out.

    Raises:
        ModelError: the file that holds them is missing or damaged.
    """
    path = model / "graph" / "Gr.fst"
    try:
        with path.open("rb") as file:
            _skip_header(file)
            return frozenset(word for word in _symbols(file) if word[0] not in "<[#!")
    except OSError as error:
        raise ModelError(f"{path}: {(error.strerror or str(error)).lower()}") from None
    except (struct.error, UnicodeDecodeError, ValueError):
        raise ModelError(f"{path}: expected a grammar with its words, got another file") from None


def _skip_header(file: BinaryIO) -> None:
    (magic,) = _read(file, "<i")
    if magic != FST_MAGIC:
        raise ValueError(magic)
    _text(file), _text(file)
    _, flags, *_ = _read(file, "<iiQqqq")
    if not flags & INPUT_SYMBOLS:
        raise ValueError(flags)


def _symbols(file: BinaryIO) -> list[str]:
    (magic,) = _read(file, "<i")
    if magic != SYMBOLS_MAGIC:
        raise ValueError(magic)
    _text(file)
    _, count = _read(file, "<qq")
    found = []
    for _ in range(count):
        found.append(_text(file))
        _read(file, "<q")
    return [word for word in found if word]


def _text(file: BinaryIO) -> str:
    (length,) = _read(file, "<i")
    if not 0 <= length <= LONGEST:
        raise ValueError(length)
    return file.read(length).decode()


def _read(file: BinaryIO, form: str) -> tuple[int, ...]:
    return struct.unpack(form, file.read(struct.calcsize(form)))
