"""Trains the recognizer's network for the noise of a hall: `make training`.

The published network hears speech in quiet; a copy of it hears the same speech in the noise of a
hall, and is changed until it gives the same answers. Then only a share of the change is kept, since
a part of it fits the training voices only.

Writes models/vosk-model-en-hall.npz, and every 100 steps a line to the terminal: the distance of
the copy's answers in noise from the published network's in quiet, for the training texts and for
every 25th text, which is held out.
"""

from __future__ import annotations

import argparse
import os
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, Final

# Must be set before numpy is imported. One process makes the sounds, another one trains.
os.environ.setdefault("OMP_NUM_THREADS", "1")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np
import torch
from torch import Tensor
from torch.nn import functional
from torch.utils.data import DataLoader, IterableDataset

from callout.data import data_folder
from callout.edges.ear.hall_noise import Wave
from callout.edges.ear.own_voice.speaker import Extractor
from callout.edges.models.catalogue import RECOGNIZER, find_model, known_models
from callout.edges.models.folder import NETWORK
from tests.training.features import mfcc
from tests.training.halls import Pairs, beds
from tests.training.network import HallNetwork, change_of
from tests.training.speech import Spoken, spoken

SEED: Final = 1
HELD_OUT: Final = 25
"""One text in this many is held out of training."""

PRINT_EVERY: Final = 100
"""Steps between two lines on the terminal."""

SHARPEN: Final = 3.0
"""The exponent applied to the network's probabilities, which are too flat to compare otherwise."""

SQUARES: Final = 5.0
"""The weight of the squared differences, relative to the divergence."""

SHORT_FRAMES: Final = (10, 80)
"""Frames from which the speaker's vector is computed in 30 % of the sounds, as in a short call."""

LEAST_FRAMES: Final = 80
"""The fewest frames from which it is computed in all others."""

Batch = tuple[Tensor, Tensor, Tensor, Tensor]
"""Features and speaker vectors in quiet, then features and speaker vectors in the hall."""


class Lessons(IterableDataset[Batch]):
    """An endless stream of batches, determined by a seed."""

    def __init__(self, said: Sequence[Spoken], halls: Sequence[Wave], seed: int) -> None:
        super().__init__()
        self._said, self._halls, self._seed = said, halls, seed

    def __iter__(self) -> Iterator[Batch]:
        random = np.random.default_rng(self._seed)
        speaker = Extractor(find_model(RECOGNIZER))
        for pairs in Pairs(self._said, self._halls, self._seed).batches():
            rows = []
            for quiet, heard in pairs:
                plain, noisy = mfcc(quiet), mfcc(heard)
                short = random.random() < 0.3
                limits = SHORT_FRAMES if short else (LEAST_FRAMES, len(plain) + 1)
                frames = int(random.integers(*limits))
                vectors = speaker.vector(plain, frames), speaker.vector(noisy, frames)
                rows.append((plain, vectors[0], noisy, vectors[1]))
            yield tuple(torch.tensor(np.stack(part)) for part in zip(*rows, strict=True))


def difference(teacher: HallNetwork, student: HallNetwork, batch: Batch) -> tuple[Tensor, Tensor]:
    """The divergence and mean squared difference of the two networks' answers.

    The teacher hears the batch in quiet, the student in the hall. The mean over all states of a
    frame is subtracted first, since it carries no information.
    """
    quiet, of_quiet, heard, of_heard = batch
    with torch.no_grad():
        right = teacher(quiet, of_quiet)
    given = student(heard, of_heard)
    right, given = (each - each.mean(-1, keepdim=True) for each in (right, given))
    logs, others = (functional.log_softmax(SHARPEN * each, -1) for each in (right, given))
    divergence = (logs.exp() * (logs - others)).sum(-1).mean()
    return divergence, ((right - given) ** 2).mean()


def train(said: Sequence[Spoken], steps: int, rate: float) -> HallNetwork:
    """The student after `steps` steps of training at the learning rate `rate`."""
    file = (find_model(RECOGNIZER) / NETWORK).read_bytes()
    teacher, student = HallNetwork(file), HallNetwork(file)
    halls = beds(said, SEED)
    held = [each for at, each in enumerate(said) if at % HELD_OUT == 0]
    taught = [each for at, each in enumerate(said) if at % HELD_OUT]
    lessons = iter(DataLoader(Lessons(taught, halls, SEED), batch_size=None, num_workers=1,
                              prefetch_factor=4))  # fmt: skip
    fresh = iter(Lessons(held, halls, SEED + 1))
    exams = [next(fresh) for _ in range(9)]
    parameters = [*student.parameters()]
    optimizer = torch.optim.Adam(parameters, lr=rate)
    begun, shown = time.monotonic(), []
    for step in range(steps):
        for group in optimizer.param_groups:
            group["lr"] = rate * min(1.0, step / 30) * (1 - step / steps) ** 0.7
        divergence, squares = difference(teacher, student, next(lessons))
        optimizer.zero_grad()
        (divergence + SQUARES * squares).backward()
        torch.nn.utils.clip_grad_norm_(parameters, 1.0)
        optimizer.step()
        shown.append(divergence.item())
        if step % PRINT_EVERY == PRINT_EVERY - 1:
            with torch.no_grad():
                held_out = [difference(teacher, student, exam)[0].item() for exam in exams]
            told = np.mean(shown[-PRINT_EVERY:]), np.mean(held_out), time.monotonic() - begun
            line = "taught {:.3f}, held out {:.3f} ({:.0f} s)".format(*told)
            print(f"{step + 1:5} of {steps}: {line}", flush=True)
    return student


def main() -> None:
    """Train, and write a share of the change."""
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
    student = train(spoken(), given.steps, given.rate)
    for share in given.share:
        several = len(given.share) > 1
        out = given.out.with_stem(f"{given.out.stem}-{share:g}") if several else given.out
        parts: dict[str, Any] = {**change_of(student, share)}
        np.savez_compressed(out, **parts)
        print(f"{out}: {out.stat().st_size / 1e6:.1f} MB")


if __name__ == "__main__":
    main()
