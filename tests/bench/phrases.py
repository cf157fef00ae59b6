"""The ways people say a call, spoken and heard: those that taught the grammar, and the others.

    python tests/bench/phrases.py [--noise FOLDER] [--every 3] [--language FOLDER]
                                  [--keep FILE] [--against FILE]

Every way of `tests/language/phrases.tsv` in four voices, clean and at 12 dB: in recorded crowds, if
their folder is given, or in made halls. Each is heard at a moment of a game that allows its call,
and weighed by that game. `right`: booked at once as what is meant. `asked`: a question offers it.
`astray`: a question without it. `refused`: something else, which the game refuses aloud. `silent`.
`wrong`: something else is booked, or answered, without a question.

`traps` are near to a call and none: there, `silent` is right. `--keep` writes each verdict down,
`--against` reads those of another run and prints McNemar's test. It never fails.
"""

from __future__ import annotations

import argparse
import csv
import tempfile
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from itertools import product
from pathlib import Path
from typing import Final

from common_calls import crowd
from earlab.chance import mcnemar
from earlab.games import Moment, Rosters, moment_for
from earlab.items import Item, library
from earlab.noise import halls
from earlab.ours import Hall, Ours
from earlab.voices import Line

from callout.commands.hear import scope_of
from callout.edges.ear.hall_noise import Wave
from callout.game.calls import Call
from callout.game.terms import Team
from callout.language.check import load_language
from callout.language.grammar import language_folder
from callout.language.parser import Parsed
from callout.table.talk.dialogue import Dialogue
from tests.language.phrases import phrases, traps

VOICES: Final = ("espeak rp", "flite kal", "flite slt", "piper joe")
LEVELS: Final = (None, 12.0)
VERDICTS: Final = ("right", "asked", "astray", "refused", "silent", "wrong")

NUMBERS: Final[Rosters] = (
    ("4", "5", "7", "9", "10", "12", "13", "15", "20", "23", "33", "50"),
    ("0", "6", "8", "11", "14", "15", "16", "21", "30", "40", "44", "55"),
)
"""Lists that hold every number in the ways, and what sounds like them."""


@dataclass(frozen=True, slots=True, order=True)
class Case:
    """One way to say a call, in a voice, at a level."""

    half: str
    """`built`, `other` or `trap`."""
    level: float
    """The signal-to-noise ratio in dB; 99 for clean."""
    voice: str
    said: str
    meant: str
    """The usual words of the call; empty for a trap."""


def cases(every: int, voices: Sequence[str]) -> Iterator[Case]:
    """All ways, or every so manieth, in each voice and at each level."""
    ways = [(way.half, way.said, way.meant) for way in phrases()]
    ways += [("trap", said, "") for said in traps()]
    for level, voice, (half, said, meant) in product(LEVELS, voices, ways[::every]):
        yield Case(half, 99.0 if level is None else level, voice, said, meant)


class Listener:
    """The ear with one language, at moments of games."""

    def __init__(self, language: Path, folder: Path) -> None:
        grammar = load_language(language)
        rosters = dict(zip(Team, NUMBERS, strict=True))
        self._ours = Ours(grammar, replace(scope_of(grammar, None), rosters=rosters), folder)

    def verdict(self, case: Case, noise: Wave, seed: int) -> tuple[str, str]:
        """The verdict on a case, and what was heard."""
        parser = self._ours.parsers["always"]
        meant = parser.parse(case.meant) if case.meant else None
        call = meant.calls[0] if isinstance(meant, Parsed) else None
        ratio = None if case.level == 99.0 else case.level
        hall = Hall(noise, ratio, seed)
        told = self._ours.hear(hall.with_sound(Item(Line(case.voice, 1.0, case.said), {})))
        moment = moment_for(call, parser, seed, NUMBERS)
        heard = self._ours.understood(told, "always", moment, Dialogue())
        offered = [choice.sentence.call for each in heard for choice in each.choices]
        booked = [each.call for each in heard if not each.choices]
        words = " + ".join(each.text for each in heard)
        return judged(call, offered, booked, moment), words


