"""What lies between a mouth and the network: rooms, microphones and telephones, for many sounds."""

from __future__ import annotations

import math
from typing import Final

import torch
from torch import Tensor
from torch.nn import functional

from callout.edges.ear.hall_noise import FRAME
from callout.edges.ear.sound import RATE_HZ

KNOTS_HZ: Final = (30.0, 120.0, 400.0, 1_200.0, 3_500.0, 9_000.0)
TELEPHONE_HZ: Final = (3_300.0, 4_000.0)
"""A telephone, and a headset that falls back to its ways, gives nothing higher."""

BLOCKED: Final = 0.003
RINGS_S: Final = (0.2, 1.4)
TABLE_S: Final = (0.0004, 0.003)
"""The way by the table's top is so much longer, and comes with up to `TABLE` of the sound."""

TABLE: Final = 0.6


def drawn(like: Tensor, low: float, high: float, *shape: int) -> Tensor:
    """Evenly drawn numbers on the same device."""
    return torch.rand(*shape, device=like.device) * (high - low) + low


def chosen(like: Tensor, share: float, count: int) -> Tensor:
    """Which of so many: (count, 1)."""
    return torch.rand(count, 1, device=like.device) < share


def coloured(waves: Tensor, share: float, most_db: float, narrow: float) -> Tensor:
    """Some by another microphone, and some as by telephone."""
    count, size = waves.shape
    spectrum = torch.fft.rfft(waves)
    hertz = torch.linspace(0.0, RATE_HZ / 2, spectrum.shape[-1], device=waves.device)
    gain = torch.where(chosen(waves, share, count), _curve(waves, hertz, most_db), 1.0)
    cut = drawn(waves, *TELEPHONE_HZ, count, 1)
    gone = chosen(waves, narrow, count) & (hertz[None] > cut)
    return torch.fft.irfft(spectrum * torch.where(gone, BLOCKED, gain), size)


def _curve(like: Tensor, hertz: Tensor, most_db: float) -> Tensor:
    knots = torch.log(torch.tensor(KNOTS_HZ, device=like.device))
    at = torch.log(hertz + KNOTS_HZ[0])
    after = torch.searchsorted(knots, at).clamp(1, len(KNOTS_HZ) - 1)
    share = ((at - knots[after - 1]) / (knots[after] - knots[after - 1])).clamp(0.0, 1.0)
    db = drawn(like, -most_db, most_db, len(like), len(KNOTS_HZ))
    return 10.0 ** ((db[:, after - 1] * (1.0 - share) + db[:, after] * share) / 20.0)


def echoed(waves: Tensor, share: float, ratio_db: tuple[float, float]) -> Tensor:
    """Some in a room: so much of the sound comes straight, the rest rings and by the table."""
    count, size = waves.shape
    length = RATE_HZ
    seconds = torch.arange(length, device=waves.device)[None] / RATE_HZ
    rings = drawn(waves, *RINGS_S, count, 1)
    response = torch.randn(count, length, device=waves.device) * torch.exp(-6.9 * seconds / rings)
    response = torch.where(seconds < drawn(waves, 0.001, 0.012, count, 1), 0.0, response)
    loud = 10.0 ** (-drawn(waves, *ratio_db, count, 1) / 20.0)
    response = response / response.norm(dim=-1, keepdim=True) * loud
    late = (drawn(waves, *TABLE_S, count, 1) * RATE_HZ).long()
    response.scatter_add_(1, late, drawn(waves, 0.0, TABLE, count, 1))
    response = torch.where(chosen(waves, share, count), response, 0.0)
    response[:, 0] = 1.0
    spectrum = torch.fft.rfft(waves, size + length) * torch.fft.rfft(response, size + length)
    return torch.fft.irfft(spectrum, size + length)[:, :size]


def resampled(waves: Tensor, size: int) -> Tensor:
    """The same in so many samples: slower and deeper, or faster and higher."""
    before = waves.shape[-1]
    spectrum = torch.fft.rfft(waves)
    bins = size // 2 + 1
    spectrum = functional.pad(spectrum[..., :bins], (0, max(0, bins - spectrum.shape[-1])))
    return torch.fft.irfft(spectrum, size) * (size / before)


def companded(waves: Tensor, share: float) -> Tensor:
    """Some by a telephone's eight bits.

    Source: the curve of ITU-T G.711 with 255, from memory.
    """
    peak = waves.abs().amax(-1, keepdim=True).clamp(min=1e-4)
    plain = waves / peak
    bent = plain.sign() * torch.log1p(255.0 * plain.abs()) / math.log(256.0)
    steps = torch.round(bent * 127.0) / 127.0
    back = steps.sign() * (torch.exp(steps.abs() * math.log(256.0)) - 1.0) / 255.0 * peak
    return torch.where(chosen(waves, share, len(waves)), back, waves)


def loudest(waves: Tensor) -> Tensor:
    """The largest mean energy of any frame, as `loudest_frame` has it."""
    size = waves.shape[-1] // FRAME * FRAME
    return waves[..., :size].unflatten(-1, (-1, FRAME)).square().mean(-1).amax(-1)


def even(waves: Tensor) -> Tensor:
    """All equally loud."""
    return waves / waves.square().mean(-1, keepdim=True).sqrt().clamp(min=1e-5)
