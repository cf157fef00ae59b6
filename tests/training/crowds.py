"""Noise for training, made of what may teach: babble, crowds, claps, whistles, and recordings."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import torch
from torch import Tensor

from callout.edges.ear.hall_noise import FRAME
from callout.edges.ear.sound import RATE_HZ
from tests.training.rooms import chosen, coloured, drawn, echoed, even

BED_S: Final = 20
CROWDS: Final = 30
APPLAUSE: Final = 16
HORNS: Final = 12
NEAR_TALKERS: Final = 10

SHARES: Final = {"babble": 0.4, "crowd": 0.4, "applause": 0.15, "horns": 0.15, "recorded": 0.35,
                 "halls": 0.25, "plain": 0.15}  # fmt: skip
"""How often each is in what is heard; several may be."""

SOFTER_DB: Final = (-12.0, 0.0)


class Talk:
    """Speech without end: any windows of it."""

    def __init__(self, wave: Tensor) -> None:
        self.wave = wave

    def windows(self, count: int, size: int) -> Tensor:
        """So many of so many samples: (count, size)."""
        starts = (drawn(self.wave, 0.0, 1.0, count) * (len(self.wave) - size)).long()
        return self.wave[starts[:, None] + torch.arange(size, device=self.wave.device)].float()


class Noise:
    """All kinds of it."""

    def __init__(self, talk: Talk, recorded: Sequence[Tensor], halls: Tensor) -> None:
        """`recorded` are whole recordings; `halls` were made by arithmetic."""
        self._talk, self._halls = talk, Talk(halls)
        self._clips = Clips(recorded)
        self._crowds = Talk(_crowds(talk))
        self._applause = Talk(_applause(talk.wave))
        self._horns = Talk(_horns(talk.wave))

    def __call__(self, count: int, size: int) -> Tensor:
        """So many noises of so many samples, about equally loud."""
        mixed = torch.zeros(count, size, device=self._talk.wave.device)
        some = torch.zeros(count, 1, dtype=torch.bool, device=mixed.device)
        for kind, share in SHARES.items():
            here = chosen(mixed, share, count)
            loud = 10.0 ** (drawn(mixed, *SOFTER_DB, count, 1) / 20.0)
            mixed = mixed + here * loud * even(self._of(kind, count, size))
            some |= here
        mixed = torch.where(some, mixed, even(self._crowds.windows(count, size)))
        return even(coloured(mixed, 0.5, 6.0, 0.1))

    def _of(self, kind: str, count: int, size: int) -> Tensor:
        match kind:
            case "babble":
                return self._babble(count, size)
            case "crowd":
                return self._crowds.windows(count, size)
            case "applause":
                return self._applause.windows(count, size)
            case "horns":
                return self._horns.windows(count, size)
            case "recorded":
                return self._clips(count, size)
            case "halls":
                return self._halls.windows(count, size)
        return _plain(self._talk.wave, count, size)

    def _babble(self, count: int, size: int) -> Tensor:
        """One to ten people near by."""
        talk = self._talk.windows(count * NEAR_TALKERS, size).unflatten(0, (count, -1))
        talkers = torch.randint(1, NEAR_TALKERS + 1, (count, 1), device=talk.device)
        loud = drawn(talk, 0.3, 1.0, count, NEAR_TALKERS)
        loud = loud * (torch.arange(NEAR_TALKERS, device=talk.device)[None] < talkers)
        return echoed((even(talk) * loud[..., None]).sum(1), 0.8, (-6.0, 12.0))


class Clips:
    """Recordings of noise, each gone round as often as it takes."""

    def __init__(self, clips: Sequence[Tensor]) -> None:
        self._wave = torch.cat([*clips])
        lengths = torch.tensor([len(clip) for clip in clips], device=self._wave.device)
        self._lengths, self._starts = lengths, lengths.cumsum(0) - lengths
        self._often = lengths.clamp(max=20 * RATE_HZ).float() ** 0.6

    def __call__(self, count: int, size: int) -> Tensor:
        """So many of so many samples, a little slower or faster than they were."""
        which = torch.multinomial(self._often, count, replacement=True)
        length = self._lengths[which][:, None]
        begin = (drawn(self._wave, 0.0, 1.0, count, 1) * length).long()
        speed = drawn(self._wave, 0.85, 1.2, count, 1)
        at = (torch.arange(size, device=self._wave.device)[None] * speed).long()
        return self._wave[self._starts[which][:, None] + (at + begin) % length].float()


def _crowds(talk: Talk) -> Tensor:
    """Stands of 6 to 60 people, who talk or shout, some of them children, swelling and ebbing."""
    beds, size = [], BED_S * RATE_HZ
    for _ in range(CROWDS):
        people = int(torch.randint(6, 61, ()).item())
        faster = 1.0 + 0.6 * float(torch.rand(())) * (torch.rand(()).item() < 0.5)
        said = talk.windows(people, int(size * faster) + 1)
        said = said[:, (torch.arange(size, device=said.device) * faster).long()]
        said = even(said) * drawn(said, 0.2, 1.0, people, 1) * _swelling(said, people, size)
        beds.append(even(echoed(said.sum(0, keepdim=True), 1.0, (-12.0, 0.0)))[0])
    return torch.cat(beds).half()


def _applause(like: Tensor) -> Tensor:
    """Few or many hands: each clap a burst of some milliseconds."""
    beds, size = [], BED_S * RATE_HZ
    for _ in range(APPLAUSE):
        per_s = 10.0 ** float(1.0 + 2.3 * torch.rand(()))
        claps = (torch.rand(1, size, device=like.device) < per_s / RATE_HZ).float()
        claps = claps * drawn(like, 0.2, 1.0, 1, size)
        burst = torch.zeros(1, size, device=like.device)
        length = RATE_HZ // 20
        ebb = torch.exp(-torch.arange(length, device=like.device) / (RATE_HZ * 0.004))
        burst[0, :length] = torch.randn(length, device=like.device) * ebb
        heard = torch.fft.irfft(torch.fft.rfft(claps) * torch.fft.rfft(burst), size)
        heard = coloured(heard * _swelling(like, 1, size), 1.0, 9.0, 0.0)
        beds.append(even(echoed(heard, 0.9, (-6.0, 9.0)))[0])
    return torch.cat(beds).half()


def _horns(like: Tensor) -> Tensor:
    """Whistles with a pea, and buzzers, now and then, over a soft hiss."""
    beds, size = [], BED_S * RATE_HZ
    for _ in range(HORNS):
        bed = 0.01 * torch.randn(1, size, device=like.device)
        for start in torch.randint(0, size - 2 * RATE_HZ, (BED_S,)).tolist():
            length = int((0.15 + 1.35 * float(torch.rand(()))) * RATE_HZ)
            seconds = torch.arange(length, device=like.device) / RATE_HZ
            pitch = 2_000.0 + 2_300.0 * float(torch.rand(()))
            if torch.rand(()).item() < 0.6:
                trill = 0.04 * torch.sign(torch.sin(2.0 * torch.pi * 30.0 * seconds))
                phase = torch.cumsum(pitch * (1.0 + trill), 0) / RATE_HZ
                tone = torch.sin(2.0 * torch.pi * phase)
            else:
                tone = 0.5 * torch.sign(torch.sin(2.0 * torch.pi * pitch / 8.0 * seconds))
            bed[0, start : start + length] += tone * float(torch.rand(()))
        beds.append(even(echoed(bed, 1.0, (-6.0, 6.0)))[0])
    return torch.cat(beds).half()


def _plain(like: Tensor, count: int, size: int) -> Tensor:
    """Noise of any colour that swells and ebbs."""
    hiss = torch.randn(count, size, device=like.device)
    return coloured(hiss, 1.0, 15.0, 0.0) * _swelling(like, count, size)


def _swelling(like: Tensor, count: int, size: int) -> Tensor:
    knots = drawn(like, 0.15, 1.0, count, 1, max(3, size // FRAME // 4))
    return torch.nn.functional.interpolate(knots, size, mode="linear", align_corners=True)[:, 0]
