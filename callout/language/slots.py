"""The words for shirt numbers, counts, clock times and ordinals.

All words come from a language's slots.yaml; no word is written here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

from callout.game.values import SHIRTS

Value = str | int | bool
Phrase = tuple[str, ...]
Said = Annotated[str, StringConstraints(strip_whitespace=True, to_lower=True, min_length=1)]
"""One word or more, in lower case, as the ear and the parser expect."""
Ways = Annotated[tuple[Said, ...], Field(min_length=1)]
"""One or more phrases with the same meaning."""
Nats = Annotated[float, Field(ge=0.0, le=10.0)]
"""A cost in natural logarithms."""


class UnsayableError(LookupError):
    """A number without words in a language: it is below zero, or above the last count."""


class Strict(BaseModel):
    """A part of a language file; unknown keys are refused."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class Slot(Strict):
    """What may stand for one `{slot}` of a template: listed values, those of another slot, or a
    kind of numbers."""

    values: Mapping[Value, Ways] | tuple[Said, ...] | None = None
    """Each value with its phrases; a plain list where a phrase is its own value."""
    like: str | None = None
    """The slot whose values and scope it has. A scope of its own replaces that scope."""
    without: tuple[Said, ...] = ()
    """With `like`: the phrases of the other slot that it lacks."""
    numbers: Literal["shirt", "count", "clock"] | None = None
    of: Literal["home", "guest"] | None = None
    """For shirt numbers: whose they are, if the template has no team slot that says so."""
    before: str | None = None
    """For shirt numbers: the slot that comes next. A number is left out if it would make another
    shirt number with the next word: "twenty" before "two"."""
    apart_from: str | None = None
    """For shirt numbers: a slot of values. A number that is said like one of them is left out."""
    first: int = 0
    last: int = 99
    scope: Literal["team", "foul", "unworn"] | None = None
    """Whether the values depend on the game: its teams' words, its league's fouls, or, for
    numbers, that none of the team's players wears them."""
    other: bool = False
    """For teams: whether it is the team that the sentence does not name elsewhere."""
    unit: int = 1
    """For counts: what the number is multiplied by; 10 turns spoken seconds into tenths."""


class ClockWords(Strict):
    """The small words of a clock time."""

    oh: Said
    """Between minutes and fewer than ten seconds."""
    even: Said
    """After minutes, for no seconds."""
    second: Said
    """After one second, where there are no minutes."""
    seconds: Said
    """After any other number of them."""
    point: Said
    """Before tenths."""
    shorter: Mapping[str, Said] = {}
    """Number words that are otherwise before `second` and `seconds`: in Spanish "un" for "uno"."""


class SlotsFile(Strict):
    """slots.yaml: the slots, and the words for numbers."""

    slots: Mapping[str, Slot] = {}
    counts: tuple[Said, ...] = ()
    """The words for 0 to 99."""
    hundreds: Mapping[int, Said] = {}
    """The words for 100, 200 and so on, without a gap."""
    hundreds_and: Mapping[int, Said] = {}
    """The words for hundreds before tens and ones, if the language has other ones there."""
    digits: tuple[Ways, ...] = ()
    """For each digit its words when said alone; replies use the first."""
    shirts: Mapping[str, Ways] = {}
    """Further phrases for a shirt number."""
    alike: tuple[tuple[str, ...], ...] = ()
    """Groups of shirt numbers that sound alike; questions say them digit by digit."""
    too_easily: Mapping[str, Nats] = {}
    """Words that the recognizer hears in noise where others were said, with their cost in nats."""
    ordinals: tuple[Said, ...] = ()
    clock: ClockWords | None = None


def most_count(file: SlotsFile) -> int:
    """The largest number that a language counts to; -1 if it has no words for counts."""
    most = len(file.counts) - 1
    while most + 1 in file.hundreds:
        most += 100
    return most


