"""The calls in what the ear heard: certain, in doubt between several, or none at all."""

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
from callout.table.talk.costs import CERTAIN, LEAST_BESIDE_DECOYS, POSSIBLE
from callout.table.talk.questions import Doubt

Prior = Callable[[Call, float], float]
"""The prior weight of a call that began at that second of the ear's sound; 1 is neutral."""

Again = Callable[[Call, float], bool]
"""Whether a call that began at that second was nearly heard shortly before."""

NEARLY: Final = 9.0
"""A call that lacks no more than this to be taken was nearly heard. Units: nats."""

SAID_AGAIN: Final = 6.0
"""What a call gains that was nearly heard shortly before, in nats: people say again what nothing
came of, and talk seldom repeats itself.

Of 78 strangers' calls that were not heard at 18, 12 and 6 dB, 34 were right or asked about rightly
when they came again elsewhere in the noise, and 47 with this; one was asked about wrongly, two with
it. In 51 minutes of talk 65 calls were nearly heard.
"""

WHOLE: Final = "call"
"""In place of a slot's name, where readings differ in several slots or are different calls."""


@dataclass(frozen=True, slots=True)
class Meaning:
    """One call that a sound may be."""

    sentence: Sentence
    text: str
    weight: float
    """How likely it is beside the others; the best reading by its sound alone has 1."""

    def value(self, slot: str) -> Value:
        """What stands in a slot; the name of the call for `WHOLE`."""
        return self.sentence.name if slot == WHOLE else self.sentence.slots[slot]


@dataclass(frozen=True)
class Understood:
    """A call that was heard, or talk without any."""

    said: str
    """All that was heard."""
    start_s: float
    end_s: float
    meanings: tuple[Meaning, ...] = ()
    """Every call that it may be, the likeliest first; none for talk that is no call."""
    decoys: float = 0.0
    """The weight of all that is no call: readings that are decoys, which sound like a call, and for
    a call that is taken only because it was said again, that it is talk."""
    nearly: Call | None = None
    """The call that was nearly heard, where there is none."""
    by_digits: Callable[[Sequence[str]], Iterable[str]] = field(default=tuple, repr=False)
    """Puts words as a question says them: similar-sounding numbers by their digits."""

    @property
    def sentence(self) -> Sentence | None:
        """The likeliest call."""
        return self.meanings[0].sentence if self.meanings else None

    @property
    def call(self) -> Call | None:
        """What the likeliest sentence makes at the table; None if it makes no call."""
        return self.sentence.call if self.sentence else None

    @property
    def text(self) -> str:
        """The words of the likeliest call, or all that was heard where there is none."""
        return self.meanings[0].text if self.meanings else self.said

    @property
    def status(self) -> str:
        """`call`, `unsure` or `ignored`."""
        if not self.meanings:
            return "ignored"
        return "unsure" if self.choices else "call"

    @property
    def certainty(self) -> float:
        """The share of the likeliest call among all that the sound may be; 0 for none."""
        whole = self._total + self.decoys
        return self.meanings[0].weight / whole if self.meanings and whole else 0.0

    @cached_property
    def choices(self) -> tuple[Meaning, ...]:
        """The meanings that are asked about, with weights that sum to 1; none where the likeliest
        call is certain, or there is no call.
        """
        total = self._total
        if not self.meanings or self.certainty >= CERTAIN:
            return ()
        # Without decoys, at least the next best: a doubt may be spread over many readings.
        least = 1 if self.decoys else 2
        likely = sum(each.weight >= POSSIBLE * total for each in self.meanings)
        offered = self.meanings[: max(least, likely)]
        whole = sum(each.weight for each in offered)
        return tuple(replace(each, weight=each.weight / whole) for each in offered)

    @property
    def slot(self) -> str:
        """The one slot in which the choices differ; `WHOLE` where they differ in more."""
        sentences = [choice.sentence for choice in self.choices]
        slots = {_difference(sentences[0], other) for other in sentences[1:]}
        return slots.pop() if len(slots) == 1 else WHOLE

    @property
    def _total(self) -> float:
        return sum(each.weight for each in self.meanings)

    @property
    def doubt(self) -> Doubt | None:
        """The choices as the table asks about them; None where there is no doubt."""
        offered = [
            (call, " ".join(self.by_digits(choice.text.split())), choice.weight)
            for choice in self.choices
            if (call := choice.sentence.call) is not None
        ]
        if not offered:
            return None
        maybe_none = self.decoys > (1.0 - CERTAIN) * (self.decoys + self._total)
        called, said, likely = zip(*offered, strict=True)
        return Doubt(called, said, likely, maybe_none)

    @property
    def others(self) -> tuple[tuple[Call, float], ...]:
        """The other calls that a certain one may have been, each with its share; the journal keeps
        them for the day that the book is doubted."""
        whole = self._total + self.decoys
        return tuple(
            (call, each.weight / whole)
            for each in self.meanings[1:]
            if not self.choices and (call := each.sentence.call) is not None
        )

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
                {
                    "slot": self.slot,
                    "value": choice.value(self.slot),
                    "text": choice.text,
                    "p": round(choice.weight, 3),
                }
                for choice in self.choices
            ],
        }


