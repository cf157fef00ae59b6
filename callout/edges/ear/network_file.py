"""The recognizer's network as its file has it: the numbers of each component, and where they lie.

Source of the format: Kaldi's nnet3 (from memory).
"""

from __future__ import annotations

import struct
from math import prod
from typing import Final

import numpy as np
from numpy.typing import NDArray

from callout.errors import ModelError

EPSILON: Final = 1e-3
"""What a normalised component adds to a variance; all of them have this one."""

SKIPPED: Final = 0.75
"""The share of a layer's input that is added to its output."""

EVERY: Final = 3
"""The network answers every third frame."""


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


def numbers(network: bytes, key: str) -> NDArray[np.float32]:
    """The numbers of a `component Token`, as the file has them.

    Raises:
        ModelError: the network has none such.
    """
    at, shape = place(network, key)
    return np.frombuffer(network, "<f4", prod(shape), at).reshape(shape)


def has(network: bytes, key: str) -> bool:
    """Whether the network has numbers for a `component Token`."""
    try:
        return place(network, key)[1][0] > 0
    except ModelError:
        return False


def offsets(network: bytes, component: str) -> list[int]:
    """How many frames away those lie that a component takes together."""
    begin = network.find(f"<ComponentName> {component} <".encode())
    end = network.find(b"<ComponentName>", begin + 1)
    at = network.find(b"<TimeOffsets> ", begin, end if end > 0 else len(network))
    if at < 0:
        return [0]
    at += len(b"<TimeOffsets> ")
    (count,) = struct.unpack_from("<i", network, at + 1)
    return list(struct.unpack_from(f"<{count}i", network, at + 5))
