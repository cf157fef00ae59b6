"""Teach the recognizer's network strangers' voices and recorded noise, from people's speech.

The same as `python -m tests.training` does, but what is said comes from people and from synthetic
voices, and the noise from recordings and arithmetic: `gather` puts all of it into a folder, and
`split` tells who may teach.

Writes by how much the network is changed, and to the terminal how far the copy's answers in noise
lie from the other's in quiet, for people who never teach, in recorded noise that never teaches.
Runs on a GPU where there is one: two at once on an H100 take 9 steps a second each. On two cores it
is far slower: `--batch 0.06` takes fewer sounds at once.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Container, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

import numpy as np
import torch
from torch import Tensor
from torch.nn import functional

from callout.data import data_folder
from callout.edges.ear.hall_change import adapted, read_change
from callout.edges.models.catalogue import RECOGNIZER, find_model, known_models
from callout.edges.models.folder import NETWORK
from callout.edges.voice.tones import Sound
from tests.training.crowds import Clips, Noise, Talk
from tests.training.gather import Piece, read_pack
from tests.training.lessons import Batch, Lessons, Voices, as_often, in_groups
from tests.training.network import HallNetwork, change_of
from tests.training.split import PEOPLE
from tests.training.tensor_features import Mfcc, Speakers

SHARP: Final = 3.0
"""The network's answers are so flat that those that matter show only when raised to this power."""

SQUARES: Final = 5.0
"""How much the squares of the differences weigh beside the divergence."""

WARM: Final = 150
"""Steps until the rate is whole; at 1.9e-3 training diverges."""

TOLD_S: Final = 60.0
OF_PEOPLE: Final = {
    "librispeech-resemblyzer": 0.20,
    "speechocean762": 0.17,
    "speech-commands-vinsis": 0.08,
}
OF_OTHERS: Final = 0.05
OF_VOICES: Final = {
    "piper joe": 0.15,
    "changed": 0.13,
    "espeak": 0.10,
    "flite rms": 0.09,
    "old": 0.03,
    "more": 0.20,
}
"""How much of what is heard each source says; synthetic voices alone say the table's words. Among
these the shares are those of `python -m tests.training`, but for "more", the voices of `gather
--voices`: they speak in `confusions` alone."""

EXAM_DB: Final = (25.0, 18.0, 12.0, 6.0, 0.0)
EXAM_SIZE: Final = 40_000
EXAMS: Final = 128

Exams = Mapping[str, Mapping[float, Batch]]


