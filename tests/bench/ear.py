"""How well the ear hears, beside vosk's phrase list and its dictation, in one run.

`orders`: recordings of people who order coffee, another domain than the table's, heard by the
project's own ear, as `callout hear` hears files, with a language folder for that domain; give their
folder by --speech, or in the environment as CALLOUT_SPEECH.
`calls`: table calls drawn from the grammar, with twelve numbers on each roster, in nine synthetic
voices at three rates; half of them in made hall noise, half in a hall of synthetic talkers.

Each at several ratios of voice to noise, by the largest energies of 2048-sample frames. Prints per
cent: right, in one breath; asked, right after one question (its answer is spoken by the same voice
into the same noise, a number by its digits, and heard; of orders nobody asks, and it is enough
that what was said is among the choices); wrong; lost (unheard, asked about without what was said,
or the answer unheard). Then the
exact probability that the difference to the phrase list is chance (McNemar's test on the pairs of
right and not right), and for table calls the voices and the calls that did worst.
"""

from __future__ import annotations

import argparse
import json
import math
import os
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from functools import cache
from itertools import product
from pathlib import Path
from typing import Any, Final

import numpy as np
import soundfile
import soxr
from earlab.noise import hall, heard_in, talkers
from earlab.peers import peers
from earlab.talk import of_the_stands
from earlab.voices import OTHERS, RATES, SPEAKERS, Library, Line, voices

from callout.edges.decoder import Models, Options
from callout.edges.hall import Wave
from callout.edges.hear_command import MODEL, scope_of
from callout.edges.listening import FILE_PATIENCE_S, OpenEar
from callout.edges.models import find_model
from callout.edges.sound import RATE_HZ, Samples, to_recognizer
from callout.edges.tones import Sound
from callout.edges.understood import Understood, understand
from callout.game.calls import Answer, No, Number
from callout.game.state import At
from callout.game.terms import Team
from callout.language.check import load_language
from callout.language.grammar import Grammar, Scope, language_folder
from callout.language.parser import Parser, Sentence
from callout.language.sample import draw
from callout.table.asking import SPOKEN, Doubt, Heard
from callout.table.dialogue import Dialogue, answers
from callout.table.doubt import doubt_question, number_in_doubt
from callout.table.prior import EXPECTED

HERE = Path(__file__).parent
RATIOS: tuple[float | None, ...] = (None, 18.0, 12.0, 6.0)
QUIET_S = 0.5
WORST: Final = 10

ROSTERS: Final = {
    Team.HOME: ("3", "4", "5", "7", "10", "11", "12", "13", "15", "23", "30", "50"),
    Team.GUEST: ("0", "4", "6", "8", "9", "14", "16", "20", "21", "33", "40", "55"),
}
"""Twelve numbers each, among them those that sound alike."""


@dataclass(frozen=True, slots=True)
class Item:
    """One recording with what it means."""

    source: Path | Line
    """A file, or a text in a synthetic voice."""
    slots: Mapping[str, Any]
    call: str | None = None

    @property
    def voice(self) -> str:
        """Who speaks."""
        return self.source.voice if isinstance(self.source, Line) else "people"

    @property
    def text(self) -> str:
        """What is said, where that is known in words."""
        return self.source.text if isinstance(self.source, Line) else ""

    @property
    def name(self) -> str:
        """The file, or who says what."""
        if isinstance(self.source, Line):
            return f"{self.source.voice} at {self.source.rate:g}: {self.source.text}"
        return self.source.name

    def sound(self, library: Library) -> Sound:
        """Its samples."""
        if isinstance(self.source, Line):
            return library.sound(self.source)
        data, rate_hz = soundfile.read(self.source, dtype="float32")
        made = soxr.resample(data, rate_hz, RATE_HZ) if rate_hz != RATE_HZ else data
        return made * 0.6


Verdict = str
"""`right`, `asked`, `wrong` or `lost`."""

