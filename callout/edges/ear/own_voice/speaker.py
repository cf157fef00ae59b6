"""A vector for the speaker of a sound, which the recognizer's network is given beside the features.

Source of the method: Kaldi's online i-vectors (from memory); the numbers are the model's own.
"""

from __future__ import annotations

import struct
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[Any]

VECTOR: Final = 30
"""The length of a speaker's vector."""

SPLICED: Final = 3
"""The number of frames before and after each frame that are spliced to it."""

WINDOW: Final = 600
"""The mean over this many frames is subtracted from the features."""
GLOBAL_FRAMES: Final = 200
"""While there are fewer frames than `WINDOW`, up to this many with the mean of all speakers are
added to them."""
GAUSSIANS: Final = 5
"""The number of Gaussians kept for each frame."""
LEAST_POSTERIOR: Final = 0.025
"""Posteriors below this are set to zero."""
FRAME_WEIGHT: Final = 0.1
"""The weight of a frame, which is low because neighbouring frames are much alike."""

LOUD: Final = 0.4
"""The share of a call's frames that `of_loud` takes.

Of people who never taught, pieces of one to two seconds: at 12 dB another person is taken for the
same one as often as the same for another, 11.7 times in a hundred with all frames, 8.1 with half of
them, 7.2 with 0.3; at 18 dB 4.5, 5.2 and 3.7; clean 1.8, 1.8 and 2.0.
"""


class Extractor:
    """A model's i-vector extractor."""

    def __init__(self, model: Path) -> None:
        """`model` is the recognizer's folder."""
        folder = model / "ivector"
        self._project = _after((folder / "final.mat").read_bytes(), b"\0B")
        stats = (folder / "global_cmvn.stats").read_text(encoding="ascii")
        sums = np.array(stats.strip(" []\n").split("\n")[0].split(), dtype=float)
        self._mean = sums[:-1] / sums[-1]
        kinds = (folder / "final.dubm").read_bytes()
        self._constants = _after(kinds, b"<GCONSTS> ")
        self._means = _after(kinds, b"<MEANS_INVVARS> ")
        self._inverse = _after(kinds, b"<INV_VARS> ")
        extractor = (folder / "final.ie").read_bytes()
        turns = np.array(_several(extractor, b"<M> "))
        sharp = np.array(_several(extractor, b"<SigmaInv> "))
        at = extractor.find(b"<IvectorOffset> ") + len(b"<IvectorOffset> ") + 1
        (self._offset,) = struct.unpack_from("<d", extractor, at)
        self._linear = sharp @ turns
        self._square = turns.transpose(0, 2, 1) @ self._linear

    def vector(self, features: Array, heard: int) -> Array:
        """The i-vector after the first `heard` frames: an array (30,)."""
        return self._of_frames(features, np.arange(len(features)) < heard)

    def of_loud(self, features: Array) -> Array:
        """The i-vector of a call's loudest frames, which tell most of who speaks: an array (30,).

        In noise the others tell of the noise. `LOUD` says what that gains.
        """
        loudness = features[:, 0]
        return self._of_frames(features, loudness >= np.quantile(loudness, 1.0 - LOUD))

    def _of_frames(self, features: Array, chosen: NDArray[np.bool_]) -> Array:
        count = len(features)
        sums, frames = np.cumsum(features, 0, dtype=float), np.arange(1.0, count + 1)[:, None]
        if count > WINDOW:
            sums[WINDOW:] -= sums[:-WINDOW].copy()
            frames[WINDOW:] = WINDOW
        of_all = np.clip(WINDOW - frames, 0.0, GLOBAL_FRAMES)
        mean = (sums + of_all * self._mean) / (frames + of_all)
        plain, even = self._projected(features), self._projected(features - mean)
        logs = self._constants + even @ self._means.T - 0.5 * even**2 @ self._inverse.T
        best = np.argpartition(-logs, GAUSSIANS, 1)[:, :GAUSSIANS]
        likely = np.take_along_axis(logs, best, 1)
        shares = np.exp(likely - likely.max(1, keepdims=True))
        shares /= shares.sum(1, keepdims=True)
        shares[shares < LEAST_POSTERIOR] = 0.0
        shares *= FRAME_WEIGHT / shares.sum(1, keepdims=True)
        weights = np.zeros_like(logs)
        np.put_along_axis(weights, best, shares, 1)
        weights, plain = weights[chosen], plain[chosen]
        linear = np.einsum("kd,kdv->v", weights.T @ plain, self._linear)
        square = np.einsum("k,kuv->uv", weights.sum(0), self._square) + np.eye(len(linear))
        linear[0] += self._offset
        found = np.linalg.solve(square, linear)
        found[0] -= self._offset
        return found.astype(np.float32)

    def _projected(self, features: Array) -> Array:
        padded = np.pad(features, ((SPLICED, SPLICED), (0, 0)), mode="edge")
        count = len(features)
        beside = [padded[at : at + count] for at in range(2 * SPLICED + 1)]
        return np.concatenate(beside, 1) @ self._project[:, :-1].T + self._project[:, -1]


def _after(data: bytes, token: bytes) -> Array:
    return _array(data, data.find(token) + len(token))[0]


def _several(data: bytes, token: bytes) -> list[Array]:
    """The matrices after `token`; their number stands after the token `<M>`."""
    at = data.find(token) + len(token)
    if data[at : at + 1] == b"\4":
        at += 5
    (count,) = struct.unpack_from("<i", data, data.find(b"<M> ") + len(b"<M> ") + 1)
    found = []
    for _ in range(count):
        array, at = _array(data, at)
        found.append(array)
    return found


def _array(data: bytes, at: int) -> tuple[Array, int]:
    """A vector, a matrix, or a symmetric matrix stored as its lower half; and where it ends."""
    of, kind = "<f4" if data[at : at + 1] == b"F" else "<f8", data[at + 1 : at + 2]
    (rows,) = struct.unpack_from("<i", data, at + 4)
    if kind == b"M":
        (columns,) = struct.unpack_from("<i", data, at + 9)
        made = np.frombuffer(data, of, rows * columns, at + 13).reshape(rows, columns)
        return made, at + 13 + made.nbytes
    count = rows if kind == b"V" else rows * (rows + 1) // 2
    kept = np.frombuffer(data, of, count, at + 8)
    if kind == b"V":
        return kept, at + 8 + kept.nbytes
    whole = np.zeros((rows, rows))
    whole[np.tril_indices(rows)] = kept
    return whole + np.tril(whole, -1).T, at + 8 + kept.nbytes
