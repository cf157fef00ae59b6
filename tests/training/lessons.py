"""Lessons: what was said in quiet, and the same as a microphone in a hall takes it up."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Final, NamedTuple, Protocol

import numpy as np
import torch
from torch import Tensor

from callout.edges.ear.sound import RATE_HZ
from tests.training.gather import Piece
from tests.training.rooms import (
    chosen,
    coloured,
    companded,
    drawn,
    echoed,
    loudest,
    resampled,
)
from tests.training.tensor_features import Mfcc, Speakers

SIZES: Final = ((1.5, 256), (2.5, 160), (5.0, 80))
"""Seconds of one sound, and how many of them are taken at once."""

SPEEDS: Final = np.linspace(0.86, 1.18, 13)
GROUPS: Final = 8
"""In so many groups of a batch the speed differs."""

STEP: Final = 400
"""Transforms of lengths that are multiples of this are made ready once."""

RATIOS_DB: Final = (-2.0, 25.0)
"""Of voice to noise, by their largest frames."""

CLEAN: Final = 0.2
CLEANER: Final = 0.001
"""Noise is multiplied by this in a clean sound."""

HALL_ALONE: Final = 0.05
HALL: Final = 0.02
SOFT: Final = 0.3
LOUD_DB: Final = (-14.0, 0.0)
SOFT_DB: Final = (-40.0, -14.0)
PEAK: Final = 0.6
MORE: Final = 0.6
"""So often a speaker says more than one thing."""

PIECES: Final = 3
FEW: Final = (10.0, 80.0)
"""Of so many frames the speaker's vector is made while a call begins."""

BEGINS: Final = 0.3


Noises = Callable[[int, int], Tensor]
"""So many noises of so many samples."""


class Batch(NamedTuple):
    """Features and the speakers' vectors, in quiet and in a hall."""

    quiet: Tensor
    of_quiet: Tensor
    heard: Tensor
    of_heard: Tensor


class Voices:
    """Everybody who speaks, one after the other in one long sound."""

    def __init__(self, wave: Tensor, pieces: Sequence[Piece], often: Sequence[float]) -> None:
        """`often` tells how often each piece is said, beside the others."""
        order = sorted(range(len(pieces)), key=lambda at: pieces[at].who)
        device = wave.device
        self.wave = wave
        self.begins = torch.tensor([pieces[at].begin for at in order], device=device)
        self.ends = torch.tensor([pieces[at].end for at in order], device=device)
        self._often = torch.tensor([often[at] for at in order], device=device)
        who = [pieces[at].who for at in order]
        first: dict[str, int] = {}
        for at, name in enumerate(who):
            first.setdefault(name, at)
        counts = {name: who.count(name) for name in first}
        self._first = torch.tensor([first[name] for name in who], device=device)
        self._count = torch.tensor([counts[name] for name in who], device=device)
        self.speakers = len(first)

    def say(self, count: int, size: int) -> Tensor:
        """So many sounds, each of one speaker, with quiet before, between and after."""
        piece = torch.multinomial(self._often, count, replacement=True)
        whole = self.ends[piece] - self.begins[piece]
        length = torch.minimum(whole, (size * drawn(self.wave, 0.5, 1.0, count)).long())
        source = self.begins[piece] + self._part(whole - length)
        more = chosen(self.wave, MORE, count)[:, 0]
        at = (self._part(size - length) * torch.where(more, 0.3, 1.0)).long()
        index = torch.full((count, size), -1, device=self.wave.device)
        index = _put(index, source, at, length)
        for _ in range(PIECES):
            at = at + length + (drawn(self.wave, 0.02, 0.5, count) * RATE_HZ).long()
            piece = self._first[piece] + self._part(self._count[piece] - 1)
            room = (size - at).clamp(min=0)
            length = torch.minimum(self.ends[piece] - self.begins[piece], room)
            length = torch.where(more & (length > 0.3 * RATE_HZ), length, 0)
            index = _put(index, self.begins[piece], at, length)
        return torch.where(index >= 0, self.wave[index.clamp(min=0)].float(), 0.0)

    def _part(self, most: Tensor) -> Tensor:
        return (drawn(self.wave, 0.0, 1.0, len(most)) * (most + 1)).long()


def _put(index: Tensor, source: Tensor, at: Tensor, length: Tensor) -> Tensor:
    time = torch.arange(index.shape[1], device=index.device)[None]
    here = (time >= at[:, None]) & (time < (at + length)[:, None])
    return torch.where(here, source[:, None] + time - at[:, None], index)


