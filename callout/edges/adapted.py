"""The recognizer's network, its numbers changed a little so that it hears in a hall's noise.

models/ keeps by how much each number is changed, not the network itself. DEVELOPERS.md tells how
that was found, and how it is found anew.

Source of the format: Kaldi's binary files, a token before each value (from memory).
"""

from __future__ import annotations

import struct
import zipfile
import zlib
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from callout.errors import ModelError

STEP: Final = " step"
"""After a matrix's key: how much one stands for in each of its rows."""

Change = Mapping[str, NDArray[Any]]
"""`component Token` → what is added to its vector, or whole steps to its matrix."""


def read_change(path: Path) -> Change:
    """What a file of changes holds.

    Raises:
        ModelError: it is missing or damaged.
    """
    try:
        with path.open("rb") as opened, np.load(opened, allow_pickle=False) as file:
            return {key: file[key] for key in file.files}
    except OSError as error:
        raise ModelError(f"{path}: {(error.strerror or str(error)).lower()}") from None
    except (ValueError, EOFError, zipfile.BadZipFile, zlib.error):
        raise ModelError(f"{path}: expected changes to a network, got another file") from None


def adapted(network: bytes, change: Change) -> bytes:
    """The network with everything added that the change says; as long as before.

    Raises:
        ModelError: the change is one of another network.
    """
    made = bytearray(network)
    for key, by in change.items():
        if not key.endswith(STEP):
            at, shape = place(network, key)
            if shape != by.shape:
                raise ModelError(f"a network's {key}: expected {by.shape} numbers, got {shape}")
            old = np.frombuffer(network, "<f4", by.size, at).reshape(shape)
            steps = change[key + STEP][:, None] if key + STEP in change else np.float32(1.0)
            new = (old + by * steps).astype("<f4").tobytes()
            made[at : at + len(new)] = new
    return bytes(made)


def place(network: bytes, key: str) -> tuple[int, tuple[int, ...]]:
    """Where the numbers of a `component Token` begin in the file, and how many there are.

    Raises:
        ModelError: the network has none such.
    """
    component, _, token = key.partition(" ")
    begin = network.find(f"<ComponentName> {component} <".encode())
    end = network.find(b"<ComponentName>", begin + 1)
    at = network.find(f"<{token}> F".encode(), begin, end if end > 0 else len(network))
    if begin < 0 or at < 0:
        raise ModelError(f"a network's {key}: expected numbers, got none")
    at += len(token) + 3
    if network[at : at + 3] == b"FV ":
        _, count = struct.unpack_from("<bi", network, at + 3)
        return at + 8, (count,)
    _, rows, _, columns = struct.unpack_from("<bibi", network, at + 3)
    return at + 13, (rows, columns)
