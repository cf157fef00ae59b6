"""Teach the recognizer's network a hall's noise: `make training`.

The network as it is published listens to what was said in quiet; a copy of it hears the same in the
noise of a hall, and is changed so that it answers as the first one does. No text is needed for
that, and no human voice was used. Then only a share of the change is kept: whoever was not heard in
training is heard better so.

Writes models/vosk-model-en-hall.npz anew, and its every hundredth step to the terminal: how far the
copy's answers in noise lie from the other's in quiet, for what it is trained with and for every
25th text, with which it is not.
"""

from __future__ import annotations

import argparse
import os
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, Final

# Before numpy: one process makes the sounds and one trains.
os.environ.setdefault("OMP_NUM_THREADS", "1")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np
import torch
from torch import Tensor
from torch.nn import functional
from torch.utils.data import DataLoader, IterableDataset

from callout.data import data_folder
from callout.edges.ear.hall_noise import Wave
from callout.edges.models.catalogue import RECOGNIZER, find_model, known_models
from callout.edges.models.folder import NETWORK
from tests.training.features import Speaker, mfcc
from tests.training.halls import Pairs, beds
from tests.training.network import HallNetwork, change_of
from tests.training.speech import Spoken, spoken

SEED: Final = 1
HELD_OUT: Final = 25
TOLD: Final = 100
SHARP: Final = 3.0
"""The network's answers are so flat that those that matter show only when raised to this power."""

SQUARES: Final = 5.0
"""How much the squares of the differences weigh beside the divergence."""

FEW: Final = (10, 80)
MANY: Final = 80
"""Of so many frames at least the speaker's vector is made; sometimes of fewer, as calls begin."""

Batch = tuple[Tensor, Tensor, Tensor, Tensor]
"""Features and vectors in quiet, and in the hall."""


class Lessons(IterableDataset[Batch]):
    """Batches without end."""

    def __init__(self, said: Sequence[Spoken], halls: Sequence[Wave], seed: int) -> None:
        super().__init__()
        self._said, self._halls, self._seed = said, halls, seed

    def __iter__(self) -> Iterator[Batch]:
        random = np.random.default_rng(self._seed)
        speaker = Speaker(find_model(RECOGNIZER))
        for pairs in Pairs(self._said, self._halls, self._seed).batches():
            rows = []
            for quiet, heard in pairs:
                plain, noisy = mfcc(quiet), mfcc(heard)
                few = random.random() < 0.3
                frames = int(random.integers(*(FEW if few else (MANY, len(plain) + 1))))
                vectors = speaker.vector(plain, frames), speaker.vector(noisy, frames)
                rows.append((plain, vectors[0], noisy, vectors[1]))
            yield tuple(torch.tensor(np.stack(part)) for part in zip(*rows, strict=True))


def difference(teacher: HallNetwork, pupil: HallNetwork, batch: Batch) -> tuple[Tensor, Tensor]:
    """How far the pupil's answers in the hall lie from the teacher's in quiet.

    What all states of a frame have in common tells nothing, and is taken away.
    """
    quiet, of_quiet, heard, of_heard = batch
    with torch.no_grad():
        right = teacher(quiet, of_quiet)
    given = pupil(heard, of_heard)
    right, given = (each - each.mean(-1, keepdim=True) for each in (right, given))
    logs, others = (functional.log_softmax(SHARP * each, -1) for each in (right, given))
    divergence = (logs.exp() * (logs - others)).sum(-1).mean()
    return divergence, ((right - given) ** 2).mean()


def train(said: Sequence[Spoken], steps: int, rate: float) -> HallNetwork:
    """A network that was taught so many times."""
    file = (find_model(RECOGNIZER) / NETWORK).read_bytes()
    teacher, pupil = HallNetwork(file), HallNetwork(file)
    halls = beds(said, SEED)
    held = [each for at, each in enumerate(said) if at % HELD_OUT == 0]
    taught = [each for at, each in enumerate(said) if at % HELD_OUT]
    lessons = iter(DataLoader(Lessons(taught, halls, SEED), batch_size=None, num_workers=1,
                              prefetch_factor=4))  # fmt: skip
    fresh = iter(Lessons(held, halls, SEED + 1))
    exams = [next(fresh) for _ in range(9)]
    parameters = [*pupil.parameters()]
    optimizer = torch.optim.Adam(parameters, lr=rate)
    begun, shown = time.monotonic(), []
    for step in range(steps):
        for group in optimizer.param_groups:
            group["lr"] = rate * min(1.0, step / 30) * (1 - step / steps) ** 0.7
        divergence, squares = difference(teacher, pupil, next(lessons))
        optimizer.zero_grad()
        (divergence + SQUARES * squares).backward()
        torch.nn.utils.clip_grad_norm_(parameters, 1.0)
        optimizer.step()
        shown.append(divergence.item())
        if step % TOLD == TOLD - 1:
            with torch.no_grad():
                held_out = [difference(teacher, pupil, exam)[0].item() for exam in exams]
            told = np.mean(shown[-TOLD:]), np.mean(held_out), time.monotonic() - begun
            line = "taught {:.3f}, held out {:.3f} ({:.0f} s)".format(*told)
            print(f"{step + 1:5} of {steps}: {line}", flush=True)
    return pupil


def main() -> None:
    """Train, and keep a share of what was changed."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--steps", type=int, default=1_000)
    arguments.add_argument("--rate", type=float, default=2.5e-4)
    arguments.add_argument("--share", type=float, nargs="+", default=[0.7])
    change = known_models()[RECOGNIZER].change
    usual = data_folder("models") / (change or "change.npz")
    arguments.add_argument("--out", type=Path, default=usual, help="a file; where several shares "
                           "are kept, each has its share in its name")  # fmt: skip
    given = arguments.parse_args()
    torch.manual_seed(SEED)
    torch.set_num_threads(1)
    pupil = train(spoken(), given.steps, given.rate)
    for share in given.share:
        several = len(given.share) > 1
        out = given.out.with_stem(f"{given.out.stem}-{share:g}") if several else given.out
        parts: dict[str, Any] = {**change_of(pupil, share)}
        np.savez_compressed(out, **parts)
        print(f"{out}: {out.stat().st_size / 1e6:.1f} MB")


if __name__ == "__main__":
    main()
