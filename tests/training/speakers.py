"""Learns what tells one speaker from another: `python -m tests.training.speakers --people FOLDER`.

It writes models/vosk-model-en-speakers.npz, which `edges/ear/own_voice/verification.py` reads: by
how much the speaker's vectors of one person differ from call to call and from noise to noise, and
those of different people from each other. One speaker's pieces are as long as a call, in quiet and
in recorded and made noise. Only people teach that `split` names for it. It takes five minutes.

Source of the method: probabilistic linear discriminant analysis with two covariances, Ioffe 2006
and Brümmer and de Villiers 2010 (from memory).
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path
from typing import Final

import numpy as np

from callout.data import data_folder
from callout.edges.ear.hall_noise import Wave, hall_noise, in_noise
from callout.edges.ear.own_voice.features import Array
from callout.edges.ear.own_voice.lessons import cepstra
from callout.edges.ear.own_voice.speaker import VECTOR, Extractor
from callout.edges.ear.sound import FRAME, RATE_HZ
from callout.edges.models.catalogue import RECOGNIZER, find_model, known_models
from tests.training.gather import Heard, recorded

PIECES_S: Final = (0.9, 1.3, 1.8)
"""The lengths of the pieces, as of calls."""
RATIOS_DB: Final = (None, 18.0, 12.0, 6.0)
"""The noises in which each piece is heard; None is none."""
BED_S: Final = 90.0
TALKERS: Final = 6
LOUD: Final = 0.05
"""A recording's quiet edges, below this share of its loudest frame, belong to no piece."""
FEW: Final = 2
"""Who has fewer pieces says nothing about how much one speaker's pieces differ."""
RIDGE: Final = 1e-3
"""Added to the covariance of one speaker's pieces, as a share of its mean variance."""


def beds(people: Sequence[Heard], noise: Sequence[Heard], seed: int) -> list[Wave]:
    """Ninety seconds each of a made hall, of recorded noise, and of people who talk at once."""
    random = np.random.default_rng(seed)
    talk = sum(_joined(people, random) * random.uniform(0.4, 1.0) for _ in range(TALKERS))
    babble = talk / np.abs(talk).max()
    return [hall_noise(BED_S, seed), _joined(noise, random), babble]


def _joined(heard: Sequence[Heard], random: np.random.Generator) -> Wave:
    """Recordings in any order, as many as fill a bed."""
    count, out = int(BED_S * RATE_HZ), np.zeros(0)
    while len(out) < count:
        out = np.concatenate([out, heard[int(random.integers(len(heard)))].sound])
    return out[:count]


def pieces(sound: Wave, random: np.random.Generator) -> Iterator[Wave]:
    """A recording in pieces of any of the lengths, without its quiet edges."""
    frames = np.abs(sound[: len(sound) // FRAME * FRAME].reshape(-1, FRAME)).max(1)
    loud = np.flatnonzero(frames > LOUD * frames.max())
    at, end = loud[0] * FRAME, (loud[-1] + 1) * FRAME
    while at + (count := int(random.choice(PIECES_S) * RATE_HZ)) <= end:
        yield sound[at : at + count]
        at += count


def vectors(noise: Sequence[Wave], job: tuple[int, Heard]) -> Array:
    """The speaker's vectors of a recording's pieces in each noise: (pieces times noises, 30)."""
    seed, heard = job
    random, speaker = np.random.default_rng(seed), _speaker()
    found = []
    for piece in pieces(heard.sound.astype(np.float64), random):
        for ratio_db in RATIOS_DB:
            bed = noise[int(random.integers(len(noise)))]
            start = int(random.integers(0, len(bed) - len(piece)))
            wave = piece if ratio_db is None else in_noise(piece, bed[start:], ratio_db)
            features = cepstra(wave.astype(np.float32))
            found.append(speaker.of_loud(features))
    return np.array(found, np.float32).reshape(-1, VECTOR)


def _speaker() -> Extractor:
    return Extractor(find_model(RECOGNIZER))


def fitted(rows: Array, who: Sequence[str]) -> dict[str, Array]:
    """The mean of all vectors (30), what makes one speaker's vary by 1 in each direction without
    correlation (30, 30), and by how much speakers' means vary there (30).
    """
    ids = np.unique(who, return_inverse=True)[1]
    counts = np.bincount(ids)
    means = np.stack([rows[ids == each].mean(0) for each in range(len(counts))])
    off = rows - means[ids]
    within = off.T @ off / (len(rows) - len(counts))
    within += RIDGE * np.trace(within) / len(within) * np.eye(len(within))
    whitened = np.linalg.cholesky(np.linalg.inv(within))
    between = np.cov((means - rows.mean(0)) @ whitened, rowvar=False, bias=True)
    spread, turned = np.linalg.eigh(between)
    # What the mean of a speaker's few pieces varies by chance is no difference of speakers.
    chance = float((1.0 / counts).mean())
    found = {"mean": rows.mean(0), "directions": whitened @ turned,
             "spread": np.maximum(spread - chance, RIDGE)}  # fmt: skip
    return {name: np.asarray(each, np.float32) for name, each in found.items()}


def main() -> None:
    """Learn from the recordings, and write the file."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--people", type=Path, required=True, help="a folder for each source")
    arguments.add_argument("--noise", type=Path, required=True, help="a folder for each source")
    usual = data_folder("models") / str(known_models()[RECOGNIZER].speakers)
    arguments.add_argument("--out", type=Path, default=usual)
    given = arguments.parse_args()
    people, noise = (
        [each for each in recorded(folder) if each.part == "training"]
        for folder in (given.people, given.noise)
    )
    made = beds(people, noise, 1)
    with ProcessPoolExecutor() as pool:
        found = list(pool.map(partial(vectors, made), enumerate(people), chunksize=8))
    rows: dict[str, list[Array]] = {}
    for heard, own in zip(people, found, strict=True):
        rows.setdefault(heard.who, []).extend(own)
    kept = {who: own for who, own in rows.items() if len(own) >= FEW * len(RATIOS_DB)}
    who = [each for each, own in kept.items() for _ in own]
    parts = fitted(np.concatenate([np.stack(own) for own in kept.values()]), who)
    np.savez_compressed(given.out, **parts)  # type: ignore[arg-type]
    print(f"{given.out}: {len(kept)} speakers, {len(who)} pieces")


if __name__ == "__main__":
    main()