VERDICTS: Final = ("right", "asked", "wrong", "lost")


@dataclass(frozen=True, slots=True)
class Row:
    """One recording, and what each hearer made of it."""

    item: Item
    verdicts: Mapping[str, Verdict]
    heard: str
    """What our ear booked, in the words it heard."""


class Ours:
    """The project's ear."""

    name = "the ear"

    def __init__(self, grammar: Grammar, scope: Scope, folder: Path) -> None:
        self.parsers = {when: Parser(grammar, scope, when) for when in ("always", "any")}
        self._models = Models(find_model(MODEL), folder, Options())
        for when, parser in self.parsers.items():
            self._models.use(when, parser.network)

    def hear(self, samples: Samples, when: str = "always") -> list[Understood]:
        """The calls of a sound."""
        ear = OpenEar(self._models, when, FILE_PATIENCE_S)
        return [
            each
            for utterance in [*ear.feed(samples), *ear.flush()]
            for each in understand(self.parsers[when], utterance)
            if each.sentence is not None
        ]

    def verdict(self, item: Item, heard: Sequence[Understood], hall: Hall) -> Verdict:
        """Of what was heard, with an answer where it is asked about."""
        choices = [choice for each in heard for choice in each.choices]
        if not choices:
            return verdict(item, [each.sentence for each in heard if each.sentence])
        if len(heard) > 1 or not any(means(item, [choice.sentence]) for choice in choices):
            return "lost"
        doubt = heard[0].doubt
        return "asked" if doubt is None else self._answered(item, doubt, hall)

    def _answered(self, item: Item, doubt: Doubt, hall: Hall) -> Verdict:
        """What the answer to the question makes of a call that is in doubt."""
        (said,) = self.parsers["always"].parse(item.text).calls  # type: ignore[union-attr]
        heard = Heard(doubt.calls[0], SPOKEN, At(0, 0), doubt)
        question = doubt_question(heard, 0)[1]
        assert question is not None
        slot = number_in_doubt(doubt.calls)
        number = slot and getattr(said, slot)
        words = " ".join(self._digits(number)) if number else "no" if slot else item.text
        samples = hall.with_sound(replace(item, source=replace(item.source, text=words)))
        dialogue = Dialogue(question)
        prior = lambda call: EXPECTED if answers(dialogue, call) else 1.0  # noqa: E731
        found = [each.weighed(prior) for each in self.hear(samples, "any")]
        if len(found) != 1 or found[0].choices or found[0].sentence is None:
            return "lost"
        call = found[0].sentence.call
        if slot is not None and isinstance(call, Answer | Number | No):
            return "asked" if getattr(call, "number", None) == number else "wrong"
        if call in doubt.calls:
            return "asked" if call == said else "wrong"
        return "lost"

    def _digits(self, number: str) -> Sequence[str]:
        words = self.parsers["any"].grammar.words
        digits = words.file.digits
        return [digits[int(d)][0] for d in number] if len(number) == 2 else [words.shirt(number)]


def verdict(item: Item, sentences: Sequence[Sentence]) -> Verdict:
    """Of sentences that are booked without a question."""
    return ("right" if means(item, sentences) else "wrong") if sentences else "lost"


def means(item: Item, sentences: Sequence[Sentence]) -> bool:
    """Whether these are what was said."""
    slots = {k: v for each in sentences for k, v in each.slots.items()}
    name = "+".join(each.name for each in sentences)
    return slots == dict(item.slots) and (item.call is None or item.call == name)


@dataclass(frozen=True, slots=True)
class Test:
    """What is heard, by which language."""

    title: str
    items: tuple[Item, ...]
    folder: Path
    rosters: Mapping[Team, tuple[str, ...]]


@cache
def library() -> Library:
    """The texts as sound."""
    return Library()


