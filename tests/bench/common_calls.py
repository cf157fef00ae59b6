"""The calls that make most of a game, each with a shirt number, in recorded noise.

    python tests/bench/common_calls.py [--noise FOLDER] [--ratio 18 12 6] [--unlisted]

The kinds are drawn by how often they come in games, the numbers from lists that hold those which
sound alike; with `--unlisted`, legal numbers that are on neither list. Six voices, four of which
taught nothing and set no threshold. FOLDER holds recordings of crowds as FLAC files: those whose
names hold one of `CROWDS` are laid over each other, four at a time. Without a folder the noise is
made, which is easier. It never fails.
"""

from __future__ import annotations

import argparse
import json
import tempfile
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from pathlib import Path
from random import Random
from typing import Final

import numpy as np
import soundfile
import soxr
from earlab.items import ROSTERS, library
from earlab.noise import halls
from earlab.ours import VERDICTS, Hall, Ours, means
from earlab.reliability import (
    COVERED,
    Pairs,
    calibration_error,
    reliability_picture,
    risk,
    risk_picture,
)
from earlab.voices import RATES, Line

from callout.commands.hear import scope_of
from callout.edges.ear.hall_noise import Wave
from callout.edges.ear.sound import RATE_HZ
from callout.game.terms import Team
from callout.language.check import load_language
from callout.language.grammar import Grammar, language_folder
from callout.table.talk.dialogue import Dialogue

VOICES: Final = ("espeak scotland", "espeak rp", "espeak caribbean", "flite kal", "flite slt",
                 "piper joe")  # fmt: skip
CALLS_A_VOICE: Final = 24

CROWDS: Final = ("crowd", "back", "applause", "cheer", "chat", "hallelujah")
SECONDS: Final = 90
AT_ONCE: Final = 4

KINDS: Final = {
    "{team} two number {number}": 20,
    "{team} three number {number}": 9,
    "{team} foul number {number}": 19,
    "{team} charge number {number}": 2,
    "{team} shot good number {number}": 7,
    "{team} shot missed number {number}": 3,
    "number {number}": 12,
}
"""How often each comes in a hundred calls; substitutions are called without numbers.

Source: counted in 1,000 published games under FIBA's rules, rounded.
"""


def crowd(folder: Path, seed: int = 3) -> Wave:
    """A minute and a half of recorded crowds, from -1 to 1."""
    random = np.random.default_rng(seed)
    files = sorted(p for p in folder.rglob("*.flac") if any(w in p.stem.lower() for w in CROWDS))
    mixed = np.zeros(SECONDS * RATE_HZ)
    for _ in range(AT_ONCE):
        at = 0
        while at < len(mixed):
            data, rate = soundfile.read(files[random.integers(len(files))], always_2d=True)
            sound = soxr.resample(data.mean(1), rate, RATE_HZ)
            sound *= random.uniform(0.5, 1.0) / (np.sqrt((sound**2).mean()) + 1e-9)
            sound = sound[: len(mixed) - at]
            mixed[at : at + len(sound)] += sound
            at += len(sound)
    loudest: Wave = mixed / np.abs(mixed).max()
    return loudest


def calls(grammar: Grammar, count: int, seed: int, unlisted: bool) -> list[str]:
    """So many calls in words."""
    random, words = Random(seed), grammar.words
    made = []
    for _ in range(count):
        team = random.choice((Team.HOME, Team.GUEST))
        listed = ROSTERS[team]
        others = [number for number in map(str, range(1, 56)) if number not in listed]
        number = random.choice(others if unlisted else listed)
        digits = [words.file.digits[int(digit)][0] for digit in number]
        whole = len(number) == 1 or random.random() < 0.8
        (kind,) = random.choices(list(KINDS), list(KINDS.values()))
        said = words.shirt(number) if whole else " ".join(digits)
        made.append(kind.format(team=team.value, number=said))
    return made


