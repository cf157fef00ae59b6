"""The recordings of the benchmarks, each with what it means; determined by seeds."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import islice, product
from pathlib import Path
from typing import Any, Final

import numpy as np
import soundfile
import soxr

from callout.commands.hear import scope_of
from callout.edges.ear.sound import RATE_HZ
from callout.edges.voice.tones import Sound
from callout.game.terms import Team
from callout.language.check import load_language
from callout.language.grammar import language_folder
from earlab.talk import everyday, near_calls, same_words
from earlab.voices import RATES, Library, Line
from tests.drawn import draw

QUIET_S: Final = 0.5

ROSTERS: Final = {
    Team.HOME: ("3", "4", "5", "7", "10", "11", "12", "13", "15", "23", "30", "50"),
    Team.GUEST: ("0", "4", "6", "8", "9", "14", "16", "20", "21", "33", "40", "55"),
}
"""Twelve numbers for each team; many of them sound like another."""


@dataclass(frozen=True, slots=True)
class Item:
    """One recording, and what it means."""

    source: Path | Line
    """A file, or a text in a synthetic voice."""
    slots: Mapping[str, Any]
    call: str | None = None
    before: Line | None = None
    after: Line | None = None
    """Talk before and after the call, in the same breath."""
    gap_s: float = 0.0
    """The pause between the talk and the call."""

    @property
    def voice(self) -> str:
        """The voice that speaks; `people` for a recording of people."""
        return self.source.voice if isinstance(self.source, Line) else "people"

    @property
    def lines(self) -> list[Line]:
        """All texts in it that have to be synthesized."""
        said = (self.before, self.source, self.after)
        return [each for each in said if isinstance(each, Line)]

    @property
    def text(self) -> str:
        """The words of the call; empty for a recording of people."""
        return self.source.text if isinstance(self.source, Line) else ""

    @property
    def name(self) -> str:
        """Its name in the report: the file, or voice and words."""
        if isinstance(self.source, Line):
            words = " ... ".join(each.text for each in self.lines)
            return f"{self.source.voice} at {self.source.rate:g}: {words}"
        return self.source.name

    def sound(self, library: Library) -> Sound:
        """Its samples at the recognizer's rate."""
        if isinstance(self.source, Line):
            gap = np.zeros(int(self.gap_s * RATE_HZ), dtype=np.float32)
            before = [library.sound(self.before), gap] if self.before else []
            after = [gap, library.sound(self.after)] if self.after else []
            return np.concatenate([*before, library.sound(self.source), *after])
        data, rate_hz = soundfile.read(self.source, dtype="float32")
        made: Sound = soxr.resample(data, rate_hz, RATE_HZ) if rate_hz != RATE_HZ else data
        return made * np.float32(0.6)


@cache
def library() -> Library:
    """The library of rendered texts that all benchmarks share."""
    return Library()


def padded(sound: Sound) -> Sound:
    """A sound with silence before and after it."""
    quiet = np.zeros(int(QUIET_S * RATE_HZ), dtype=np.float32)
    return np.concatenate([quiet, sound, quiet, quiet])


def orders(speech: Path, limit: int) -> tuple[Item, ...]:
    """Recordings of people who order coffee, with their labels."""
    labels = json.loads((speech / "orders" / "labels.json").read_text(encoding="utf-8"))
    names = sorted(labels)[: limit or None]
    return tuple(Item(speech / "orders" / name, labels[name]) for name in names)


def digits(speech: Path, limit: int) -> tuple[Item, ...]:
    """Recordings of people who say one digit, with which the file's name begins.

    They are ordered so that a limit leaves every speaker and digit equally often.
    """
    paths = sorted((speech / "digits").glob("*.flac"), key=lambda path: path.stem.split("_")[::-1])
    names = paths[: limit or None]
    return tuple(Item(path, {"number": path.name[0]}, "answer") for path in names)


def table_calls(count: int, names: Sequence[str], wake: tuple[str, ...] = ()) -> tuple[Item, ...]:
    """Calls drawn from the grammar, `count` for each voice and rate; each begins with `wake`."""
    grammar = load_language(language_folder())
    scope = replace(scope_of(grammar, None), rosters=ROSTERS, legal=(), wake=wake)
    return tuple(
        Item(Line(voice, rate, " ".join(each.words)), each.meaning.slots, each.meaning.name)
        for at, (voice, rate) in enumerate(product(names, RATES))
        for each in draw(grammar, scope, count, seed=at)
    )


def into_talk(calls: Sequence[Item], seed: int) -> tuple[Item, ...]:
    """The calls with talk by the same voice before them, after them, or both, after a pause."""
    texts = [*islice(everyday(seed), 2 * len(calls))]
    made = []
    for at, item in enumerate(calls):
        assert isinstance(item.source, Line)
        before, after = (replace(item.source, text=texts[2 * at + k]) for k in (0, 1))
        side, gap_s = at % 3, (0.15, 0.6)[at % 2]
        first, then = before if side != 1 else None, after if side != 0 else None
        made.append(replace(item, gap_s=gap_s, before=first, after=then))
    return tuple(made)


def near(names: Sequence[str]) -> tuple[Item, ...]:
    """Sentences that sound like a call and are none, in each voice."""
    return tuple(Item(Line(name, 1.0, text), {}) for name in names for text in near_calls())


def talk(count: int, names: Sequence[str], seed: int) -> tuple[Item, ...]:
    """Words, phrases and sentences that are not calls; every fourth uses the words of calls."""
    texts, same = [*islice(everyday(seed), count)], same_words()
    texts[::4] = [same[at % len(same)] for at in range(len(texts[::4]))]
    kinds = [*product(names, RATES)]
    return tuple(Item(Line(*kinds[at % len(kinds)], text), {}) for at, text in enumerate(texts))
