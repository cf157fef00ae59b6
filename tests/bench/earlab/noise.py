"""The noise of halls, determined by a seed: a computed hall, and one of synthetic talkers."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Final

import numpy as np

from callout.edges.ear.hall_noise import WET, Wave, echoed, hall_noise, in_noise
from callout.edges.ear.sound import RATE_HZ
from callout.edges.voice.tones import Sound
from earlab.items import library
from earlab.talk import of_the_stands
from earlab.voices import SPEAKERS, Library, Line, voices

KINDS: Final = ("made", "babble")
"""The kinds of hall: computed like the demo's, or of synthetic voices."""

TALKERS: Final = 14
"""The number of people who talk at once in the stands."""

NEAR_WET: Final = 0.012
"""The level of the room's echo in a microphone near the mouth, relative to the voice."""


def hall(kind: str, seconds: float, seed: int, library: Library, texts: list[str]) -> Wave:
    """The noise of a hall of one kind, of the given length."""
    if kind == "made":
        return hall_noise(seconds, seed)
    random = np.random.default_rng(seed)
    count = int(seconds * RATE_HZ)
    mixed = np.zeros(count)
    for _ in range(TALKERS):
        mixed += random.uniform(0.3, 1.0) * _talker(count, random, library, texts)
    game = hall_noise(seconds, seed + 1)
    return stands(mixed, 0.3 * game, random)


def stands(talk: Wave, game: Wave, random: np.random.Generator) -> Wave:
    """Talk in a room with reverberation, mixed with the noise of a game and its horn."""
    wet = echoed(talk / np.abs(talk).max(), RATE_HZ, random) + game
    wet += 0.5 * buzzers(len(talk), random)
    peak: Wave = wet / np.abs(wet).max()
    return peak


@cache
def halls(seed: int) -> tuple[Wave, ...]:
    """A minute of each kind of hall; recordings are put into them in turn."""
    texts = of_the_stands(seed)
    library().prepare(Line(voice, 1.0, text) for voice in talkers() for text in texts)
    return tuple(hall(kind, 60.0, seed, library(), texts) for kind in KINDS)


def talkers() -> tuple[str, ...]:
    """The voices in the stands: those that are rendered quickly."""
    quick = {name: how for name, how in SPEAKERS.items() if how[0] in ("flite", "espeak-ng")}
    return voices(quick)


def _talker(count: int, random: np.random.Generator, library: Library, texts: list[str]) -> Wave:
    voice = str(random.choice(talkers()))

    def say() -> Sound:
        return library.sound(Line(voice, 1.0, texts[int(random.integers(len(texts)))]))

    return talking(count, random, say)


def talking(count: int, random: np.random.Generator, say: Callable[[], Sound]) -> Wave:
    """Samples of one person who says one thing after another, with pauses between them."""
    out, at = np.zeros(count), int(random.integers(0, RATE_HZ))
    while at < count:
        sound = say()
        part = sound[: count - at]
        out[at : at + len(part)] = part
        at += len(sound) + int(random.integers(0, RATE_HZ))
    return out


def buzzers(count: int, random: np.random.Generator, per_s: float = 0.02) -> Wave:
    """A scoreboard's horn at random moments: a harsh tone of one second."""
    out = np.zeros(count)
    time = np.arange(RATE_HZ) / RATE_HZ
    for start in random.integers(0, count, max(1, random.poisson(per_s * count / RATE_HZ))):
        tone = np.sign(np.sin(2 * np.pi * random.uniform(280, 420) * time)) * 0.6
        part = tone[: count - start]
        out[start : start + len(part)] += part
    return out


def heard_in(speech: Sound, noise: Wave, ratio_db: float | None, seed: int) -> Sound:
    """Speech in noise as a microphone near the mouth receives it; clean if no ratio is given."""
    if ratio_db is None:
        return speech
    random = np.random.default_rng(seed)
    near = by_the_mouth(speech, random)
    start = int(random.integers(0, len(noise) - len(speech)))
    part = noise[start : start + len(speech)]
    return in_noise(near, part, ratio_db)


def by_the_mouth(speech: Sound, random: np.random.Generator, times: float = 1.0) -> Wave:
    """Speech with the echo of a room as near the mouth, multiplied by `times`."""
    room = echoed(speech.astype(np.float64), RATE_HZ, random) - speech
    near: Wave = speech + times * (NEAR_WET / WET) * room
    return near
