"""The vocabulary of a recognizer's model, read from its own grammar without a recognizer."""

from __future__ import annotations

import struct
from pathlib import Path
from typing import BinaryIO

from callout.edges.models.openfst import (
    INPUT_SYMBOLS,
    read,
    read_head,
    read_symbols_head,
    read_text,
)
from callout.errors import ModelError, why


def model_words(model: Path) -> frozenset[str]:
    """Every word of a model, without its symbols for noise and unknown speech.

    Raises:
        ModelError: the file that holds them is missing or damaged.
    """
    path = model / "graph" / "Gr.fst"
    try:
        with path.open("rb") as file:
            head = read_head(file)
            if not head.flags & INPUT_SYMBOLS:
                raise ValueError(head.flags)
            return frozenset(word for word in _symbols(file) if word[0] not in "<[#!")
    except OSError as error:
        raise ModelError(f"{path}: {why(error)}") from None
    except (struct.error, UnicodeDecodeError, ValueError):
        raise ModelError(f"{path}: expected a grammar with its words, got another file") from None


def _symbols(file: BinaryIO) -> list[str]:
    found = []
    for _ in range(read_symbols_head(file)):
        found.append(read_text(file))
        read(file, "<q")
    return [word for word in found if word]