@dataclass(frozen=True)
class Words:
    """The words for numbers in one language."""

    file: SlotsFile

    # --- shirt numbers ----------------------------------------------------------------------

    def shirt_phrases(self, number: str) -> tuple[Phrase, ...]:
        """Every way to say a shirt number, the usual one first."""
        if number not in self._shirts:
            self._shirts[number] = tuple(dict.fromkeys(self._phrases(number)))
        return self._shirts[number]

    @cached_property
    def _shirts(self) -> dict[str, tuple[Phrase, ...]]:
        return {}

    def shirt_of(self, phrase: Phrase) -> str | None:
        """The shirt number of a phrase."""
        return self._by_phrase.get(phrase)

    @cached_property
    def _by_phrase(self) -> Mapping[Phrase, str]:
        return {phrase: number for number in SHIRTS for phrase in self.shirt_phrases(number)}

    def _phrases(self, number: str) -> list[Phrase]:
        said: list[Phrase] = [tuple(words.split()) for words in self.file.shirts.get(number, ())]
        if number != "00":
            said.append(tuple(self.file.counts[int(number)].split()))
        if len(number) == 2 and number != "00":
            said += self._by_digits(number)
        return said

    def _by_digits(self, number: str) -> Iterator[Phrase]:
        tens, units = (self.file.digits[int(digit)] for digit in number)
        for one in tens:
            for other in units:
                yield (one, other)

    def shirt(self, number: str) -> str:
        """The words for a shirt number."""
        return " ".join(self.shirt_phrases(number)[0])

    def digits(self, number: str) -> str:
        """The words for a shirt number, digit by digit if it sounds like another one."""
        said = self.shirt(number)
        return " ".join(self.digits_of.get(said, (said,)))

    @cached_property
    def digits_of(self) -> Mapping[str, Phrase]:
        """For the words of each shirt number that sounds like another: the words of its digits."""
        return {
            self.shirt(number): tuple(self.file.digits[int(digit)][0] for digit in number)
            for group in self.file.alike
            for number in group
        }

    def pairs_alike(self, numbers: Sequence[str]) -> tuple[tuple[str, str], ...]:
        """Every two of these shirt numbers that sound alike."""
        groups = ([n for n in group if n in numbers] for group in self.file.alike)
        return tuple(pair for group in groups for pair in combinations(group, 2))

    def cost(self, phrase: Phrase) -> float:
        """The cost of its words that are heard too easily, in nats."""
        return sum(self.file.too_easily.get(word, 0.0) for word in phrase)

    # --- counts -----------------------------------------------------------------------------

    def count(self, number: int) -> str:
        """The words for a whole number, from 0 to the last one that the language counts.

        Raises:
            UnsayableError: it is below 0 or above the last.
        """
        # Python would take -1 for the last word of the list, ninety nine.
        if not 0 <= number <= self.most:
            raise UnsayableError(f"expected a number from 0 to {self.most}, got {number}")
        if number < 100:
            return self.file.counts[number]
        whole, rest = number - number % 100, number % 100
        if rest == 0:
            return self.file.hundreds[whole]
        hundreds = self.file.hundreds_and.get(whole, self.file.hundreds[whole])
        return f"{hundreds} {self.file.counts[rest]}"

    @cached_property
    def most(self) -> int:
        """The largest number that can be said; -1 if there are no words for counts."""
        return most_count(self.file)

    def ordinal(self, number: int) -> str:
        """The ordinal of a number, or its count if the language has no ordinal for it."""
        known = 1 <= number <= len(self.file.ordinals)
        return self.file.ordinals[number - 1] if known else self.count(number)

    # --- clock times ------------------------------------------------------------------------

    def clock(self, tenths: int) -> str:
        """The words for a time left; tenths are said in the last minute only."""
        words = self._clock
        if tenths < 600:
            seconds, rest = divmod(tenths, 10)
            if rest:
                return f"{self.count(seconds)} {words.point} {self.file.counts[rest]}"
            return " ".join(self._seconds(seconds))
        minutes, seconds = divmod(tenths // 10, 60)
        if seconds == 0:
            return f"{self.count(minutes)} {words.even}"
        small = f"{words.oh} " if seconds < 10 else ""
        return f"{self.count(minutes)} {small}{self.count(seconds)}"

    def clock_minutes(self) -> Iterator[tuple[Phrase, int]]:
        """The minutes of a clock time: each phrase with its tenths of a second."""
        for minutes in range(1, 21):
            yield tuple(self.count(minutes).split()), 600 * minutes

    def clock_seconds(self) -> Iterator[tuple[Phrase, int]]:
        """The seconds after minutes: each phrase with its tenths of a second."""
        words = self._clock
        yield tuple(words.even.split()), 0
        for seconds in range(1, 60):
            phrase = tuple(self.count(seconds).split())
            yield ((*words.oh.split(), *phrase) if seconds < 10 else phrase), 10 * seconds

    def clock_short(self) -> Iterator[tuple[Phrase, int]]:
        """Times under a minute, with and without tenths."""
        words = self._clock
        for seconds in range(60):
            yield self._seconds(seconds), 10 * seconds
            phrase = tuple(self.count(seconds).split())
            for rest in range(1, 10):
                after = (*words.point.split(), *self.file.counts[rest].split())
                yield (*phrase, *after), 10 * seconds + rest

    def _seconds(self, seconds: int) -> Phrase:
        unit = self._clock.second if seconds == 1 else self._clock.seconds
        *before, last = self.count(seconds).split()
        return (*before, self._clock.shorter.get(last, last), *unit.split())

    @property
    def _clock(self) -> ClockWords:
        if self.file.clock is None:
            raise LookupError("this language has no words for clock times")
        return self.file.clock


def counts_between(words: Words, slot: Slot) -> Iterator[tuple[Phrase, int]]:
    """Every number that a slot of counts allows: its phrase and its value."""
    for number in range(slot.first, slot.last + 1):
        yield tuple(words.count(number).split()), number * slot.unit


def listed(slot: Slot) -> dict[Value, tuple[str, ...]]:
    """The listed values of a slot with their phrases."""
    values: Any = slot.values or {}
    if isinstance(values, Mapping):
        return dict(values)
    return {phrase: (phrase,) for phrase in values}