@cache
def noises(seed: int) -> tuple[Wave, ...]:
    """A minute of each kind of hall; the recordings take turns in them."""
    texts = of_the_stands(seed)
    return tuple(hall(kind, 60.0, seed, library(), texts) for kind in ("made", "babble"))


def score(
    test: Test, share: slice, ratio_db: float | None, seed: int, alone: bool = False
) -> list[Row]:
    """What every hearer makes of a share of the recordings."""
    grammar = load_language(test.folder)
    scope = replace(scope_of(grammar, None), rosters=test.rosters)
    halls = noises(seed)
    rows = []
    with tempfile.TemporaryDirectory() as private:
        ours = Ours(grammar, scope, Path(private))
        parser = ours.parsers["always"]
        others = () if alone else peers(parser, replace(scope, legal=()))
        for at in range(len(test.items))[share]:
            item = test.items[at]
            hall = Hall(halls[at % len(halls)], ratio_db, seed + at)
            samples = hall.with_sound(item)
            heard = ours.hear(samples)
            verdicts = {other.name: verdict(item, other.hear(samples)) for other in others}
            said = " + ".join(each.text for each in heard)
            rows.append(Row(item, {ours.name: ours.verdict(item, heard, hall), **verdicts}, said))
    return rows


@dataclass(frozen=True, slots=True)
class Hall:
    """A noise, how far below the voice it lies, and where it begins."""

    noise: Wave
    ratio_db: float | None
    seed: int

    def with_sound(self, item: Item) -> Samples:
        """A recording in it, as the recognizer takes it."""
        made = heard_in(padded(item.sound(library())), self.noise, self.ratio_db, self.seed)
        return to_recognizer(np.asarray(made, np.float32)[:, None], RATE_HZ)


def padded(sound: Sound) -> Sound:
    """A sound with quiet before and after it."""
    quiet = np.zeros(int(QUIET_S * RATE_HZ), dtype=np.float32)
    return np.concatenate([quiet, sound, quiet, quiet])


# --- what is heard ---------------------------------------------------------------------------


def orders(speech: Path, limit: int) -> tuple[Item, ...]:
    """Recordings of people, with their labels."""
    labels = json.loads((speech / "orders" / "labels.json").read_text(encoding="utf-8"))
    names = sorted(labels)[: limit or None]
    return tuple(Item(speech / "orders" / name, labels[name]) for name in names)


def table_calls(count: int, names: Sequence[str]) -> tuple[Item, ...]:
    """So many calls in each voice at each rate, drawn from the grammar."""
    grammar = load_language(language_folder())
    scope = replace(scope_of(grammar, None), rosters=ROSTERS, legal=())
    return tuple(
        Item(Line(voice, rate, " ".join(each.words)), each.meaning.slots, each.meaning.name)
        for at, (voice, rate) in enumerate(product(names, RATES))
        for each in draw(grammar, scope, count, seed=at)
    )


# --- figures ---------------------------------------------------------------------------------


def mcnemar(better: int, worse: int) -> float:
    """The exact two-sided probability of so uneven a split by chance.

    Source: McNemar 1947, in its exact binomial form.
    """
    total = better + worse
    tail = sum(math.comb(total, k) for k in range(min(better, worse) + 1)) / 2**total
    return min(1.0, 2 * tail) if total else 1.0


def report(ratio: float | None, rows: Sequence[Row]) -> None:
    """Print the figures of one ratio of voice to noise."""
    level = "clean" if ratio is None else f"{ratio:g} dB"
    for who in rows[0].verdicts:
        counts = Counter(row.verdicts[who] for row in rows)
        shares = "".join(f"{100 * counts[key] / len(rows):8.1f}" for key in VERDICTS)
        print(f"{level:<8}{who:<14}{shares}")
    if "phrase list" in rows[0].verdicts:
        compare([(row.verdicts["the ear"], row.verdicts["phrase list"]) for row in rows])
    missed = [row for row in rows if row.verdicts["the ear"] in ("wrong", "lost")]
    for row in missed[:WORST]:
        print(f"{'':<10}{row.verdicts['the ear']}: {row.item.name} -> {row.heard or '(nothing)'}")