def as_often(pieces: Sequence[Piece], shares: Mapping[str, float], others: float) -> list[float]:
    """How often each piece is said: so much of each named source, and so much of all others."""
    longs = [((each.end - each.begin) / RATE_HZ) ** 0.7 for each in pieces]
    total: dict[str, float] = {}
    for each, long in zip(pieces, longs, strict=True):
        key = each.source if each.source in shares else ""
        total[key] = total.get(key, 0.0) + long
    return [
        long * shares.get(each.source, others) / total[each.source if each.source in shares else ""]
        for each, long in zip(pieces, longs, strict=True)
    ]


class Speaking(Protocol):
    """Whoever says something."""

    def say(self, count: int, size: int) -> Tensor:
        """So many sounds of so many samples."""


class Lessons:
    """Batches without end."""

    def __init__(self, voices: Speaking, noise: Noises, mfcc: Mfcc, speakers: Speakers) -> None:
        self._voices, self._noise = voices, noise
        self._mfcc, self._speakers = mfcc, speakers

    def next(self, share: float = 1.0) -> Batch:
        """A batch of any length; `share` makes it smaller, for a slow machine."""
        seconds, count = SIZES[np.random.randint(len(SIZES))]
        made: Batch = self.batch(int(seconds * RATE_HZ), in_groups(count * share))
        return made

    @torch.no_grad()
    def batch(self, size: int, count: int, ratio_db: float | None = None) -> Batch:
        """So many sounds of so many samples, in noise of any ratio or of this one."""
        quiet, heard = self._pairs(size, count, ratio_db)
        plain, noisy = self._mfcc(quiet), self._mfcc(heard)
        frames = torch.full((count,), plain.shape[1], device=plain.device)
        begins = chosen(plain, BEGINS, count)[:, 0]
        few, many = drawn(plain, *FEW, count), drawn(plain, FEW[1], plain.shape[1] + 1, count)
        some = torch.where(begins, few, many).long()
        return Batch(plain, self._speakers(plain, frames), noisy, self._speakers(noisy, some))

    def _pairs(self, size: int, count: int, ratio_db: float | None) -> tuple[Tensor, Tensor]:
        plain = self._said(size, count)
        exam = ratio_db is not None
        alone = chosen(plain, 0.0 if exam else HALL_ALONE, count)
        plain = torch.where(alone, 0.0, plain)
        quiet = plain * 10.0 ** (drawn(plain, -8.0, 0.0, count, 1) / 20.0)
        near = torch.where(alone, 0.0, peaked(coloured(plain, 0.5, 6.0, 0.2)))
        near = echoed(near, 0.75, (0.0, 20.0))
        noise = self._noise(count, size)
        ratio = drawn(plain, *RATIOS_DB, count) if ratio_db is None else ratio_db
        loud = torch.where(alone[:, 0], HALL, loudest(near))
        gain = (loud / (loudest(noise) * 10.0 ** (ratio / 10.0))).sqrt()[:, None]
        clean = chosen(plain, 0.0 if exam else CLEAN, count) & ~alone
        heard = near + torch.where(clean, CLEANER * gain, gain) * noise
        return taken(quiet), by_microphone(heard, SOFT)

    def _said(self, size: int, count: int) -> Tensor:
        """So many sounds of so many samples, in each group at another speed, all equally loud."""
        said = [
            resampled(self._voices.say(count // GROUPS, int(size * speed / STEP) * STEP), size)
            for speed in np.random.choice(SPEEDS, GROUPS)
        ]
        return peaked(torch.cat(said))


def in_groups(count: float) -> int:
    """The nearest count that can be parted into groups; one of each group at least."""
    return max(GROUPS, round(count / GROUPS) * GROUPS)


def by_microphone(heard: Tensor, soft: float) -> Tensor:
    """What a microphone gives of sound in a hall, some of it companded; a share of it is soft."""
    count = len(heard)
    whole = companded(heard / (heard.abs().amax(-1, keepdim=True) / 0.95).clamp(min=1.0), 0.05)
    level = torch.where(
        chosen(heard, soft, count),
        drawn(heard, *SOFT_DB, count, 1),
        drawn(heard, *LOUD_DB, count, 1),
    )
    return taken(whole * 10.0 ** (level / 20.0))


def peaked(waves: Tensor) -> Tensor:
    """All with the same loudest sample."""
    return waves / waves.abs().amax(-1, keepdim=True).clamp(min=1e-4) * PEAK


def taken(waves: Tensor) -> Tensor:
    """As a microphone gives them: in steps of 16 bits."""
    return torch.round(waves * 32_767.0) / 32_768.0
