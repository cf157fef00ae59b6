"""What is said in training, and by whom: by two of the voices of the benchmarks, texts drawn anew.

Calls, answers, talk and any English words, so that the network stays one for all English, in
synthetic voices; and in voices made of those: higher and lower ones, and of shorter throats, as
women and children have.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from itertools import islice
from pathlib import Path
from random import Random
from typing import Final

import numpy as np
import pyworld
from earlab.items import ROSTERS
from earlab.talk import everyday
from earlab.voices import SPEAKERS, Library, Line

from callout.commands.hear import scope_of
from callout.edges.ear.sound import RATE_HZ
from callout.edges.models.catalogue import RECOGNIZER, find_model
from callout.edges.models.words import model_words
from callout.edges.voice.phrases import cache_folder
from callout.edges.voice.tones import Sound
from callout.language.check import load_language
from callout.language.grammar import language_folder
from callout.language.sample import Sample
from callout.language.scope import Sentences
from tests.drawn import draw

SEED: Final = 4_711
"""The seed of the texts. The benchmarks draw theirs from small seeds, so the texts differ."""

ANSWERED: Final = ("answer", "no", "pick", "yes")

RATES: Final = (0.8, 1.25)

ACCENTS: Final = ("us", "gb", "gb-x-gbclan", "gb-x-rp", "gb-scotland", "gb-x-gbcwmd", "029")
TIMBRES: Final = tuple([f"m{at}" for at in range(1, 7)] + ["f1", "f4", "f5", "klatt2", "klatt4"])
"""Of those of espeak-ng; the benchmarks' own have other accents or other timbres."""

NATURAL: Final = {name: SPEAKERS[name] for name in ("piper joe", "flite rms")}
BY_CORPUS: Final = {"flite rms": SPEAKERS["flite rms"]}
OLD: Final = {"festival ked": ("festival", "voice_ked_diphone")}
MADE: Final = {
    f"espeak {accent} {timbre}": ("espeak-ng", f"en-{accent}+{timbre}")
    for accent in ACCENTS
    for timbre in TIMBRES
}

SHARES: Final = {"piper joe": 0.3, "changed": 0.27, "espeak": 0.2, "flite rms": 0.18, "old": 0.05}
"""How often each is heard in training; the most natural ones the most."""


@dataclass(frozen=True, slots=True)
class Cast:
    """Who says how much."""

    natural: Mapping[str, tuple[str, str]]
    weights: tuple[float, ...]
    """How often each of the natural voices, the old one and any of espeak-ng is drawn."""
    calls: int
    talk: int
    english: int
    answers: int
    changed: int
    """So many are said by a made voice, too."""
    seed: int = SEED


ALONE: Final = Cast(NATURAL, (0.4, 0.18, 0.08, 0.34), 1_800, 900, 1_100, 400, 2_400)
"""Where synthetic voices alone teach."""

BESIDE_PEOPLE: Final = Cast(BY_CORPUS, (0.35, 0.15, 0.5), 1_300, 500, 500, 300, 700)
"""Where people teach, too: the synthesizers that are no networks."""

NEURAL: Final = Cast({"piper joe": SPEAKERS["piper joe"]}, (1.0, 0.0, 0.0), 800, 200, 250, 200, 0,
                     SEED + 1)  # fmt: skip
"""Beside those: the one that is a network."""


@dataclass(frozen=True, slots=True)
class Spoken:
    """Something said by somebody."""

    by: str
    """A key of the shares."""
    voice: str
    sound: Sound
    is_call: bool
    text: str


def spoken(cast: Cast = ALONE, more: Sequence[str] = ()) -> list[Spoken]:
    """Everything that is said, `more` calls too; rendered once and kept."""
    random = Random(cast.seed)
    calls = [*_calls(cast.calls, cast.seed), *more]
    others = [*islice(everyday(cast.seed), cast.talk), *_english(random, cast.english)]
    texts = [(text, True) for text in calls] + [(text, False) for text in others]
    random.shuffle(texts)
    said = _said(texts, random, cast)
    answers = _said([(text, True) for text in _answers(cast.answers, cast.seed)], random, cast)
    return said + answers + _changed(said + answers, random, cast.changed)


