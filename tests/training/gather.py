"""Put all that training hears into one folder, so that it can be carried to another machine.

`python -m tests.training.gather --people FOLDER --noise FOLDER --out PACK` cuts people's speech at
pauses, renders the synthetic voices, makes halls, and writes each kind as one Ogg file with a list
of what lies where in it. Two hours of speech are 40 MB. `--voices FOLDER` adds synthetic voices
that are no part of the project: a folder a synthesizer, and in it recordings and `texts.tsv`, which
has for each the file's name, who speaks and what is said.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Final, NamedTuple

import numpy as np
import soundfile

from callout.edges.ear.hall_noise import hall_noise
from callout.edges.ear.sound import RATE_HZ
from callout.edges.voice.tones import Sound
from tests.training.split import part_of, speaker_of

KINDS: Final = ("people", "voices", "neural", "calls", "more", "noise", "halls")
BLOCK: Final = 1 << 16
QUALITY: Final = 0.3
"""Of Ogg Vorbis: 40 kbit/s and no loss that the network's features show."""

SEEDS: Final = 16
HALL_S: Final = 60.0
LOUD: Final = 0.6


class Piece(NamedTuple):
    """One recording within a file of many."""

    part: str
    source: str
    who: str
    begin: int
    end: int
    text: str = ""


class Heard(NamedTuple):
    """A piece and its samples."""

    part: str
    source: str
    who: str
    sound: Sound
    text: str = ""


def read_pack(folder: Path, kind: str) -> tuple[Sound, list[Piece]]:
    """All samples of one kind, and what lies where."""
    rows = json.loads((folder / f"{kind}.json").read_text(encoding="utf-8"))
    wave, _ = soundfile.read(folder / f"{kind}.ogg", dtype="float32")
    return wave, [Piece(*row) for row in rows]


def write_pack(folder: Path, kind: str, heard: Iterable[Heard]) -> None:
    """Write one kind."""
    rows: list[Piece] = []
    at = 0
    path = folder / f"{kind}.ogg"
    with soundfile.SoundFile(path, "w", RATE_HZ, 1, format="OGG", subtype="VORBIS",
                             compression_level=1.0 - QUALITY) as file:  # fmt: skip
        for each in heard:
            for start in range(0, len(each.sound), BLOCK):
                file.write(each.sound[start : start + BLOCK])
            end = at + len(each.sound)
            rows.append(Piece(each.part, each.source, each.who, at, end, each.text))
            at += len(each.sound)
    (folder / f"{kind}.json").write_text(json.dumps(rows), encoding="utf-8")
    print(f"{path}: {len(rows)} pieces, {at / RATE_HZ / 60:.0f} min", flush=True)


def recorded(folder: Path) -> Iterator[Heard]:
    """Every recording below a folder of sources, its loudest sample `LOUD`, with its part."""
    for path in sorted(folder.glob("*/*.flac")):
        sound, rate_hz = soundfile.read(path, dtype="float32")
        assert (rate_hz, sound.ndim) == (RATE_HZ, 1), path
        loud = sound * (LOUD / max(1e-4, float(np.abs(sound).max())))
        source = path.parent.name
        yield Heard(part_of(path), source, f"{source} {speaker_of(path)}", loud)


def more(folder: Path) -> Iterator[Heard]:
    """The recordings of `--voices`; they all teach."""
    for texts in sorted(folder.glob("*/texts.tsv")):
        for line in texts.read_text(encoding="utf-8").splitlines():
            name, who, text = line.split("\t")
            sound, rate_hz = soundfile.read(texts.parent / name, dtype="float32")
            assert (rate_hz, sound.ndim) == (RATE_HZ, 1), name
            yield Heard("training", "more", f"{texts.parent.name} {who}", sound, text)


def synthetic(kind: str) -> Iterator[Heard]:
    """What synthetic voices say: those that are networks, the others, or calls by all of them."""
    # Its vocoder is not needed where a pack is only read.
    from tests.training.calls import confused
    from tests.training.speech import BESIDE_PEOPLE, NEURAL, spoken

    said = {"neural": lambda: spoken(NEURAL), "voices": lambda: spoken(BESIDE_PEOPLE)}
    for each in said.get(kind, confused)():
        yield Heard("training", each.by, each.voice, each.sound, each.text)


def _made(seed: int) -> Heard:
    wave = hall_noise(HALL_S, seed).astype(np.float32) * LOUD
    return Heard("training", "made", str(seed), wave)


def halls(seeds: Sequence[int]) -> Iterator[Heard]:
    """Halls by arithmetic; they are slow to make."""
    with ProcessPoolExecutor() as pool:
        yield from pool.map(_made, seeds)


def main() -> None:
    """Write what was asked for."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--people", type=Path, help="recordings of people, a folder a source")
    arguments.add_argument("--noise", type=Path, help="recordings of noise, a folder a source")
    arguments.add_argument("--voices", type=Path, help="more synthetic voices, a folder each")
    arguments.add_argument("--out", type=Path, required=True)
    arguments.add_argument("--only", nargs="+", choices=KINDS, default=KINDS)
    given = arguments.parse_args()
    given.out.mkdir(parents=True, exist_ok=True)
    if "people" in given.only and given.people:
        write_pack(given.out, "people", recorded(given.people))
    if "noise" in given.only and given.noise:
        write_pack(given.out, "noise", recorded(given.noise))
    if "more" in given.only and given.voices:
        write_pack(given.out, "more", more(given.voices))
    if "halls" in given.only:
        write_pack(given.out, "halls", halls(range(SEEDS)))
    for kind in ("voices", "neural", "calls"):
        if kind in given.only:
            write_pack(given.out, kind, synthetic(kind))


if __name__ == "__main__":
    main()