def verdicts(
    noise: Wave, ratio: float | None, unlisted: bool, share: slice
) -> tuple[Counter[str], Pairs]:
    """What becomes of a share of the calls, each question answered aloud; and how likely each was
    said to be."""
    grammar = load_language(language_folder())
    scope = replace(scope_of(grammar, None), rosters=ROSTERS)
    found: Counter[str] = Counter()
    pairs: list[tuple[float, bool]] = []
    with tempfile.TemporaryDirectory() as private:
        ours = Ours(grammar, scope, Path(private))
        said = [
            Line(voice, RATES[nth % len(RATES)], text)
            for at, voice in enumerate(VOICES)
            for nth, text in enumerate(calls(grammar, CALLS_A_VOICE, 7 * at + 1, unlisted))
        ]
        for at, line in list(enumerate(said))[share]:
            item = ours.call(line)
            hall = Hall(noise, ratio, 1_000 + at)
            moment = ours.moment(item, hall.seed)
            told = ours.hear(hall.with_sound(item))
            heard = ours.understood(told, "always", moment, Dialogue())
            found[ours.outcome(item, heard, hall, moment).verdict] += 1
            if len(heard) == 1:
                (one,) = heard
                pairs.append((one.certainty, means(item, [one.meanings[0].sentence])))
    return found, pairs


def main() -> None:
    """Print the shares of each verdict at each ratio."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--noise", type=Path, help="recordings of crowds")
    arguments.add_argument("--ratio", type=float, nargs="+", default=[18.0, 12.0, 6.0])
    arguments.add_argument("--unlisted", action="store_true", help="numbers on neither list")
    arguments.add_argument("--pictures", type=Path, help="draw reliability and risk into it, and "
                           "keep the certainties there as JSON")  # fmt: skip
    arguments.add_argument("--beside", type=Path, help="the JSON of another version, to compare")
    arguments.add_argument("--jobs", type=int, default=2)
    given = arguments.parse_args()
    library()  # its folder is made before there are several processes
    if given.noise is None:
        print("Without --noise FOLDER: in made noise, not in recorded crowds")
    noise = halls(7)[0] if given.noise is None else crowd(given.noise)
    print(f"{'':<8}" + "".join(f"{verdict:>9}" for verdict in VERDICTS))
    pairs: list[tuple[float, bool]] = []
    with ProcessPoolExecutor(given.jobs) as pool:
        for ratio in given.ratio:
            work = [pool.submit(verdicts, noise, ratio, given.unlisted, slice(n, None, given.jobs))
                    for n in range(given.jobs)]  # fmt: skip
            done = [each.result() for each in work]
            found = sum((counts for counts, _ in done), Counter[str]())
            pairs += [pair for _, some in done for pair in some]
            total = found.total()
            shares = "".join(f"{100 * found[verdict] / total:>9.1f}" for verdict in VERDICTS)
            print(f"{ratio:g} dB".ljust(8) + shares + f"   of {total}", flush=True)
    reliability(pairs, given.pictures, given.beside)


def reliability(pairs: Pairs, pictures: Path | None, beside: Path | None) -> None:
    """Print and draw how well calibrated the ear is, beside another version if one is given."""
    versions: dict[str, Pairs] = {"now": pairs}
    if beside is not None:
        versions = {"before": json.loads(beside.read_text(encoding="utf-8")), **versions}
    for who, each in versions.items():
        risks = ", ".join(f"{risk(each, percent):.1f} of {percent}" for percent in COVERED)
        print(f"{who}: calibration error {calibration_error(each):.3f}; per cent wrong if so many "
              f"per cent of {len(each)} are booked, the likeliest first: {risks}")  # fmt: skip
    if pictures is not None:
        kept = json.dumps(pairs)
        (pictures / "certainty.json").write_text(kept, encoding="utf-8")
        title = "Common calls in recorded crowds: right in per cent, by certainty"
        svg = reliability_picture(title, versions)
        (pictures / "reliability.svg").write_text(svg, encoding="utf-8")
        title = "Common calls in recorded crowds: wrong in per cent of those booked"
        (pictures / "risk.svg").write_text(risk_picture(title, versions), encoding="utf-8")


if __name__ == "__main__":
    main()
