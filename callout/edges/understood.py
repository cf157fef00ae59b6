"""What the ear told, read as calls: certain, unsure of a value, or none of the table's business."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from callout.game.calls import Call
from callout.language.parser import Parsed, Parser, Sentence
from callout.language.slots import Value

CERTAIN: Final = 0.85
"""A call less likely than this, among all that its sound may be, is asked about.

Of 216 table calls in nine synthetic voices, 202 were likelier than 0.8 at 12 dB, and one of those
wrong; at 6 dB 169 were, five of them wrong, and of the 147 likelier than 0.9 one.
"""

POSSIBLE: Final = 0.05
"""A reading less likely than this is not offered."""

WHOLE: Final = "call"
"""Stands for a slot where calls differ in more than one, or are not the same call."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One way to take what is in doubt: the value of a slot, or a whole call."""

    slot: str
    """The doubtful slot; `call` where the calls differ in more than one."""
    value: Value
    """What stands in it; the call's name, where that is `call`."""
    text: str
    p: float
    """How likely it is, the choices of a call summing to 1."""
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

    def narrowed(self, may: Callable[[Call], bool]) -> Understood:
        """The same without those other choices that may not be called now.

        Only the likeliest one's rivals fall away: that a call would be refused is no proof that
        another was said, and a clock started by mistake is worse than a question.
        """
        left = [
            _Meaning(choice.sentence, choice.text, choice.p)
            for choice in self.choices
            if choice.sentence.call is not None and may(choice.sentence.call)
        ]
        likeliest_may = bool(left) and left[0].sentence == self.sentence
        return _weighed(left, self.start_s, self.end_s) if likeliest_may else self

    def to_dict(self) -> dict[str, Any]:
        """The form that `callout hear --json` prints, but for the file's name."""
        offered = [choice.sentence for choice in self.choices]
        sentences = offered or ([self.sentence] if self.sentence else [])
        names = {sentence.name for sentence in sentences}
        return {
            "start_s": self.start_s,
            "end_s": self.end_s,
            "text": self.text,
            "status": self.status,
            "call": names.pop() if len(names) == 1 else None,
            "slots": _agreed([sentence.slots for sentence in sentences]),
            "choices": [
                {"slot": c.slot, "value": c.value, "text": c.text, "p": round(c.p, 3)}
                for c in self.choices
            ],
        }


def _agreed(slots: Sequence[Mapping[str, Value]]) -> dict[str, Value]:
    """The slots in which all agree."""
    first = slots[0] if slots else {}
    return {k: v for k, v in first.items() if all(k in o and o[k] == v for o in slots)}


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


@dataclass(slots=True)
class _Meaning:
    """One call that the sound may be, and how much speaks for it; 1 is the best reading's due."""

    sentence: Sentence
    text: str
    weight: float


def _call(parser: Parser, call: Mapping[str, Any]) -> list[Understood]:
    words = [word for word, _, _ in call["words"]]
    meanings = _meanings(parser, words, call["others"])
    if not meanings:
        return []
    return [_weighed(meanings, call["words"][0][1], call["words"][-1][2])]


def _weighed(meanings: Sequence[_Meaning], start_s: float, end_s: float) -> Understood:
    """The likeliest of the meanings, which come in that order, with what else is asked about."""
    best, total = meanings[0], sum(each.weight for each in meanings)
    choices = () if best.weight >= CERTAIN * total else _choices(meanings, total)
    status = "unsure" if choices else "call"
    return Understood(status, best.text, start_s, end_s, best.sentence, choices)


def _meanings(
    parser: Parser, words: Sequence[str], others: Sequence[Mapping[str, Any]]
) -> list[_Meaning]:
    """Every call that the sound may be, the likeliest first; none where the best reading is none.

    What may be said in two ways has the weight of both.
    """
    if _one(parser, words) is None:
        return []
    found: dict[object, _Meaning] = {}
    for said, gap in [(words, 0.0), *((other["words"], other["gap"]) for other in others)]:
        sentence = _one(parser, said)
        if sentence is not None:
            key = (sentence.name, frozenset(sentence.slots.items()))
            meaning = found.setdefault(key, _Meaning(sentence, " ".join(said), 0.0))
            meaning.weight += math.exp(-float(gap))
    return sorted(found.values(), key=lambda each: -each.weight)


def _one(parser: Parser, words: Sequence[str]) -> Sentence | None:
    result = parser.parse(words)
    if isinstance(result, Parsed) and len(result.sentences) == 1:
        return result.sentences[0]
    return None


def _choices(meanings: Sequence[_Meaning], total: float) -> tuple[Choice, ...]:
    """What is asked about: one slot where the likely calls differ in no other, else whole calls."""
    # At least the next best: a doubt may be spread over many readings, none of them likely.
    likely = meanings[: max(2, sum(each.weight >= POSSIBLE * total for each in meanings))]
    slots = {_difference(meanings[0].sentence, each.sentence) for each in likely[1:]}
    slot = slots.pop() if len(slots) == 1 else WHOLE
    offered = sum(each.weight for each in likely)
    return tuple(
        Choice(slot, _value(each.sentence, slot), each.text, each.weight / offered, each.sentence)
        for each in likely
    )


def _value(sentence: Sentence, slot: str) -> Value:
    return sentence.name if slot == WHOLE else sentence.slots[slot]


def _difference(one: Sentence, other: Sentence) -> str:
    """The one slot in which two sentences differ, or `call` where they differ in anything else."""
    if one.name != other.name or one.slots.keys() != other.slots.keys():
        return WHOLE
    differing = [slot for slot in one.slots if one.slots[slot] != other.slots[slot]]
    return differing[0] if len(differing) == 1 else WHOLE