def compare(pairs: Sequence[tuple[Verdict, Verdict]]) -> None:
    """Print how likely it is that ours and the phrase list differ by chance."""
    better = sum(a == "right" != b for a, b in pairs)
    worse = sum(b == "right" != a for a, b in pairs)
    p = mcnemar(better, worse)
    print(
        f"{'':<8}right in one breath: the ear alone {better}, the list alone {worse}: p = {p:.2g}"
    )


def worst(rows: Sequence[Row]) -> None:
    """Print how each voice did, and the calls that did worst."""
    keys: dict[str, Callable[[Row], str]] = {
        "voice": lambda row: row.item.voice,
        "call": lambda row: row.item.call or "",
    }
    for title, key in keys.items():
        counts = {key(row): Counter[str]() for row in rows}
        for row in rows:
            counts[key(row)][row.verdicts["the ear"]] += 1
        ordered = sorted(counts, key=lambda k: counts[k]["right"] / counts[k].total())
        print(f"{'':<8}by {title}, right / asked / wrong / lost, the worst first:")
        for name in ordered[:WORST]:
            print(f"{'':<10}{name:<22}" + " / ".join(str(counts[name][v]) for v in VERDICTS))


def run(
    test: Test, ratios: Sequence[float | None], jobs: int, seed: int, alone: bool = False
) -> None:
    """Score all items with so many processes; each ratio is told when it is done."""
    print(f"\n{test.title}: {len(test.items)} recordings; per cent")
    print(f"{'':<22}" + "".join(f"{key:>8}" for key in VERDICTS))
    every: list[Row] = []
    with ProcessPoolExecutor(jobs) as pool:
        for ratio in ratios:
            shares = [slice(start, None, jobs) for start in range(jobs)]
            calls = [pool.submit(score, test, share, ratio, seed, alone) for share in shares]
            rows = [row for call in calls for row in call.result()]
            report(ratio, rows)
            every += rows
            sys.stdout.flush()
    if isinstance(test.items[0].source, Line):
        worst(every)


def main() -> None:
    """Run what was asked for."""
    arguments = argparse.ArgumentParser(description=__doc__)
    speech = os.environ.get("CALLOUT_SPEECH")
    arguments.add_argument("--speech", type=Path, default=speech, help="recordings of people; "
                           "if not given, the environment's CALLOUT_SPEECH")  # fmt: skip
    arguments.add_argument("--calls", type=int, default=8, help="calls per voice and rate")
    arguments.add_argument("--limit", type=int, default=0, help="only so many orders")
    arguments.add_argument("--jobs", type=int, default=2)
    arguments.add_argument("--ratio", type=float, help="only this one, in dB")
    arguments.add_argument("--others", action="store_true", help="voices that chose no threshold")
    arguments.add_argument("--alone", action="store_true", help="without the other hearers")
    arguments.add_argument("--seed", type=int, default=7)
    given = arguments.parse_args()
    ratios = RATIOS if given.ratio is None else (given.ratio,)
    said = of_the_stands(given.seed)
    library().prepare(Line(voice, 1.0, text) for voice in talkers() for text in said)
    if given.speech is not None:
        items = orders(given.speech, given.limit)
        test = Test("Orders by people", items, HERE / "orders", dict.fromkeys(Team, ()))
        run(test, ratios, given.jobs, given.seed, given.alone)
    else:
        print("No --speech: recordings of people are not measured.")
    if given.calls:
        items = table_calls(given.calls, voices(OTHERS if given.others else SPEAKERS))
        library().prepare(item.source for item in items if isinstance(item.source, Line))
        test = Test("Table calls, synthetic voices", items, language_folder(), ROSTERS)
        run(test, ratios, given.jobs, given.seed, given.alone)


if __name__ == "__main__":
    main()
