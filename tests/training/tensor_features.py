"""The features of many sounds at once, on whatever device trains; the same as `features` makes."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Final

import numpy as np
import torch
from torch import Tensor

from callout.edges.ear.own_voice import speaker
from callout.edges.ear.own_voice.features import BINS, HIGH_HZ, LOW_HZ
from callout.edges.ear.own_voice.speaker import (
    FRAME_WEIGHT,
    GAUSSIANS,
    GLOBAL_FRAMES,
    LEAST_POSTERIOR,
    SPLICED,
)
from callout.edges.ear.sound import RATE_HZ

FRAME: Final = 400
HOP: Final = 160
POINTS: Final = 512
LIFTER: Final = 22.0
EMPHASIS: Final = 0.97
LEAST_ENERGY: Final = 1.1920929e-07


class Mfcc:
    """Sounds from -1 to 1 → (sounds, frames, 40)."""

    def __init__(self, device: torch.device) -> None:
        angle = 2.0 * math.pi * torch.arange(FRAME, dtype=torch.float64) / (FRAME - 1)
        self._window = ((0.5 - 0.5 * torch.cos(angle)) ** 0.85).float().to(device)
        self._bins = torch.tensor(_mel_bins(), dtype=torch.float32, device=device)
        self._cosines = torch.tensor(_cosines(), dtype=torch.float32, device=device)

    def __call__(self, waves: Tensor, dither: float = 1.0) -> Tensor:
        """What the recognizer makes of them; it adds noise of one step to each sample."""
        frames = (waves.float() * 32_768.0).unfold(-1, FRAME, HOP)
        frames = frames + dither * torch.randn_like(frames)
        frames = frames - frames.mean(-1, keepdim=True)
        first = frames[..., :1] * (1.0 - EMPHASIS)
        frames = torch.cat([first, frames[..., 1:] - EMPHASIS * frames[..., :-1]], -1)
        power = torch.fft.rfft(frames * self._window, POINTS).abs() ** 2
        return torch.log((power @ self._bins).clamp(min=LEAST_ENERGY)) @ self._cosines


def _mel_bins() -> np.ndarray:
    def mel(hertz: np.ndarray) -> np.ndarray:
        return 1127.0 * np.log(1.0 + hertz / 700.0)

    low_mel, high_mel = mel(np.array([LOW_HZ, HIGH_HZ]))
    edges = np.linspace(low_mel, high_mel, BINS + 2)
    at = mel(np.arange(POINTS // 2) * RATE_HZ / POINTS)[:, None]
    low, middle, high = edges[:-2], edges[1:-1], edges[2:]
    made = np.minimum((at - low) / (middle - low), (high - at) / (high - middle)).clip(0.0)
    return np.concatenate([made, np.zeros((1, BINS))])


def _cosines() -> np.ndarray:
    row, column = np.arange(BINS)[:, None], np.arange(BINS)[None]
    made = np.sqrt(2.0 / BINS) * np.cos(np.pi / BINS * (column + 0.5) * row)
    made[0] = np.sqrt(1.0 / BINS)
    lifted: np.ndarray = (made * (1.0 + 0.5 * LIFTER * np.sin(np.pi * row / LIFTER))).T
    return lifted


class Speakers:
    """A model's i-vector extractor for many sounds of at most six seconds."""

    def __init__(self, model: Path, device: torch.device) -> None:
        """`model` is the recognizer's folder."""
        one = speaker.Extractor(model)

        def on(array: speaker.Array) -> Tensor:
            return torch.tensor(np.array(array), dtype=torch.float32, device=device)

        self._project, self._shift = on(one._project[:, :-1].T), on(one._project[:, -1])
        self._mean, self._constants = on(one._mean), on(one._constants)
        self._means, self._inverse = on(one._means.T), on(one._inverse.T)
        self._linear, self._square = on(one._linear), on(one._square)
        self._offset = float(one._offset)

    def __call__(self, made: Tensor, heard: Tensor) -> Tensor:
        """What the first so many frames of each tell of the speaker: (sounds, 30)."""
        count = made.shape[1]
        assert count <= speaker.WINDOW
        frames = torch.arange(1.0, count + 1, device=made.device)[None, :, None]
        of_all = (speaker.WINDOW - frames).clamp(0.0, GLOBAL_FRAMES)
        mean = (made.cumsum(1) + of_all * self._mean) / (frames + of_all)
        plain, even = self._projected(made), self._projected(made - mean)
        logs = self._constants + even @ self._means - 0.5 * even**2 @ self._inverse
        best, kinds = logs.topk(GAUSSIANS, -1)
        shares = best.softmax(-1)
        shares = torch.where(shares < LEAST_POSTERIOR, 0.0, shares)
        shares = FRAME_WEIGHT * shares / shares.sum(-1, keepdim=True)
        shares = (
            shares * (torch.arange(count, device=made.device)[None] < heard[:, None])[..., None]
        )
        weights = torch.zeros_like(logs).scatter_(-1, kinds, shares)
        sums = torch.einsum("btk,btd->bkd", weights, plain)
        linear = torch.einsum("bkd,kdv->bv", sums, self._linear).double()
        square = torch.einsum("bk,kuv->buv", weights.sum(1), self._square).double()
        square = square + torch.eye(square.shape[-1], device=made.device, dtype=torch.double)
        linear[:, 0] += self._offset
        found = torch.linalg.solve(square, linear)
        found[:, 0] -= self._offset
        return found.float()

    def _projected(self, made: Tensor) -> Tensor:
        count = made.shape[1]
        first, last = (made[:, at].expand(-1, SPLICED, -1) for at in (slice(0, 1), slice(-1, None)))
        padded = torch.cat([first, made, last], 1)
        beside = [padded[:, at : at + count] for at in range(2 * SPLICED + 1)]
        return torch.cat(beside, -1) @ self._project + self._shift