class Pack:
    """What `gather` put together, on the device that trains."""

    def __init__(
        self, folder: Path, device: torch.device, voices: Sequence[str] = ("voices", "neural")
    ) -> None:
        """`voices` are the kinds of what synthetic voices say."""
        self._device = device
        self._people, self._pieces = self._read(folder, "people")
        self._voices, self._lines = self._spoken(folder, *voices)
        self._noise, self._clips = self._read(folder, "noise")
        self._halls, _ = self._read(folder, "halls")

    def _read(self, folder: Path, kind: str) -> tuple[Tensor, list[Piece]]:
        wave, pieces = read_pack(folder, kind)
        return self._on(wave), pieces

    def _spoken(self, folder: Path, *kinds: str) -> tuple[Tensor, list[Piece]]:
        """All synthetic voices, as one sound."""
        waves, lines = list[Tensor](), list[Piece]()
        for kind in kinds:
            wave, pieces = self._read(folder, kind)
            at = sum(len(each) for each in waves)
            lines += [each._replace(begin=each.begin + at, end=each.end + at) for each in pieces]
            waves.append(wave)
        return torch.cat(waves), lines

    def _on(self, wave: Sound) -> Tensor:
        return torch.tensor(wave, dtype=torch.float16, device=self._device)

    @property
    def synthetic(self) -> tuple[Tensor, list[Piece]]:
        """What synthetic voices say, and what lies where in it."""
        return self._voices, self._lines

    def teachers(self, of_voices: float = 1.0, without: Container[str] = ()) -> Voices:
        """The voices of all who teach: people and synthesizers.

        Synthetic voices speak `of_voices` times as often as usual, and never say a text that is in
        `without`.
        """
        people = [each for each in self._pieces if each.part == "training"]
        often = as_often(people, OF_PEOPLE, OF_OTHERS)
        spoken = [each for each in self._lines if each.text not in without]
        often += [of_voices * each for each in as_often(spoken, OF_VOICES, 0.0)]
        shift = len(self._people)
        lines = [each._replace(begin=each.begin + shift, end=each.end + shift)
                 for each in spoken]  # fmt: skip
        return Voices(torch.cat([self._people, self._voices]), people + lines, often)

    def noise(self) -> Noise:
        """All noise that teaches."""
        talk = [each for each in self._pieces if each.part == "training"]
        spoken = torch.cat([self._people[each.begin : each.end] for each in talk])
        return Noise(Talk(spoken), self._of_noise("training"), self._halls)

    def examiners(self) -> Mapping[str, Voices]:
        """People who never teach: those of the sources that do, and of all others."""
        mine = [each for each in self._pieces if each.part == "validation"]
        kinds = {
            "readers": [each for each in mine if each.source in PEOPLE],
            "others": [each for each in mine if each.source not in PEOPLE],
        }
        return {
            name: Voices(self._people, pieces, as_often(pieces, {}, 1.0))
            for name, pieces in kinds.items()
        }

    def exam_noise(self) -> Clips:
        """Recorded noise that never teaches."""
        return Clips(self._of_noise("validation"))

    def _of_noise(self, part: str) -> list[Tensor]:
        return [self._noise[each.begin : each.end] for each in self._clips if each.part == part]


@contextmanager
def fast() -> Iterator[None]:
    """Products of matrices in 19 bits where the device has them; the features need all 32."""
    torch.backends.cuda.matmul.allow_tf32 = True
    try:
        yield
    finally:
        torch.backends.cuda.matmul.allow_tf32 = False


def difference(
    teacher: HallNetwork, pupil: HallNetwork, batch: Batch
) -> tuple[Tensor, Tensor, Tensor]:
    """How far the pupil's answers in the hall lie from the teacher's in quiet.

    The divergence, the mean square, and in how many frames both hold the same state likeliest.
    """
    with torch.no_grad(), fast():
        right = teacher(batch.quiet, batch.of_quiet)
    with fast():
        given = pupil(batch.heard, batch.of_heard)
    same = (right.argmax(-1) == given.argmax(-1)).float().mean()
    return *apart(right, given), same


def apart(right: Tensor, given: Tensor) -> tuple[Tensor, Tensor]:
    """The divergence of given answers from the right ones, and the mean square of the difference.

    What all states of a frame have in common tells nothing, and is taken away.
    """
    right, given = (each - each.mean(-1, keepdim=True) for each in (right, given))
    logs, others = (functional.log_softmax(SHARP * each, -1) for each in (right, given))
    divergence = (logs.exp() * (logs - others)).sum(-1).mean()
    return divergence, ((right - given) ** 2).mean()


def exams_of(pack: Pack, mfcc: Mfcc, speakers: Speakers, count: int) -> Exams:
    """The same questions for every network."""
    torch.manual_seed(7)
    np.random.seed(7)
    noise = pack.exam_noise()
    return {
        who: {
            ratio: Lessons(voices, noise, mfcc, speakers).batch(EXAM_SIZE, count, ratio)
            for ratio in EXAM_DB
        }
        for who, voices in pack.examiners().items()
    }


@torch.no_grad()
def examine(teacher: HallNetwork, pupil: HallNetwork, exams: Exams) -> str:
    """Divergence, and frames alike in per cent, of each exam."""
    lines = []
    for who, batches in exams.items():
        cells = []
        for ratio, batch in batches.items():
            divergence, _, same = difference(teacher, pupil, batch)
            cells.append(f"{ratio:g} dB {divergence.item():.3f} ({100 * same.item():.1f})")
        lines.append(f"    {who:<8}" + "  ".join(cells))
    return "\n".join(lines)


