"""The training speech: texts, and the synthetic voices that say them.

The texts are calls, answers, talk, and random English words, so that the network remains one for
all English. They are drawn from another seed than those of the benchmarks. Of the benchmarks'
voices only two are used. Further voices are made from these by changing the pitch and the length of
the vocal tract, towards the voices of women and children.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
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

CALLS: Final = 1_800
TALK: Final = 900
ENGLISH: Final = 1_100
ANSWERS: Final = 400
"""The number of texts of each kind."""

ANSWERED: Final = ("answer", "no", "pick", "yes")

CHANGED: Final = 2_400
"""The number of texts that are also said by a changed voice."""

RATES: Final = (0.8, 1.25)

ACCENTS: Final = ("us", "gb", "gb-x-gbclan", "gb-x-rp", "gb-scotland", "gb-x-gbcwmd", "029")
TIMBRES: Final = tuple([f"m{at}" for at in range(1, 7)] + ["f1", "f4", "f5", "klatt2", "klatt4"])
"""Accents and timbres of espeak-ng that do not occur in the benchmarks."""

NATURAL: Final = {name: SPEAKERS[name] for name in ("piper joe", "flite rms")}
OLD: Final = {"festival ked": ("festival", "voice_ked_diphone")}
MADE: Final = {
    f"espeak {accent} {timbre}": ("espeak-ng", f"en-{accent}+{timbre}")
    for accent in ACCENTS
    for timbre in TIMBRES
}

SHARES: Final = {"piper joe": 0.3, "changed": 0.27, "espeak": 0.2, "flite rms": 0.18, "old": 0.05}
"""The share of each kind of voice in training; the most natural ones have the largest."""


@dataclass(frozen=True, slots=True)
class Spoken:
    """One text spoken by one voice."""

    by: str
    """The kind of voice, a key of `SHARES`."""
    voice: str
    sound: Sound
    is_call: bool


def spoken() -> list[Spoken]:
    """All of the training speech; rendered once and kept in a folder."""
    random = Random(SEED)
    calls, others = _calls(), [*islice(everyday(SEED), TALK), *_english(random)]
    texts = [(text, True) for text in calls] + [(text, False) for text in others]
    random.shuffle(texts)
    said = _said(texts, random)
    answers = _said([(text, True) for text in _answers()], random)
    return said + answers + _changed(said + answers, random)


def _said(texts: Sequence[tuple[str, bool]], random: Random) -> list[Spoken]:
    """Each text spoken by a random voice; a text comes with whether it is a call or an answer."""
    lines = [Line(*_speaker(random), text) for text, _ in texts]
    library = Library(cache_folder().with_name("training"), NATURAL | OLD | MADE)
    library.prepare(lines)
    return [
        Spoken(_share(line.voice), line.voice, library.sound(line), is_call)
        for line, (_, is_call) in zip(lines, texts, strict=True)
    ]


def _drawn(count: int, which: Sentences) -> Iterator[Sample]:
    grammar = load_language(language_folder())
    scope = replace(scope_of(grammar, None), rosters=ROSTERS, legal=())
    return draw(grammar, scope, count, SEED, which)


def _calls() -> list[str]:
    return [" ".join(each.words) for each in _drawn(CALLS, Sentences.CALLS)]


def _answers() -> list[str]:
    """Answers to questions: the shortest texts, and the hardest to hear."""
    drawn = _drawn(50 * ANSWERS, Sentences.BOTH)
    made = (" ".join(each.words) for each in drawn if each.meaning.name in ANSWERED)
    return [*islice(made, ANSWERS)]


def _english(random: Random) -> list[str]:
    model: Path = find_model(RECOGNIZER)
    words = sorted(w for w in model_words(model) if w.isalpha() and 2 <= len(w) <= 10)
    return [" ".join(random.choices(words, k=random.randint(2, 5))) for _ in range(ENGLISH)]


def _speaker(random: Random) -> tuple[str, float]:
    kinds = {"piper joe": NATURAL, "flite rms": NATURAL, "old": OLD, "espeak": MADE}
    weights = (0.4, 0.18, 0.08, 0.34)
    (kind,) = random.choices([*kinds], weights)
    name = kind if kind in NATURAL else random.choice([*kinds[kind]])
    return name, round(random.uniform(*RATES), 3)


def _share(voice: str) -> str:
    if voice in NATURAL:
        return voice
    return "old" if voice in OLD else "espeak"


def _changed(said: Sequence[Spoken], random: Random) -> list[Spoken]:
    """Some of the same texts in changed voices."""
    chosen = [each for each in said if each.voice not in MADE]
    random.shuffle(chosen)
    jobs = []
    for each in chosen[:CHANGED]:
        kind = random.random()
        if kind < 0.5:
            how = random.uniform(1.45, 2.1), random.uniform(1.08, 1.22)
        elif kind < 0.75:
            how = random.uniform(2.0, 2.8), random.uniform(1.2, 1.36)
        else:
            how = random.uniform(0.75, 1.25), random.uniform(0.9, 1.1)
        jobs.append((each.sound, *how))
    with ProcessPoolExecutor() as pool:
        sounds = [*pool.map(_in_another_voice, *zip(*jobs, strict=True), chunksize=20)]
    return [
        replace(each, by="changed", voice=f"{each.voice}, changed", sound=sound)
        for each, sound in zip(chosen, sounds, strict=False)
    ]


def _in_another_voice(sound: Sound, pitch: float, throat: float) -> Sound:
    """The sound with its pitch multiplied by `pitch`, and a vocal tract `throat` times as short.

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
