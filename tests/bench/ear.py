"""Accuracy of the ear, compared in one run with vosk's phrase list and its dictation.

Tests:

`orders`: recordings of people who order coffee, a domain other than the table's, heard by the
project's ear, as `callout hear` hears files, with a language folder for that domain. Their folder
is given by --speech, or in the environment as CALLOUT_SPEECH.
`calls`: table calls drawn from the grammar, with twelve numbers on each roster, in nine synthetic
voices at three rates; half of them in computed hall noise, half in a hall of synthetic talkers.
`held`: a third of these calls, with the key to talk pressed up to 200 ms after the first sound and
let go up to 200 ms before the last one.
`digits`: single digits by people, heard as answers to a question that offers three numbers.
`hall alone`: the noise of a hall without any voice near the microphone.
`talk`: a third of the calls spoken into running talk by the same voice, with a pause of 0.15 or
0.6 s before, after, or on both sides; and talk alone, near the microphone: false accepts an hour.
`near`: sentences that sound like a call and are none, counted in the same way.

A table call is made at a moment of a game in which it is possible, and what is heard is weighed by
that game, as at the table. A wrong call that the game refuses counts as lost, since the scorer
hears the refusal.

Each test runs at several signal-to-noise ratios, by the largest energies of 2048-sample frames. It
prints per cent: "right", at once; "asked", right after one question, whose answer is spoken by the
same voice into the same noise, a number by its digits and a whole call as the question words it
(orders are not asked about: there it is enough that what was said is among the choices); "later",
right after the same question two or three times; "wrong"; "lost", when call or answer was not
heard, or the answer stayed in doubt. Then follow the exact probability that the difference from the
phrase list is due to chance (McNemar's test on the pairs of right and not right), and for table
calls the worst voices and calls.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, replace
from itertools import product
from pathlib import Path
from typing import Final

import numpy as np
from earlab.chance import mcnemar
from earlab.items import ROSTERS, Item, digits, into_talk, library, near, orders, table_calls, talk
from earlab.noise import KINDS, hall, halls
from earlab.ours import VERDICTS, Hall, Ours, Verdict, asked_for, verdict
from earlab.peers import PEERS, peers
from earlab.picture import Shares, picture
from earlab.talk import of_the_stands
from earlab.voices import OTHERS, SPEAKERS, Line, voices

from callout.commands.hear import scope_of
from callout.edges.ear.options import Options
from callout.edges.ear.sound import RATE_HZ, to_recognizer
from callout.game.terms import Team
from callout.language.check import load_language
from callout.language.grammar import language_folder
from callout.table.talk.dialogue import Dialogue

HERE = Path(__file__).parent
RATIOS: tuple[float | None, ...] = (None, 18.0, 12.0, 6.0)
WORST: Final = 10
LOUD: Final = 0.5
"""The peak amplitude of a voice, relative to full scale."""


@dataclass(frozen=True, slots=True)
class Row:
    """One recording with the verdict on each recognizer."""

    item: Item
    verdicts: Mapping[str, Verdict]
    heard: str
    """The words of the calls that our ear heard."""
    seconds: float
    """The length of the recording."""
    why: str
    """Why a call was lost or wrong, where `heard` does not show it."""


@dataclass(frozen=True, slots=True)
class Test:
    """A set of recordings, and how they are heard."""

    title: str
    items: tuple[Item, ...]
    folder: Path
    rosters: Mapping[Team, tuple[str, ...]]
    wake: tuple[str, ...] = ()
    when: str = "always"
    """The network in use: calls (`always`), or calls and answers (`any`)."""
    held: bool = False
    """Whether a key is held during the call, pressed late and let go early."""
    options: Options = field(default_factory=Options)


def score(
    test: Test, share: slice, ratio_db: float | None, seed: int, beside: Sequence[str] = PEERS
) -> list[Row]:
    """The results of every recognizer for a share of the recordings."""
    grammar = load_language(test.folder)
    scope = replace(scope_of(grammar, None), rosters=test.rosters, wake=test.wake)
    noises = halls(seed)
    rows = []
    with tempfile.TemporaryDirectory() as private:
        ours = Ours(grammar, scope, Path(private), test.options)
        parser = ours.parsers[test.when]
        others = peers(parser, replace(scope, legal=()), beside)
        for at in range(len(test.items))[share]:
            item = test.items[at]
            hall = Hall(noises[at % len(noises)], ratio_db, seed + at)
            samples = hall.with_sound(item)
            told = ours.held(samples, seed + at) if test.held else ours.hear(samples, test.when)
            verdicts = {other.name: verdict(item, other.hear(samples)) for other in others}
            moment = ours.moment(item, seed + at) if test.folder == language_folder() else None
            open_now = asked_for(item, seed + at) if test.when == "any" else Dialogue()
            heard = ours.understood(told, test.when, moment, open_now)
            said = " + ".join(each.text for each in heard)
            outcome = ours.outcome(item, heard, hall, moment)
            verdicts = {ours.name: outcome.verdict, **verdicts}
            rows.append(Row(item, verdicts, said, len(samples) / RATE_HZ, outcome.why))
    return rows


# --- figures ---------------------------------------------------------------------------------


def report(ratio: float | None, rows: Sequence[Row]) -> None:
    """Print the figures of one signal-to-noise ratio."""
    level = "clean" if ratio is None else f"{ratio:g} dB"
    for who in rows[0].verdicts:
        counts = Counter(row.verdicts[who] for row in rows)
        shares = "".join(f"{100 * counts[key] / len(rows):8.1f}" for key in VERDICTS)
        print(f"{level:<8}{who:<14}{shares}")
    if "phrase list" in rows[0].verdicts:
        compare([(row.verdicts["the ear"], row.verdicts["phrase list"]) for row in rows])
    missed = [row for row in rows if row.verdicts["the ear"] in ("wrong", "lost")]
    for row in missed[:WORST]:
        why = f" ({row.why})" if row.why else ""
        heard = row.heard or "(nothing)"
        print(f"{'':<10}{row.verdicts['the ear']}: {row.item.name} -> {heard}{why}")


def compare(pairs: Sequence[tuple[Verdict, Verdict]]) -> None:
    """Print the probability that our ear and the phrase list differ only by chance."""
    better = sum(a == "right" != b for a, b in pairs)
    worse = sum(b == "right" != a for a, b in pairs)
    p = mcnemar(better, worse)
    print(
        f"{'':<8}right in one breath: the ear alone {better}, the list alone {worse}: p = {p:.2g}"
    )


def false_calls(ratio: float | None, rows: Sequence[Row]) -> None:
    """Print the false accepts an hour in talk without calls, with those that were asked about."""
    level = "clean" if ratio is None else f"{ratio:g} dB"
    hours = sum(row.seconds for row in rows) / 3600
    for who in rows[0].verdicts:
        count = sum(row.verdicts[who] != "lost" for row in rows)
        print(f"{level:<8}{who:<14}{count / hours:8.1f} an hour ({count} in {60 * hours:.0f} min)")
    for row in [row for row in rows if row.heard][:WORST]:
        print(f"{'':<10}{row.item.name} -> {row.heard}")


def worst(rows: Sequence[Row]) -> None:
    """Print the results by voice and by call, the worst first."""
    keys: dict[str, Callable[[Row], str]] = {
        "voice": lambda row: row.item.voice,
        "call": lambda row: row.item.call or "",
    }
    for title, key in keys.items():
        counts = {key(row): Counter[str]() for row in rows}
        for row in rows:
            counts[key(row)][row.verdicts["the ear"]] += 1
        ordered = sorted(counts, key=lambda k: counts[k]["right"] / counts[k].total())
        print(f"{'':<8}by {title}, right / asked / later / wrong / lost, the worst first:")
        for name in ordered[:WORST]:
            print(f"{'':<10}{name:<22}" + " / ".join(str(counts[name][v]) for v in VERDICTS))


def run(
    test: Test, ratios: Sequence[float | None], jobs: int, seed: int, beside: Sequence[str] = PEERS
) -> Shares:
    """Score all items with `jobs` processes, and print each ratio when it is done.

    Returns for each recognizer the per cent right at each ratio.
    """
    right: dict[str, list[float]] = {}
    calls = any(item.call or item.slots for item in test.items)
    print(f"\n{test.title}: {len(test.items)} recordings" + ("; per cent" if calls else ""))
    if calls:
        print(f"{'':<22}" + "".join(f"{key:>8}" for key in VERDICTS))
    every: list[Row] = []
    with ProcessPoolExecutor(jobs) as pool:
        for ratio in ratios:
            shares = [slice(start, None, jobs) for start in range(jobs)]
            work = [pool.submit(score, test, share, ratio, seed, beside) for share in shares]
            rows = [row for each in work for row in each.result()]
            (report if calls else false_calls)(ratio, rows)
            every += rows
            for who, share in shares_right(rows).items():
                right.setdefault(who, []).append(share)
            sys.stdout.flush()
    if calls and isinstance(test.items[0].source, Line):
        worst(every)
    return right


def shares_right(rows: Sequence[Row]) -> dict[str, float]:
    """Per cent right of each recognizer; for one that asks, also after at most one question."""
    counts = {who: Counter(row.verdicts[who] for row in rows) for who in rows[0].verdicts}
    right = {f"{who}, in one breath": each["right"] for who, each in counts.items()}
    asked = {
        f"{who}, one question": each["right"] + each["asked"]
        for who, each in counts.items()
        if each["asked"]
    }
    return {who: 100 * each / len(rows) for who, each in {**asked, **right}.items()}


def main() -> None:
    """Run the tests that were asked for."""
    arguments = argparse.ArgumentParser(description=__doc__)
    speech = os.environ.get("CALLOUT_SPEECH") or None
    arguments.add_argument("--speech", type=Path, default=speech, help="recordings of people; "
                           "if not given, the environment's CALLOUT_SPEECH")  # fmt: skip
    arguments.add_argument("--calls", type=int, default=8, help="calls per voice and rate")
    arguments.add_argument(
        "--talk", type=int, default=1_500, help="number of texts that are not calls"
    )
    arguments.add_argument("--minutes", type=int, default=10, help="length of each hall alone")
    arguments.add_argument("--limit", type=int, default=0, help="most recordings of people")
    arguments.add_argument("--jobs", type=int, default=2)
    arguments.add_argument("--ratio", type=float, nargs="+", help="only these ratios, in dB")
    arguments.add_argument("--others", action="store_true", help="the held-out voices")
    arguments.add_argument("--beside", nargs="*", default=PEERS, choices=PEERS, help="the other "
                           "recognizers: by default all")  # fmt: skip
    arguments.add_argument("--only", default="", help="only tests with this in their title")
    arguments.add_argument("--published", action="store_true", help="use the recognizer's "
                           "published network, not changed for a hall")  # fmt: skip
    arguments.add_argument("--wake", default="", help="a word that begins every call")
    arguments.add_argument("--picture", type=Path, help="write the table calls as SVG into it")
    arguments.add_argument("--seed", type=int, default=7)
    given = arguments.parse_args()
    ratios = given.ratio or RATIOS
    halls(given.seed)  # Before the processes are started, so that its voices are rendered once.
    options = Options(in_hall=not given.published)
    by_people(given, ratios, options)
    if given.only in "hall alone":
        for ratio in filter(None, ratios):
            hall_alone(given.minutes, ratio, given.seed, options)
    names = voices(OTHERS if given.others else SPEAKERS)
    wake = tuple(given.wake.split())
    items = table_calls(given.calls, names, wake)
    of_table = Test("Table calls, synthetic voices", items, language_folder(), ROSTERS, wake,
                    options=options)  # fmt: skip
    talked, chatted = into_talk(items[::3], given.seed), talk(given.talk, names, given.seed)
    tests = (
        of_table,
        replace(of_table, title="Calls while a key is held", items=items[1::3], held=True),
        replace(of_table, title="Calls in running talk", items=talked),
        replace(of_table, title="Talk that is no call", items=chatted),
        replace(of_table, title="Near to a call", items=near(names)),
    )
    for test in tests:
        if test.items and given.only in test.title.lower():
            library().prepare(line for item in test.items for line in item.lines)
            right = run(test, ratios, given.jobs, given.seed, given.beside)
            if given.picture is not None and test is of_table:
                levels = ["clean" if ratio is None else f"{ratio:g} dB" for ratio in ratios]
                text = picture(f"{test.title}, right in per cent", levels, right)
                given.picture.write_text(text, encoding="utf-8")


def hall_alone(minutes: int, ratio_db: float, seed: int, options: Options) -> None:
    """Print the calls heard in a hall in which nobody near the microphone speaks.

    The hall is as loud as it would be under a voice at this ratio.
    """
    grammar = load_language(language_folder())
    texts, found = of_the_stands(seed), []
    with tempfile.TemporaryDirectory() as private:
        scope = replace(scope_of(grammar, None), rosters=ROSTERS)
        ours = Ours(grammar, scope, Path(private), options)
        for nth, kind in product(range(minutes), KINDS):
            noise = hall(kind, 60.0, seed + nth, library(), texts) * 10 ** (-ratio_db / 20)
            told = ours.hear(to_recognizer(noise.astype(np.float32)[:, None] * LOUD, RATE_HZ))
            moment = ours.moment(Item(Line("", 1.0, ""), {}), seed + nth)
            found += ours.understood(told, "always", moment, Dialogue())
    print(f"\nHall alone, {2 * minutes} minutes at {ratio_db:g} dB: {len(found)} calls heard")
    for each in found[:WORST]:
        print(f"{'':<10}{each.text}")


def by_people(given: argparse.Namespace, ratios: Sequence[float | None], options: Options) -> None:
    """Run the tests that need recordings of people."""
    if given.speech is None:
        print("No --speech: recordings of people are not measured.")
        return
    heard = (
        Test("Orders by people", orders(given.speech, given.limit), HERE / "orders",
             dict.fromkeys(Team, ()), options=options),
        Test("Digits by people", digits(given.speech, given.limit), language_folder(), ROSTERS,
             when="any", options=options),
    )  # fmt: skip
    for test in heard:
        if given.only in test.title.lower():
            run(test, ratios, given.jobs, given.seed, given.beside)


if __name__ == "__main__":
    main()