def train(
    teacher: HallNetwork, pupil: HallNetwork, lessons: Lessons, given: argparse.Namespace
) -> Iterator[str]:
    """Teach for so many steps or seconds; yields how it goes, now and then."""
    parameters = [*pupil.parameters()]
    optimizer = torch.optim.Adam(parameters, lr=given.rate)
    begun = told = time.monotonic()
    step, taught = 0, []
    while (done := _done(step, time.monotonic() - begun, given)) < 1.0:
        for group in optimizer.param_groups:
            group["lr"] = given.rate * min(1.0, (step + 1) / WARM) * (1.0 - done) ** 0.7
        divergence, squares, _ = difference(teacher, pupil, lessons.next(given.batch))
        optimizer.zero_grad()
        (divergence + SQUARES * squares).backward()
        torch.nn.utils.clip_grad_norm_(parameters, 1.0)
        optimizer.step()
        taught.append(divergence.detach())
        step += 1
        if time.monotonic() - told > TOLD_S:
            told = time.monotonic()
            mean = torch.stack(taught[-200:]).mean().item()
            yield f"step {step}, {told - begun:.0f} s: taught {mean:.3f}"
    yield f"ended at step {step}, {time.monotonic() - begun:.0f} s"


def _done(step: int, seconds: float, given: argparse.Namespace) -> float:
    """The part of training that is over."""
    return float(seconds / given.seconds if given.seconds else step / given.steps)


def main() -> None:
    """Train, and keep a share of what was changed."""
    given = _arguments()
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    model = find_model(RECOGNIZER)
    file = (model / NETWORK).read_bytes()
    mfcc, speakers = Mfcc(device), Speakers(model, device)
    teacher, pupil = (HallNetwork(file).to(device) for _ in range(2))
    pack = Pack(given.pack, device)
    exams = exams_of(pack, mfcc, speakers, in_groups(EXAMS * given.batch))
    print("as published\n" + examine(teacher, pupil, exams), flush=True)
    present = HallNetwork(adapted(file, read_change(_usual()))).to(device)
    print("as it ships\n" + examine(teacher, present, exams), flush=True)
    torch.manual_seed(given.seed)
    np.random.seed(given.seed)
    voices = pack.teachers()
    print(f"{voices.speakers} speakers teach, on {device}", flush=True)
    for line in train(teacher, pupil, Lessons(voices, pack.noise(), mfcc, speakers), given):
        print(f"seed {given.seed} {line}\n{examine(teacher, pupil, exams)}", flush=True)
    pupil = pupil.cpu()
    for share in given.share:
        several = len(given.share) > 1
        out = given.out.with_stem(f"{given.out.stem}-{share:g}") if several else given.out
        change = change_of(pupil, share)
        parts: dict[str, Any] = {**change}
        np.savez_compressed(out, **parts)
        kept = HallNetwork(adapted(file, change)).to(device)
        print(f"{out}: {out.stat().st_size / 1e6:.1f} MB\n{examine(teacher, kept, exams)}")


def _usual() -> Path:
    change = known_models()[RECOGNIZER].change
    return data_folder("models") / (change or "change.npz")


def _arguments(words: Sequence[str] | None = None) -> argparse.Namespace:
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--pack", type=Path, required=True, help="the folder that gather wrote")
    arguments.add_argument("--steps", type=int, default=2_500)
    arguments.add_argument("--seconds", type=float, help="so long, in place of so many steps")
    arguments.add_argument("--batch", type=float, default=1.0, help="a share of the usual batch")
    arguments.add_argument("--rate", type=float, default=4e-4)
    arguments.add_argument("--seed", type=int, default=1)
    arguments.add_argument("--share", type=float, nargs="+", default=[1.0])
    arguments.add_argument("--out", type=Path, required=True, help="a file; where several "
                           "shares are kept, each has its share in its name")  # fmt: skip
    return arguments.parse_args(words)


if __name__ == "__main__":
    main()
