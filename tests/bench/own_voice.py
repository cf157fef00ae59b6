"""What a learned voice gains: common calls in made noise or recorded crowds, before and after.

    python tests/bench/own_voice.py [--noise FOLDER] [--voices ...] [--calls 24]

Each synthetic voice reads out the twenty calls of `callout check --ear --voice-of`, 20 dB above a
made hall, and the ear learns it; then it says other calls at 12 dB. Nobody answers a question here.
It never fails.
"""

from __future__ import annotations

import argparse
import tempfile
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Final

import numpy as np
from common_calls import VOICES, calls, crowd
from earlab.chance import mcnemar
from earlab.items import ROSTERS, library
from earlab.noise import halls
from earlab.ours import Hall, Ours, unanswered
from earlab.voices import OTHERS, Line

from callout.commands.hear import scope_of
from callout.edges.ear.hall_noise import Wave, hall_noise, in_noise
from callout.edges.ear.options import Options
from callout.edges.ear.own_voice.kept import keep
from callout.edges.ear.own_voice.learning import learned
from callout.edges.ear.own_voice.lessons import lessons, vectors
from callout.edges.ear.own_voice.network import Network
from callout.edges.ear.own_voice.read_out import READ_OUT
from callout.edges.ear.own_voice.speaker import Extractor
from callout.edges.ear.recognizer import hall_network
from callout.edges.ear.sound import Samples
from callout.edges.models.catalogue import RECOGNIZER, find_model
from callout.language.check import load_language
from callout.language.grammar import Grammar, language_folder
from callout.table.talk.dialogue import Dialogue

USUAL: Final = "piper joe"
READ_DB: Final = 20.0
HEARD_DB: Final = 12.0


def said(voice: str, text: str) -> Samples:
    """A text in a voice."""
    return (library().sound(Line(voice, 1.0, text)) * 32_767).astype(np.int16)


def learn(voice: str, network: bytes, path: Path) -> None:
    """Learn a voice from the twenty calls."""
    room = hall_noise(40.0, 9)
    pairs = []
    for nth, text in enumerate(READ_OUT):
        own = in_noise(said(voice, text) / 32_768, room[2_000 * nth :], READ_DB)
        pairs.append(((own * 32_767).astype(np.int16), said(USUAL, text)))
    speaker = Extractor(find_model(RECOGNIZER))
    taught = lessons(of := Network(network), speaker, pairs)
    keep(learned(of, taught), vectors(speaker, taught), network, path)


def verdict(ours: Ours, line: Line, hall: Hall) -> str:
    """What becomes of a call."""
    item = ours.call(line)
    moment = ours.moment(item, hall.seed)
    heard = ours.understood(ours.hear(hall.with_sound(item)), "always", moment, Dialogue())
    return unanswered(item, heard)


def before_and_after(
    grammar: Grammar, voice: str, count: int, noise: Wave, seed: int
) -> list[tuple[str, str]]:
    """The verdicts on a voice's calls, before it is learned and after."""
    scope = replace(scope_of(grammar, None), rosters=ROSTERS)
    network = hall_network(find_model(RECOGNIZER))
    assert network is not None
    with tempfile.TemporaryDirectory() as private:
        path = Path(private) / "voice.npz"
        learn(voice, network, path)
        ears = [Ours(grammar, scope, Path(private), Options(voice=own)) for own in ("", str(path))]
        lines = [Line(voice, 1.0, text) for text in calls(grammar, count, seed, False)]
        halls_of = [Hall(noise, HEARD_DB, 1_000 * seed + at) for at in range(count)]
        first, second = (
            [verdict(ear, line, hall) for line, hall in zip(lines, halls_of, strict=True)]
            for ear in ears
        )
    return list(zip(first, second, strict=True))


def main() -> None:
    """Print what becomes of the calls, and McNemar's test of those right at once."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--noise", type=Path, help="recordings of crowds")
    arguments.add_argument("--voices", nargs="+", default=list(OTHERS), choices=VOICES)
    arguments.add_argument("--calls", type=int, default=24)
    given = arguments.parse_args()
    noise = halls(7)[0] if given.noise is None else crowd(given.noise)
    grammar = load_language(language_folder())
    pairs: list[tuple[str, str]] = []
    for seed, voice in enumerate(given.voices, start=500):
        own = before_and_after(grammar, voice, given.calls, noise, seed)
        pairs += own
        before, after = (Counter(each[at] for each in own) for at in (0, 1))
        print(f"{voice:<18}{dict(before)} -> {dict(after)}", flush=True)
    lost = [before == "right" != after for before, after in pairs].count(True)
    gained = [before != "right" == after for before, after in pairs].count(True)
    print(f"right at once: +{gained} -{lost} of {len(pairs)}, p = {mcnemar(gained, lost):.2g}")


if __name__ == "__main__":
    main()
