"""What is won by knowing who calls: games with talk by others between the calls, before and after.

    python tests/bench/callers.py [--noise FOLDER] [--voices ...] [--calls 24] [--ratio 18 12 6]

One voice calls, and between two calls other voices say things that are none; one ear hears it all.
Nobody answers a question here. Without a folder the noise is made. It never fails.
"""

from __future__ import annotations

import argparse
import tempfile
from collections import Counter
from dataclasses import replace
from pathlib import Path
from random import Random
from typing import Final, NamedTuple

from common_calls import VOICES, calls, crowd
from earlab.chance import mcnemar
from earlab.items import ROSTERS, Item
from earlab.noise import halls
from earlab.ours import Hall, Ours, unanswered
from earlab.talk import near_calls, same_words
from earlab.voices import OTHERS, SPEAKERS, Line, voices

from callout.commands.hear import scope_of
from callout.edges.ear.hall_noise import Wave
from callout.edges.ear.listening import FILE_PATIENCE_S, OpenEar
from callout.edges.ear.options import Options
from callout.edges.ear.sound import RATE_HZ
from callout.language.check import load_language
from callout.language.grammar import Grammar, language_folder
from callout.table.talk.dialogue import Dialogue

TALK: Final = 3
"""The number of things said by others after each call."""


class Said(NamedTuple):
    """One thing said in a game, and what became of it."""

    line: Line
    is_call: bool
    long_s: float
    verdict: str
    """Of a call that of `unanswered`; of talk `silent` or `false`."""


def course(grammar: Grammar, voice: str, count: int, seed: int) -> list[tuple[Line, bool]]:
    """What is said in a game in its order, and whether it is a call."""
    random = Random(seed)
    others = [each for each in voices(SPEAKERS | OTHERS) if each != voice]
    talk, said = [*same_words(), *near_calls()], list[tuple[Line, bool]]()
    for text in calls(grammar, count, seed, False):
        said.append((Line(voice, 1.0, text), True))
        said += [(Line(random.choice(others), 1.0, random.choice(talk)), False)
                 for _ in range(TALK)]  # fmt: skip
    return said


def game(
    ours: Ours, said: list[tuple[Line, bool]], noise: Wave, ratio_db: float, seed: int
) -> list[Said]:
    """What becomes of all that is said, heard by one ear."""
    ear, found = OpenEar(ours.models, "always", FILE_PATIENCE_S), []
    for nth, (line, is_call) in enumerate(said):
        item = ours.call(line) if is_call else Item(line, {})
        samples = Hall(noise, ratio_db, 1_000 * seed + nth).with_sound(item)
        utterances = [*ear.feed(samples), *ear.flush()]
        heard = ours.understood(utterances, "always", ours.moment(item, seed + nth), Dialogue())
        verdict = unanswered(item, heard) if is_call else "false" if heard else "silent"
        found.append(Said(line, is_call, len(samples) / RATE_HZ, verdict))
    return found


def told(before: list[Said], after: list[Said]) -> str:
    """Both in one line: calls by their verdicts, false calls, and McNemar's test."""
    parts = []
    for each in (before, after):
        counted = Counter(said.verdict for said in each if said.is_call)
        false = sum(said.verdict == "false" for said in each)
        parts.append(f"{dict(counted)}, false {false}")
    minutes = sum(said.long_s for said in before if not said.is_call) / 60.0
    pairs = [(one, other) for one, other in zip(before, after, strict=True) if one.is_call]
    lost = sum(one.verdict == "right" != other.verdict for one, other in pairs)
    gained = sum(one.verdict != "right" == other.verdict for one, other in pairs)
    test = f"right +{gained} -{lost}, p = {mcnemar(gained, lost):.2g}"
    return f"{' -> '.join(parts)}; talk {minutes:.0f} min; {test}"


def main() -> None:
    """Print what becomes of the calls and of the talk."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--noise", type=Path, help="recordings of crowds")
    arguments.add_argument("--voices", nargs="+", default=list(OTHERS), choices=VOICES)
    arguments.add_argument("--calls", type=int, default=24)
    arguments.add_argument("--ratio", type=float, nargs="+", default=[18.0, 12.0, 6.0])
    given = arguments.parse_args()
    noise = halls(7)[0] if given.noise is None else crowd(given.noise)
    grammar = load_language(language_folder())
    scope = replace(scope_of(grammar, None), rosters=ROSTERS)
    with tempfile.TemporaryDirectory() as private:
        ears = [Ours(grammar, scope, Path(private), Options(by_caller=each))
                for each in (False, True)]  # fmt: skip
        for ratio_db in given.ratio:
            both: tuple[list[Said], list[Said]] = ([], [])
            for seed, voice in enumerate(given.voices, start=700):
                said = course(grammar, voice, given.calls, seed)
                for ear, all_of in zip(ears, both, strict=True):
                    all_of += game(ear, said, noise, ratio_db, seed)
            print(f"{ratio_db:g} dB: {told(*both)}", flush=True)


if __name__ == "__main__":
    main()