def _agreed(slots: Sequence[Mapping[str, Value]]) -> dict[str, Value]:
    """The slots that have the same value in all of them."""
    first = slots[0] if slots else {}
    return {k: v for k, v in first.items() if all(k in o and o[k] == v for o in slots)}


def understand(
    parser: Parser,
    utterance: Utterance,
    prior: Prior = lambda call, start_s: 1.0,
    again: Again = lambda call, start_s: False,
) -> Iterator[Understood]:
    """The calls of an utterance; where it holds none, one `Understood` without a meaning.

    A generator: each call is weighed only when it is drawn, since the call before it may have
    changed the game.
    """
    silent, nearly = True, None
    for call in utterance.calls:
        words = call.said
        meanings = _meanings(parser, words, call.others)
        decoys = _decoys(parser, words, call.others)
        start_s, end_s = call.words[0].start_s, call.words[-1].end_s
        weighed = _weighed(meanings, prior, start_s)
        whole = sum(each.weight for each in weighed)
        if not weighed or whole < LEAST_BESIDE_DECOYS * decoys:
            continue
        margin, likeliest = call.margin + _likelier(weighed, meanings), weighed[0].sentence.call
        if margin < 0.0 and likeliest is not None and again(likeliest, start_s):
            margin += SAID_AGAIN
            decoys += whole * math.exp(-margin)
        if margin >= 0.0:
            silent = False
            said = " ".join(words)
            yield Understood(said, start_s, end_s, weighed, decoys, by_digits=parser.by_digits)
        elif margin >= -NEARLY:
            nearly = likeliest
    if silent:
        yield Understood(utterance.text, utterance.start_s, utterance.end_s, nearly=nearly)


def _weighed(meanings: Sequence[Meaning], prior: Prior, start_s: float) -> tuple[Meaning, ...]:
    """The meanings with their weights multiplied by the priors of their calls."""
    calls = [(each, each.sentence.call) for each in meanings]
    return _ordered(
        each if call is None else replace(each, weight=each.weight * prior(call, start_s))
        for each, call in calls
    )


def _likelier(weighed: Iterable[Meaning], meanings: Iterable[Meaning]) -> float:
    """How much the priors raised the odds that this is a call at all, as a natural logarithm."""
    now, before = (sum(each.weight for each in some) for some in (weighed, meanings))
    return math.log(now / before) if now else -math.inf


def _meanings(
    parser: Parser, words: Sequence[str], others: Sequence[OtherWords]
) -> tuple[Meaning, ...]:
    """Every call that the sound may be; none where the best reading is neither a call nor a decoy.

    Two readings that mean the same call add up.
    """
    if _one(parser, words) is None and not parser.is_decoy(words):
        return ()
    found: dict[object, Meaning] = {}
    for said, gap in [(words, 0.0), *((other.words, other.gap) for other in others)]:
        sentence = _one(parser, said)
        if sentence is not None:
            key = (sentence.name, frozenset(sentence.slots.items()))
            text = " ".join(parser.without_wake(said))
            meaning = found.get(key, Meaning(sentence, text, 0.0))
            found[key] = replace(meaning, weight=meaning.weight + math.exp(-float(gap)))
    return _ordered(found.values())


def _decoys(parser: Parser, words: Sequence[str], others: Sequence[OtherWords]) -> float:
    """The weight of all readings that are decoys."""
    said = [(words, 0.0), *((other.words, other.gap) for other in others)]
    return sum(math.exp(-float(gap)) for each, gap in said if parser.is_decoy(each))


def _ordered(meanings: Iterable[Meaning]) -> tuple[Meaning, ...]:
    return tuple(sorted(meanings, key=lambda each: -each.weight))


def _one(parser: Parser, words: Sequence[str]) -> Sentence | None:
    result = parser.heard.parse(words)
    if isinstance(result, Parsed) and len(result.sentences) == 1:
        return result.sentences[0]
    return None


def _difference(one: Sentence, other: Sentence) -> str:
    """The one slot in which two sentences differ, or `call` where they differ in anything else."""
    if one.name != other.name or one.slots.keys() != other.slots.keys():
        return WHOLE
    differing = [slot for slot in one.slots if one.slots[slot] != other.slots[slot]]
    return differing[0] if len(differing) == 1 else WHOLE
