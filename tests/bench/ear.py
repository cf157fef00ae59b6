"""How well the ear hears, beside vosk's phrase list and its dictation, in one run.

`orders`: recordings of people who order coffee, another domain than the table's, heard by the
project's own ear, as `callout hear` hears files, with a language folder for that domain; give their
folder by --speech, or in the environment as CALLOUT_SPEECH.
`calls`: table calls drawn from the grammar, with twelve numbers on each roster, in nine synthetic
voices at three rates; half of them in made hall noise, half in a hall of synthetic talkers.
`held`: a third of these calls with the key to talk pressed up to 200 ms after the first sound and
let go up to 200 ms before the last one.
`digits`: single digits by people, heard as the answer to a question that offers three of them.
`hall alone`: a hall as loud as under a voice, without any.
`talk`: a third of these calls spoken into running talk of the same voice, 0.15 or 0.6 s before it,
after it or both; and talk alone, near the microphone, of which it prints how many calls an hour
were heard in it.
`near`: what a table says that sounds like a call and is none, counted in the same way.

A table call is made at a moment of a game in which it may be made, and what is heard is weighed by
that game, as at the table; a wrong call that the game refuses is lost, for its refusal is heard.
Each at several ratios of voice to noise, by the largest energies of 2048-sample frames. Prints per
cent: right, in one breath; asked, right after one question (its answer is spoken by the same voice
into the same noise, a number by its digits and a whole call as the question says it, and heard; of
orders nobody asks, and it is enough that what was said is among the choices); later, right after
the same question two or three times; wrong; lost (unheard, or the answer unheard or still in
doubt). Then the exact probability that the difference to the phrase list is chance (McNemar's test
on the pairs of right and not right), and for table calls the voices and the calls that did worst.
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
from callout.edges.ear.recognizer import Options
from callout.edges.ear.sound import RATE_HZ, to_recognizer
from callout.game.terms import Team
from callout.language.check import load_language
from callout.language.grammar import language_folder
from callout.table.talk.dialogue import Dialogue

HERE = Path(__file__).parent
RATIOS: tuple[float | None, ...] = (None, 18.0, 12.0, 6.0)
WORST: Final = 10
LOUD: Final = 0.5
"""The largest amplitude of a voice, of full scale."""


@dataclass(frozen=True, slots=True)
class Row:
    """One recording, and what each hearer made of it."""

    item: Item
    verdicts: Mapping[str, Verdict]
    heard: str
    """What our ear booked, in the words it heard."""
    seconds: float
    """How long it lasts."""
    why: str
    """How a call was lost or booked wrong, where that is not plain."""


@dataclass(frozen=True, slots=True)
class Test:
    """What is heard, by which language."""

    title: str
    items: tuple[Item, ...]
    folder: Path
    rosters: Mapping[Team, tuple[str, ...]]
    wake: tuple[str, ...] = ()
    when: str = "always"
    """By which network: calls, or calls and answers."""
    held: bool = False
    """Whether a key is held while one speaks, pressed late and let go early."""
    options: Options = field(default_factory=Options)


def score(
    test: Test, share: slice, ratio_db: float | None, seed: int, beside: Sequence[str] = PEERS
) -> list[Row]:
    """What every hearer makes of a share of the recordings."""
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
        why = f" ({row.why})" if row.why else ""
        heard = row.heard or "(nothing)"
        print(f"{'':<10}{row.verdicts['the ear']}: {row.item.name} -> {heard}{why}")


def compare(pairs: Sequence[tuple[Verdict, Verdict]]) -> None:
    """Print how likely it is that ours and the phrase list differ by chance."""
    better = sum(a == "right" != b for a, b in pairs)
    worse = sum(b == "right" != a for a, b in pairs)
    p = mcnemar(better, worse)
    print(
        f"{'':<8}right in one breath: the ear alone {better}, the list alone {worse}: p = {p:.2g}"
    )


def false_calls(ratio: float | None, rows: Sequence[Row]) -> None:
    """Print how many calls an hour were heard in talk that holds none, asked about or not."""
    level = "clean" if ratio is None else f"{ratio:g} dB"
    hours = sum(row.seconds for row in rows) / 3600
    for who in rows[0].verdicts:
        count = sum(row.verdicts[who] != "lost" for row in rows)
        print(f"{level:<8}{who:<14}{count / hours:8.1f} an hour ({count} in {60 * hours:.0f} min)")
    for row in [row for row in rows if row.heard][:WORST]:
        print(f"{'':<10}{row.item.name} -> {row.heard}")


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
        print(f"{'':<8}by {title}, right / asked / later / wrong / lost, the worst first:")
        for name in ordered[:WORST]:
            print(f"{'':<10}{name:<22}" + " / ".join(str(counts[name][v]) for v in VERDICTS))


def run(
    test: Test, ratios: Sequence[float | None], jobs: int, seed: int, beside: Sequence[str] = PEERS
) -> Shares:
    """Score all items with so many processes; each ratio is told when it is done.

    Of each hearer, the per cent that are right at each ratio.
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
    """Of each hearer, per cent right; of the one that asks, also after at most one question."""
    counts = {who: Counter(row.verdicts[who] for row in rows) for who in rows[0].verdicts}
    right = {f"{who}, in one breath": each["right"] for who, each in counts.items()}
    asked = {
        f"{who}, one question": each["right"] + each["asked"]
        for who, each in counts.items()
        if each["asked"]
    }
    return {who: 100 * each / len(rows) for who, each in {**asked, **right}.items()}


def main() -> None:
    """Run what was asked for."""
    arguments = argparse.ArgumentParser(description=__doc__)
    speech = os.environ.get("CALLOUT_SPEECH") or None
    arguments.add_argument("--speech", type=Path, default=speech, help="recordings of people; "
                           "if not given, the environment's CALLOUT_SPEECH")  # fmt: skip
    arguments.add_argument("--calls", type=int, default=8, help="calls per voice and rate")
    arguments.add_argument(
        "--talk", type=int, default=1_500, help="so many things that are no call"
    )
    arguments.add_argument("--minutes", type=int, default=10, help="so long of each hall alone")
    arguments.add_argument("--limit", type=int, default=0, help="only so many by people")
    arguments.add_argument("--jobs", type=int, default=2)
    arguments.add_argument("--ratio", type=float, nargs="+", help="only at these, in dB")
    arguments.add_argument("--others", action="store_true", help="voices that chose no threshold")
    arguments.add_argument("--beside", nargs="*", default=PEERS, choices=PEERS, help="who else "
                           "hears it: by default all of them")  # fmt: skip
    arguments.add_argument("--only", default="", help="only what has this in its title")
    arguments.add_argument("--published", action="store_true", help="with the recognizer's "
                           "network as it is published")  # fmt: skip
    arguments.add_argument("--wake", default="", help="a word that begins every call")
    arguments.add_argument("--picture", type=Path, help="write the table calls as SVG into it")
    arguments.add_argument("--seed", type=int, default=7)
    given = arguments.parse_args()
    ratios = given.ratio or RATIOS
    halls(given.seed)  # before there are several processes: its voices are rendered once
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
    """Print how many calls are heard where nobody near speaks: a hall as loud as under a voice."""
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
    """Run what needs recordings of people."""
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
