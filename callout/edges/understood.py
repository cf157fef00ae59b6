"""What the ear told, read as calls: certain, unsure of a value, or none of the table's business."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from callout.language.parser import Parsed, Parser, Sentence
from callout.language.slots import Value


@dataclass(frozen=True, slots=True)
class Choice:
    """One value that a doubtful slot may have."""

    slot: str
    value: Value
    text: str
    p: float
    """How likely it is, the choices of a slot summing to 1."""
    sentence: Sentence


@dataclass(frozen=True, slots=True)
class Understood:
    """A call that was heard, or a stretch of talk that held none."""

    status: str
    """`call`, `unsure` or `ignored`."""
    text: str
    start_s: float
    end_s: float
    sentence: Sentence | None = None
    choices: tuple[Choice, ...] = ()

    def to_dict(self) -> dict[str, Any]:
        """The form that `callout hear --json` prints, but for the file's name."""
        doubtful = {choice.slot for choice in self.choices}
        slots = dict(self.sentence.slots) if self.sentence else {}
        return {
            "start_s": self.start_s,
            "end_s": self.end_s,
            "text": self.text,
            "status": self.status,
            "call": self.sentence.name if self.sentence else None,
            "slots": {slot: value for slot, value in slots.items() if slot not in doubtful},
            "choices": [
                {"slot": c.slot, "value": c.value, "text": c.text, "p": round(c.p, 3)}
                for c in self.choices
            ],
        }


def understand(parser: Parser, utterance: Mapping[str, Any]) -> list[Understood]:
    """The calls of an utterance, or the one sign that it held none."""
    found = [
        understood
        for call in utterance["calls"]
        if call["trusted"]
        for understood in _call(parser, call)
    ]
    if found:
        return found
    times = (utterance["start_s"], utterance["end_s"])
    return [Understood("ignored", utterance["text"], *times)]


def _call(parser: Parser, call: Mapping[str, Any]) -> list[Understood]:
    words = [word for word, _, _ in call["words"]]
    times = (call["words"][0][1], call["words"][-1][2])
    sentence = _one(parser, words)
    if sentence is None:
        return []
    choices = _choices(parser, words, sentence, call["others"])
    status = "unsure" if choices else "call"
    return [Understood(status, " ".join(words), *times, sentence, choices)]


def _one(parser: Parser, words: Sequence[str]) -> Sentence | None:
    result = parser.parse(words)
    if isinstance(result, Parsed) and len(result.sentences) == 1:
        return result.sentences[0]
    return None


def _choices(
    parser: Parser, words: Sequence[str], best: Sentence, others: Sequence[Mapping[str, Any]]
) -> tuple[Choice, ...]:
    """The values between which the ear is in doubt: those of the one slot that differs."""
    readings = [(best, words, 0.0)]
    slots: list[str] = []
    for other in others:
        sentence = _one(parser, other["words"])
        slot = _only_difference(best, sentence) if sentence else None
        if sentence is None or slot is None or slot not in (slots or [slot]):
            continue
        slots = [slot]
        readings.append((sentence, other["words"], float(other["gap"])))
    if not slots:
        return ()
    weights = [math.exp(-gap) for _, _, gap in readings]
    return tuple(
        Choice(slots[0], sentence.slots[slots[0]], " ".join(said), weight / sum(weights), sentence)
        for (sentence, said, _), weight in zip(readings, weights, strict=True)
    )


def _only_difference(one: Sentence, other: Sentence) -> str | None:
    """The one slot in which two sentences differ; None where they differ in anything else."""
    if one.name != other.name or one.slots.keys() != other.slots.keys():
        return None
    differing = [slot for slot in one.slots if one.slots[slot] != other.slots[slot]]
    return differing[0] if len(differing) == 1 else None
