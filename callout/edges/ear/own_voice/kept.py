"""A learned voice between games, and no sound: how the network is changed, and whose voice it is.

The change of the network's norms is kept in coarse steps; beside it stand the speaker's vectors of
the calls.
"""

from __future__ import annotations

import hashlib
import io
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from callout.edges import folders
from callout.edges.ear.hall_change import STEP, adapted, read_change
from callout.edges.ear.own_voice.features import Array
from callout.edges.ear.own_voice.network import Change, Network, Norm
from callout.edges.ear.own_voice.speaker import VECTOR
from callout.errors import CalloutError, ModelError
from callout.table.book.files import write_whole, writing

NAME: Final = re.compile(r"\w[\w-]{0,39}")
OF_NETWORK: Final = "network"
"""The key of the digest of the network that was changed."""
SPEAKER: Final = "speaker"
"""The key of the speaker's vectors of the calls."""
MOST: Final = 127
"""The most steps of a number, kept in one byte."""
TINY: Final = 1e-6
"""The smallest peak of a change: one of zeros has steps, too."""
NONE: Final = np.zeros(0, np.float32)
FARTHEST: Final = 10.0
"""A norm shifted farther than this means a damaged file: no voice is that far from others.

Units: standard deviations.
"""
FARTHEST_SPEAKER: Final = 100.0
"""A number of a speaker's vector farther than this from 0 means a damaged file."""


def voice_file(name: str) -> Path:
    """Where the voice of that name is kept.

    Raises:
        CalloutError: it is no name for a file.
    """
    if not NAME.fullmatch(name):
        raise CalloutError(f"--voice-of: expected a name of letters and digits, got {name!r}")
    return folders.data() / "voices" / f"{name}.npz"


def keep(change: Change, speaker: Array, network: bytes, path: Path) -> None:
    """Write down what was learned, for the user alone to read.

    `speaker` are the speaker's vectors of the calls (n, 30).

    Raises:
        InputError: the file cannot be written.
    """
    parts: dict[str, NDArray[Any]] = {OF_NETWORK: _digest(network)}
    parts[SPEAKER] = speaker.astype(np.float32)
    for name, each in change.items():
        steps = np.maximum(np.abs(each).max(1), TINY) / MOST
        parts[name] = np.round(each / steps[:, None]).astype(np.int8)
        parts[name + STEP] = steps.astype(np.float32)
    file = io.BytesIO()
    np.savez_compressed(file, **parts)  # type: ignore[arg-type]
    with writing(path):
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        write_whole(path, file.getvalue())


@dataclass(frozen=True, slots=True)
class OwnVoice:
    """A voice that was learned."""

    network: bytes
    """The network with the change for it."""
    speaker: Array
    """The speaker's vectors of the calls (n, 30)."""


def with_voice(network: bytes, path: Path) -> OwnVoice:
    """The learned voice, for this network.

    Raises:
        ModelError: the file is missing or damaged, or of another network.
    """
    parts = dict(read_change(path))
    of_network = parts.pop(OF_NETWORK, None)
    if of_network is None or not np.array_equal(of_network, _digest(network)):
        raise ModelError(f"{path}: it was learned with another recognizer; learn it again")
    added: dict[str, Array] = {}
    for norm in Network(network).norms:
        added |= norm.as_added({norm.name: _shifts(path, parts, norm)})
    speaker = parts.get(SPEAKER, NONE)
    if speaker.shape[1:] != (VECTOR,) or not (np.abs(speaker) <= FARTHEST_SPEAKER).all():
        raise ModelError(f"{path}: it does not tell whose voice it is; learn it again")
    return OwnVoice(adapted(network, added), speaker)


def _shifts(path: Path, parts: Mapping[str, NDArray[Any]], norm: Norm) -> Array:
    """How far a norm is shifted and stretched.

    Raises:
        ModelError: the file does not say it.
    """
    numbers, steps = parts.get(norm.name, NONE), parts.get(norm.name + STEP, NONE)
    if numbers.shape == (2, len(norm.mean)) and steps.shape == (2,):
        made: Array = (numbers * steps[:, None]).astype(np.float32)
        if np.abs(made).max() <= FARTHEST:  # not so of what is no number
            return made
    raise ModelError(f"{path}: expected a learned voice, got another file")


def _digest(network: bytes) -> NDArray[np.uint8]:
    return np.frombuffer(hashlib.sha256(network).digest()[:8], np.uint8)