def judged(
    meant: Call | None, offered: Sequence[Call | None], booked: Sequence[Call | None], at: Moment
) -> str:
    """The verdict on what was offered in a question and what was booked without one."""
    if not offered and not booked:
        return "silent"
    if offered:
        return "asked" if meant in offered else "astray"
    if booked == [meant]:
        return "right"
    return "wrong" if any(call is not None and at.may(call) for call in booked) else "refused"


def heard(
    language: Path, given: Sequence[Case], noises: Sequence[Wave], share: slice
) -> list[tuple[Case, str, str]]:
    """The verdicts on a share of the cases."""
    with tempfile.TemporaryDirectory() as private:
        listener = Listener(language, Path(private))
        return [
            (case, *listener.verdict(case, noises[at % len(noises)], 1_000 + at))
            for at, case in list(enumerate(given))[share]
        ]


def tell(rows: Sequence[tuple[Case, str, str]]) -> None:
    """Print per cent of each verdict by half and level, and what was wrong."""
    print(f"{'':<18}" + "".join(f"{each:>9}" for each in VERDICTS))
    for half, level in sorted({(case.half, case.level) for case, _, _ in rows}):
        found = Counter(v for case, v, _ in rows if (case.half, case.level) == (half, level))
        shares = "".join(f"{100 * found[each] / found.total():>9.1f}" for each in VERDICTS)
        name = "clean" if level == 99.0 else f"{level:g} dB"
        print(f"{half:<8}{name:<10}{shares}   of {found.total()}")
    for case, verdict, words in rows:
        if verdict == "wrong":
            print(f"  {case.voice}, {case.level:g}: {case.said} -> {words}")


def compare(rows: Sequence[tuple[Case, str, str]], before: Mapping[Case, str]) -> None:
    """Print McNemar's test against another run, for right at once and for wrong."""
    both = [(case, now, before[case]) for case, now, _ in rows if case in before]
    for half, verdict in product(("built", "other", "trap"), ("right", "wrong", "silent")):
        some = [(now == verdict, was == verdict) for c, now, was in both if c.half == half]
        now, was = some.count((True, False)), some.count((False, True))
        print(
            f"{half}, {verdict}: now alone {now}, before alone {was}, p = {mcnemar(now, was):.2g}"
        )


def main() -> None:
    """Hear all ways, and print what became of them."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--noise", type=Path, help="recordings of crowds")
    arguments.add_argument("--every", type=int, default=1, help="only every so manieth way")
    arguments.add_argument("--language", type=Path, default=language_folder())
    arguments.add_argument("--keep", type=Path, help="write the verdicts into this file")
    arguments.add_argument("--against", type=Path, help="the verdicts of another run")
    arguments.add_argument("--jobs", type=int, default=2)
    given = arguments.parse_args()
    noises = (crowd(given.noise),) if given.noise else halls(7)
    every = list(cases(given.every, VOICES))
    library().prepare({Line(case.voice, 1.0, case.said) for case in every})
    with ProcessPoolExecutor(given.jobs) as pool:
        shares = [slice(start, None, given.jobs) for start in range(given.jobs)]
        work = [pool.submit(heard, given.language, every, noises, share) for share in shares]
        rows = sorted(row for each in work for row in each.result())
    tell(rows)
    if given.keep:
        with given.keep.open("w", encoding="utf-8", newline="") as file:
            made = ((c.half, c.level, c.voice, c.said, c.meant, v, w) for c, v, w in rows)
            csv.writer(file, delimiter="\t").writerows(made)
    if given.against:
        with given.against.open(encoding="utf-8", newline="") as file:
            lines = [*csv.reader(file, delimiter="\t")]
        compare(rows, {Case(h, float(n), o, s, m): v for h, n, o, s, m, v, _ in lines})


if __name__ == "__main__":
    main()
