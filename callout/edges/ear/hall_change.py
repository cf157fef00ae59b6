"""The recognizer's acoustic network, adapted to the noise of a hall.

models/ has the changes to its weights, not the network itself. DEVELOPERS.md says how they were
trained, and how to train them again.

Source of the format: Kaldi's binary files, a token before each value (from memory).
"""

from __future__ import annotations

import io
import lzma
import struct
import tokenize
import zipfile
import zlib
from collections.abc import Mapping
from math import prod
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from callout.edges.ear.network_file import place
from callout.errors import InputError, ModelError
from callout.reading import read_bytes

STEP: Final = " step"
"""Follows a matrix's key: the value of one step in each of its rows."""

MOST: Final = 32 << 20
"""The largest file of changes, packed and unpacked. The program's has 2.3 and 3.4 MB."""

Change = Mapping[str, NDArray[Any]]
"""`component Token` → what is added to its vector, or whole steps to its matrix."""


def read_change(path: Path) -> Change:
    """What a file of changes holds.

    Raises:
        ModelError: it is missing or damaged.
    """
    try:
        data = io.BytesIO(read_bytes(path, MOST))
        with zipfile.ZipFile(data) as packed:
            # A few bytes may unpack to more than any memory holds.
            if sum(each.file_size for each in packed.infolist()) > MOST:
                raise ValueError("too large")
            parts = {each.filename: packed.read(each) for each in packed.infolist()}
        return {name.removesuffix(".npy"): _numbers(part) for name, part in parts.items()}
    except InputError as error:
        raise ModelError(str(error)) from None
    except _DAMAGED:
        raise ModelError(f"{path}: expected changes to a network, got another file") from None


_DAMAGED: Final = (
    ValueError, EOFError, KeyError, OverflowError, NotImplementedError, RuntimeError, OSError,
    SyntaxError, TypeError, struct.error, tokenize.TokenError, zipfile.BadZipFile, zlib.error,
    lzma.LZMAError,
)  # fmt: skip
"""What the readers of archives and of numbers raise for a file of another kind."""


def _numbers(part: bytes) -> NDArray[Any]:
    """The numbers of one part, which must be as many as its header says."""
    file = io.BytesIO(part)
    version = np.lib.format.read_magic(file)
    if version != (1, 0):
        raise ValueError("another form")
    shape, _, kind = np.lib.format.read_array_header_1_0(file)
    if kind.kind not in "iuf" or prod(shape) * kind.itemsize != len(part) - file.tell():
        raise ValueError("fewer numbers, or more")
    file.seek(0)
    return np.lib.format.read_array(file, allow_pickle=False)


def adapted(network: bytes, change: Change) -> bytes:
    """The network with the changes added; as long as before.

    Raises:
        ModelError: the change belongs to another network.
    """
    made = bytearray(network)
    for key, by in change.items():
        if not key.endswith(STEP):
            at, shape = place(network, key)
            if shape != by.shape:
                raise ModelError(f"a network's {key}: expected {by.shape} numbers, got {shape}")
            steps = change.get(key + STEP, np.ones(1, np.float32))
            if steps.shape not in ((1,), shape[:1]):
                raise ModelError(f"a network's {key}: expected a step a row, got {steps.shape}")
            old = np.frombuffer(network, "<f4", by.size, at).reshape(shape)
            rows = steps.reshape(-1, *[1] * (len(shape) - 1))
            new = (old + by * rows).astype("<f4").tobytes()
            made[at : at + len(new)] = new
    return bytes(made)
