"""The recognizer's hypotheses: words, when they were said, and how likely they are."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Word:
    """A word and when it was said, in seconds of the sound."""

    word: str
    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class Reading:
    """One hypothesis of an utterance."""

    words: tuple[Word, ...]
    score: float


def readings_of(result: Mapping[str, Any], since_s: float = 0.0) -> list[Reading]:
    """The n-best list of a recognizer's result, best first; one without words where it heard none.

    The sound began `since_s` after the first sample that the recognizer ever took.
    """
    return [
        Reading(
            tuple(
                Word(w["word"], w["start"] - since_s, w["end"] - since_s)
                for w in each.get("result", [])
            ),
            each["confidence"],
        )
        for each in result.get("alternatives", [])
    ]
