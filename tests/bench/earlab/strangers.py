"""What strangers say and the noise they say it in, put into one folder to be carried anywhere.

Strangers are people and recordings that never teach (tests/training/split.py), the benchmarks'
people, and synthetic voices. The noise is recorded, and never teaches either.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from itertools import chain
from pathlib import Path
from typing import Any, Final

import numpy as np
import soundfile
import yaml

from callout.edges.ear.hall_noise import Wave
from callout.edges.ear.sound import RATE_HZ
from callout.edges.voice.tones import Sound
from earlab.items import Item, digits, library, orders, table_calls
from tests.training.split import PEOPLE, part_of, speaker_of

WORDS: Final = Path(__file__).parents[1] / "words"
QUALITY: Final = 0.5
BLOCK: Final = 1 << 16
BED_S: Final = 90
BABBLE: Final = 6
LOUD: Final = 0.6

SYNTHETIC: Final = ("piper joe", "festival slt", "festival kal", "flite slt", "flite awb")
CHANGED: Final = {"low": (0.8, 0.92), "woman": (1.7, 1.15), "child": (2.3, 1.28)}
"""The first voice with so many times its pitch, from a throat so many times as short."""

CROWDS: Final = ("crowd", "back", "fondo", "cheer", "raving", "pubblico", "boo", "ooh", "chat")
CLAPS: Final = ("applause", "clap")


@dataclass(frozen=True, slots=True)
class Case:
    """One thing that a stranger says."""

    kind: str
    name: str
    who: str
    text: str
    slots: Mapping[str, Any]
    call: str | None
    begin: int
    end: int


Said = tuple[Case, Sound]


def write(folder: Path, speech: Path, recorded: Path, noise: Path, limit: int) -> None:
    """Put all of it into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    said = chain(
        _of_items("orders", orders(speech, 0)[::2]),
        _of_items("digits", digits(speech, limit)),
        _words(recorded),
        _calls(),
        _reading(recorded),
    )
    cases, at = [], 0
    with _file(folder / "cases.ogg") as file:
        for case, sound in said:
            _put(file, sound)
            cases.append(asdict(replace(case, begin=at, end=at + len(sound))))
            at += len(sound)
    (folder / "cases.json").write_text(json.dumps(cases), encoding="utf-8")
    beds = _beds(noise, recorded)
    with _file(folder / "beds.ogg") as file:
        for bed in beds:
            _put(file, bed.astype(np.float32))


def read(folder: Path) -> tuple[Sequence[Case], Sound, Sequence[Wave]]:
    """All cases, the sound that they lie in, and the noises."""
    rows = json.loads((folder / "cases.json").read_text(encoding="utf-8"))
    sound, _ = soundfile.read(folder / "cases.ogg", dtype="float32")
    noise, _ = soundfile.read(folder / "beds.ogg", dtype="float64")
    return [Case(**row) for row in rows], sound, np.split(noise, len(noise) // (BED_S * RATE_HZ))


def _file(path: Path) -> soundfile.SoundFile:
    return soundfile.SoundFile(path, "w", RATE_HZ, 1, format="OGG", subtype="VORBIS",
                               compression_level=1.0 - QUALITY)  # fmt: skip


def _put(file: soundfile.SoundFile, sound: Sound) -> None:
    """Write in blocks: a longer one at once ends the process."""
    for start in range(0, len(sound), BLOCK):
        file.write(sound[start : start + BLOCK])


def _of_items(kind: str, items: Sequence[Item]) -> Iterator[Said]:
    for item in items:
        case = Case(kind, item.name, item.voice, item.text, dict(item.slots), item.call, 0, 0)
        yield case, item.sound(library())


def _words(recorded: Path) -> Iterator[Said]:
    """Single words, each in a file of its name."""
    known = yaml.safe_load((WORDS / "slots.yaml").read_text(encoding="utf-8"))
    values = set(known["slots"]["word"]["values"])
    number = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
    for source in ("speech-commands-vinsis", "tuxpaint-stamps", "ktuberling", "trigger-rally"):
        for path in sorted(recorded.glob(f"{source}/*.flac")):
            parts = path.stem.lower().split("_")
            last = source in ("ktuberling", "trigger-rally")
            word = parts[-1] if last else parts[0]
            word = number[int(word)] if word.isdigit() else word
            if word in values and part_of(path) == "validation":
                who = f"{source} {speaker_of(path)}"
                yield Case("words", path.stem, who, word, {"word": word}, "word", 0, 0), _read(path)


def _calls() -> Iterator[Said]:
    """Table calls in synthetic voices, and in voices made of the first."""
    # Its vocoder is not needed where all of this is only read.
    from tests.training.speech import in_another_voice

    items = table_calls(12, SYNTHETIC)
    library().prepare(line for item in items for line in item.lines)
    for said in _of_items("calls", items):
        yield said
        case, sound = said
        if case.who == SYNTHETIC[0]:
            kinds = [*CHANGED]
            kind = kinds[len(case.text) % len(kinds)]
            made = in_another_voice(sound, *CHANGED[kind])
            yield replace(case, who=f"{case.who}, {kind}"), made


def _reading(recorded: Path) -> Iterator[Said]:
    """People who read aloud, act or talk, and call nothing."""
    talk = ("fotaq", "warzone2100", "hedgewars-voices", "redeclipse-voice")
    for path in sorted(recorded.glob("*/*.flac")):
        source = path.parent.name
        reads = source in PEOPLE and source != "speech-commands-vinsis"
        if part_of(path) == "validation" and (reads or source in talk):
            yield Case("reading", path.stem, source, "", {}, None, 0, 0), _read(path)


def _beds(noise: Path, recorded: Path) -> Iterator[Wave]:
    """Crowds, claps, everything else, and people who talk at once, as long as each other."""
    random = np.random.default_rng(1)
    paths = [path for path in sorted(noise.glob("*/*.flac")) if part_of(path) == "validation"]
    crowds = [path for path in paths if path.stem.lower().startswith(CROWDS)]
    claps = [path for path in paths if path.stem.lower().startswith(CLAPS)]
    others = [path for path in paths if path not in crowds and path not in claps]
    for kind in (crowds, claps, others):
        yield _joined([_read(path) for path in kind], random)
    talk = [_read(path) for path in sorted(recorded.glob("speechocean762/*.flac"))
            if part_of(path) == "validation"]  # fmt: skip
    mixed = sum(_joined(talk, random) * random.uniform(0.4, 1.0) for _ in range(BABBLE))
    yield mixed / np.abs(mixed).max() * LOUD


def _joined(sounds: Sequence[Sound], random: np.random.Generator) -> Wave:
    """So long of them in any order."""
    out: list[Sound] = []
    while sum(map(len, out)) < BED_S * RATE_HZ:
        out += [sounds[at] for at in random.permutation(len(sounds))]
    return np.concatenate(out)[: BED_S * RATE_HZ].astype(np.float64)


def _read(path: Path) -> Sound:
    sound, rate_hz = soundfile.read(path, dtype="float32")
    assert rate_hz == RATE_HZ, path
    loud: Sound = sound / max(1e-4, float(np.abs(sound).max())) * LOUD
    return loud