def _said(texts: Sequence[tuple[str, bool]], random: Random, cast: Cast) -> list[Spoken]:
    """Each text, and whether it is one of the table's, by somebody."""
    lines = [Line(*_speaker(random, cast), text) for text, _ in texts]
    library = Library(cache_folder().with_name("training"), NATURAL | OLD | MADE)
    library.prepare(lines)
    return [
        Spoken(_share(line.voice), line.voice, library.sound(line), is_call, line.text)
        for line, (_, is_call) in zip(lines, texts, strict=True)
    ]


def _drawn(count: int, seed: int, which: Sentences) -> Iterator[Sample]:
    grammar = load_language(language_folder())
    scope = replace(scope_of(grammar, None), rosters=ROSTERS, legal=())
    return draw(grammar, scope, count, seed, which)


def _calls(count: int, seed: int) -> list[str]:
    return [" ".join(each.words) for each in _drawn(count, seed, Sentences.CALLS)]


def _answers(count: int, seed: int) -> list[str]:
    """Answers to questions: the shortest texts, and the hardest to hear."""
    drawn = _drawn(50 * count, seed, Sentences.BOTH)
    made = (" ".join(each.words) for each in drawn if each.meaning.name in ANSWERED)
    return [*islice(made, count)]


def _english(random: Random, count: int) -> list[str]:
    model: Path = find_model(RECOGNIZER)
    words = sorted(w for w in model_words(model) if w.isalpha() and 2 <= len(w) <= 10)
    return [" ".join(random.choices(words, k=random.randint(2, 5))) for _ in range(count)]


def _speaker(random: Random, cast: Cast) -> tuple[str, float]:
    kinds = {**dict.fromkeys(cast.natural, cast.natural), "old": OLD, "espeak": MADE}
    (kind,) = random.choices([*kinds], cast.weights)
    name = kind if kind in NATURAL else random.choice([*kinds[kind]])
    return name, round(random.uniform(*RATES), 3)


def _share(voice: str) -> str:
    if voice in NATURAL:
        return voice
    return "old" if voice in OLD else "espeak"


def _changed(said: Sequence[Spoken], random: Random, count: int) -> list[Spoken]:
    """The same words in other voices."""
    chosen = [each for each in said if each.voice not in MADE]
    random.shuffle(chosen)
    jobs = []
    for each in chosen[:count]:
        kind = random.random()
        if kind < 0.5:
            how = random.uniform(1.45, 2.1), random.uniform(1.08, 1.22)
        elif kind < 0.75:
            how = random.uniform(2.0, 2.8), random.uniform(1.2, 1.36)
        else:
            how = random.uniform(0.75, 1.25), random.uniform(0.9, 1.1)
        jobs.append((each.sound, *how))
    with ProcessPoolExecutor() as pool:
        sounds = [*pool.map(in_another_voice, *zip(*jobs, strict=True), chunksize=20)]
    return [
        replace(each, by="changed", voice=f"{each.voice}, changed", sound=sound)
        for each, sound in zip(chosen, sounds, strict=False)
    ]


def in_another_voice(sound: Sound, pitch: float, throat: float) -> Sound:
    """As many times as high, and from a throat so many times as short.

    Source: the WORLD vocoder, Morise et al. 2016.
    """
    wave = sound.astype(np.float64)
    rough, time = pyworld.dio(wave, RATE_HZ)
    height = pyworld.stonemask(wave, rough, time, RATE_HZ)
    shape = pyworld.cheaptrick(wave, height, time, RATE_HZ)
    breath = pyworld.d4c(wave, height, time, RATE_HZ)
    bins = shape.shape[1]
    source = np.clip(np.arange(bins) / throat, 0, bins - 1)
    below = source.astype(int)
    above, part = np.minimum(below + 1, bins - 1), source - below
    shape = np.exp(np.log(shape[:, below]) * (1 - part) + np.log(shape[:, above]) * part)
    breath = breath[:, below] * (1 - part) + breath[:, above] * part
    made = pyworld.synthesize(height * pitch, shape.copy(), breath.copy(), RATE_HZ)
    out: Sound = (made / max(1e-9, float(np.abs(made).max())) * 0.6).astype(np.float32)
    return out
