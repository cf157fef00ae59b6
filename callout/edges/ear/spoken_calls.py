"""Utterances as calls: certain, in doubt about a value or the whole call, or ignored."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any, Final

from callout.edges.ear.messages import OtherWords, Utterance
from callout.game.calls import Call
from callout.language.parser import Parsed, Parser, Sentence
from callout.language.slots import Value
from callout.table.talk.questions import CERTAIN, Doubt

POSSIBLE: Final = 0.05
"""A call with less than this share of the weight is not offered."""

ALIKE: Final = 1.5
"""Taken off the gap of an alternative that differs only in a similar-sounding number, where the
recognizer is overconfident. At 12 and 6 dB, of 56 calls with such a number, two in unknown voices
were taken for the other with gaps of 3.5 and 3.6, and two true ones won with gaps below 4.5."""

LEAST_BESIDE_DECOYS: Final = 0.25
"""A call with less than this share of the decoys' weight is ignored, else it is asked about."""

Prior = Callable[[Call], float]
"""How many times likelier a call is now than one about which nothing is known."""

WHOLE: Final = "call"
"""The name of a choice between whole calls: they differ in more than one slot."""


@dataclass(frozen=True, slots=True)
class Meaning:
    """One call that a sound may be, and how much speaks for it; 1 is the best reading's due."""

    sentence: Sentence
    text: str
    weight: float


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


@dataclass(frozen=True)
class Understood:
    """A call that was heard, or a stretch of talk that held none."""

    said: str
    """All that was heard."""
    start_s: float
    end_s: float
    meanings: tuple[Meaning, ...] = ()
    """Every call that it may be, the likeliest first; none for talk that is no call."""
    decoys: float = 0.0
    """How much speaks for what sounds like it and is no call."""
    by_digits: Callable[[Sequence[str]], Iterable[str]] = field(default=tuple, repr=False)
    """Says words as a question does: numbers that sound alike by their digits."""

    @property
    def sentence(self) -> Sentence | None:
        """The likeliest call."""
        return self.meanings[0].sentence if self.meanings else None

    @property
    def text(self) -> str:
        """Its words; where it is no call, all that was heard."""
        return self.meanings[0].text if self.meanings else self.said

    @property
    def status(self) -> str:
        """`call`, `unsure` or `ignored`."""
        if not self.meanings:
            return "ignored"
        return "unsure" if self.choices else "call"

    @cached_property
    def choices(self) -> tuple[Choice, ...]:
        """What is asked about; nothing where the likeliest call is certain, or there is none."""
        total = sum(each.weight for each in self.meanings)
        if not self.meanings or self.meanings[0].weight >= CERTAIN * (total + self.decoys):
            return ()
        return _choices(self.meanings, total, self.decoys)

    @property
    def doubt(self) -> Doubt | None:
        """What the table has to ask about."""
        offered = [
            (call, " ".join(self.by_digits(choice.text.split())), choice.p)
            for choice in self.choices
            if (call := choice.sentence.call) is not None
        ]
        if not offered:
            return None
        total = self.decoys + sum(each.weight for each in self.meanings)
        maybe_none = self.decoys > (1.0 - CERTAIN) * total
        called, said, likely = zip(*offered, strict=True)
        return Doubt(called, said, likely, maybe_none)

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


def understand(
    parser: Parser, utterance: Utterance, prior: Prior = lambda call: 1.0
) -> Iterator[Understood]:
    """The calls of an utterance, or the one sign that it held none.

    Each is weighed when it is asked for: what came of the one before may change what it can be.
    """
    silent = True
    for call in utterance.calls:
        words = call.said
        meanings = _meanings(parser, words, call.others)
        decoys = _decoys(parser, words, call.others)
        weighed = _weighed(meanings, prior)
        near = sum(each.weight for each in weighed) >= LEAST_BESIDE_DECOYS * decoys
        if weighed and near and call.margin + _likelier(weighed, meanings) >= 0.0:
            silent = False
            start_s, end_s = call.words[0].start_s, call.words[-1].end_s
            said = " ".join(words)
            yield Understood(said, start_s, end_s, weighed, decoys, parser.by_digits)
    if silent:
        yield Understood(utterance.text, utterance.start_s, utterance.end_s)


def _weighed(meanings: Sequence[Meaning], prior: Prior) -> tuple[Meaning, ...]:
    """The same with each call's weight times how much likelier it is."""
    calls = [(each, each.sentence.call) for each in meanings]
    return _ordered(
        each if call is None else replace(each, weight=each.weight * prior(call))
        for each, call in calls
    )


def _likelier(weighed: Iterable[Meaning], meanings: Iterable[Meaning]) -> float:
    """How much more speaks for its being a call at all, as a logarithm."""
    now, before = (sum(each.weight for each in some) for some in (weighed, meanings))
    return math.log(now / before) if now else -math.inf


def _meanings(
    parser: Parser, words: Sequence[str], others: Sequence[OtherWords]
) -> tuple[Meaning, ...]:
    """Every call that the sound may be; none where the best reading is neither one nor a decoy.

    What may be said in two ways has the weight of both.
    """
    if _one(parser, words) is None and not parser.is_decoy(words):
        return ()
    sound_alike = parser.grammar.words.sound_alike
    found: dict[object, Meaning] = {}
    for said, gap in [(words, 0.0), *((other.words, other.gap) for other in others)]:
        if sound_alike(tuple(words), tuple(said)):
            gap = max(0.0, gap - ALIKE)
        sentence = _one(parser, said)
        if sentence is not None:
            key = (sentence.name, frozenset(sentence.slots.items()))
            text = " ".join(parser.without_wake(said))
            meaning = found.get(key, Meaning(sentence, text, 0.0))
            found[key] = replace(meaning, weight=meaning.weight + math.exp(-float(gap)))
    return _ordered(found.values())


def _decoys(parser: Parser, words: Sequence[str], others: Sequence[OtherWords]) -> float:
    """How much speaks for what is no call, though it sounds like one."""
    said = [(words, 0.0), *((other.words, other.gap) for other in others)]
    return sum(math.exp(-float(gap)) for each, gap in said if parser.is_decoy(each))


def _ordered(meanings: Iterable[Meaning]) -> tuple[Meaning, ...]:
    return tuple(sorted(meanings, key=lambda each: -each.weight))


def _one(parser: Parser, words: Sequence[str]) -> Sentence | None:
    result = parser.parse(words)
    if isinstance(result, Parsed) and len(result.sentences) == 1:
        return result.sentences[0]
    return None


def _choices(meanings: Sequence[Meaning], total: float, decoys: float) -> tuple[Choice, ...]:
    """What is asked about: one slot where the likely calls differ in no other, else whole calls."""
    # Without decoys, at least the next best: a doubt may be spread over many readings.
    least = 1 if decoys else 2
    likely = meanings[: max(least, sum(each.weight >= POSSIBLE * total for each in meanings))]
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
