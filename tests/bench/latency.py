"""Latency: from the last sound of a call to the recorded event, and to the answer's first sound.

Calls are fed to the ear at the speed of speech, as a microphone would do. For the open ear this
includes the wait for the pause that ends a call; for the held ear the pedal is let go at the last
sound. The answer's first sound is measured for a cached phrase and for one that must be rendered,
both without the delay of the sound device.
"""

from __future__ import annotations

import argparse
import resource
import tempfile
import time
from itertools import islice
from pathlib import Path
from random import Random

import numpy as np

from callout.commands.hear import scope_of
from callout.edges.ear.listening import CHUNK, HeldEar, OpenEar
from callout.edges.ear.messages import Utterance
from callout.edges.ear.options import Options
from callout.edges.ear.recognizer import Models
from callout.edges.ear.sound import RATE_HZ, to_recognizer
from callout.edges.ear.spoken_calls import understand
from callout.edges.models.catalogue import find_model
from callout.edges.voice.phrases import Phrases, cache_folder
from callout.edges.voice.piper import PiperSynthesizer
from callout.language.check import load_language
from callout.language.grammar import language_folder
from callout.language.parser import Parser
from callout.language.replies import Replies
from callout.table.book.journal import Journal
from callout.table.clock import MachineTime
from callout.table.language import replies_of
from callout.table.session import Session
from callout.table.setup.setup import read_setup
from tests.drawn import draw

SETUP = "profile: youth-6-minute\nhome: Kites | 4 5 12\nguest: Foxes | 8 11 15\n"
Figures = dict[str, list[float]]


def percentiles(values: list[float]) -> str:
    """The median and the 95th percentile, in milliseconds."""
    ordered = sorted(values)
    p95 = ordered[min(len(ordered) - 1, round(0.95 * len(ordered)))]
    return f"p50 {1000 * ordered[len(ordered) // 2]:6.0f} ms   p95 {1000 * p95:6.0f} ms"


def sounds(count: int, parser: Parser, phrases: Phrases, seed: int) -> list[np.ndarray]:
    """Spoken calls, each without the silence at its edges."""
    found = []
    for sample in draw(parser.grammar, scope_of(parser.grammar, "4,5,12,8,11,15"), count, seed):
        sound = phrases.render(" ".join(sample.words)).at(RATE_HZ) * 0.5
        loud = np.flatnonzero(np.abs(sound) > 0.01)
        found.append(sound[loud[0] : loud[-1]])
    return found


def fed(
    ear: OpenEar | HeldEar, sound: np.ndarray, held: bool
) -> tuple[list[Utterance], float, float]:
    """The utterances of a sound fed in real time, when its last part was fed, and CPU seconds."""
    quiet = np.zeros(int(0.6 * RATE_HZ), dtype=np.float32)
    whole = np.concatenate([quiet, sound, np.zeros(int(2.0 * RATE_HZ), dtype=np.float32)])
    noise = np.random.default_rng(1).normal(0, 0.0005, len(whole))
    samples = to_recognizer((whole + noise).astype(np.float32)[:, None], RATE_HZ)
    ends = (len(quiet) + len(sound)) / RATE_HZ
    start, cpu = time.monotonic(), time.process_time()
    if isinstance(ear, HeldEar):
        ear.press()
    for at in range(0, len(samples), CHUNK):
        due = start + (at + CHUNK) / RATE_HZ
        time.sleep(max(0.0, due - time.monotonic()))
        if isinstance(ear, HeldEar) and (at + CHUNK) / RATE_HZ >= ends:
            ear.release()
        utterances = ear.feed(samples[at : at + CHUNK])
        if utterances:
            return utterances, start + ends, time.process_time() - cpu
    return [], start + ends, time.process_time() - cpu


def measure(kind: str, models: Models, parser: Parser, replies: Replies, said: list[np.ndarray],
            phrases: Phrases, folder: Path) -> Figures:  # fmt: skip
    """The figures of one mode of listening."""
    found: Figures = {"event on disk": [], "first sound, rendered before": [], "cpu": []}
    setup = folder / "setup"
    setup.write_text(SETUP, encoding="utf-8")
    with Journal.create(folder / kind, read_setup(setup)) as journal:
        session = Session(journal, replies, MachineTime())
        for sound in said:
            ear = HeldEar(models, "always") if kind == "held" else OpenEar(models, "always")
            utterances, ended, cpu = fed(ear, sound, kind == "held")
            for utterance in utterances[:1]:
                for understood in islice(understand(parser, utterance), 1):
                    if understood.sentence is None or understood.sentence.call is None:
                        continue
                    reply = session.take(understood.sentence.call, "voice")
                    found["event on disk"].append(time.monotonic() - ended)
                    phrases.render(reply.text or "Yes.")
                    start = time.perf_counter()
                    phrases.render(reply.text or "Yes.").at(44_100)
                    found["first sound, rendered before"].append(
                        found["event on disk"][-1] + time.perf_counter() - start
                    )
                    found["cpu"].append(cpu / (len(sound) / RATE_HZ))
    return found


def main() -> None:
    """Measure and print."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--count", type=int, default=40)
    given = arguments.parse_args()
    grammar = load_language(language_folder())
    parser = Parser(grammar, scope_of(grammar, "4,5,12,8,11,15"))
    phrases = Phrases(PiperSynthesizer(), cache_folder())
    replies = replies_of(grammar)
    said = sounds(3 * given.count, parser, phrases, seed=3)
    Random(1).shuffle(said)
    # The recognizer expands a network as it is used, so the first calls of a game take longer.
    rounds = [("held", "its first"), ("held", "then"), ("open", "then")]
    with tempfile.TemporaryDirectory() as folder:
        private = Path(folder) / "models"
        private.mkdir()
        models = Models(find_model("vosk-model-en"), private, Options())
        models.use("always", parser.network)
        for at, (kind, when) in enumerate(rounds):
            some = said[at * given.count : (at + 1) * given.count]
            games = Path(folder) / str(at)
            games.mkdir()
            found = measure(kind, models, parser, replies, some, phrases, games)
            heard = len(found["event on disk"])
            print(f"{kind} ear, {when} {len(some)} calls, {heard} of them heard")
            for name in ("event on disk", "first sound, rendered before"):
                print(f"  last sound to {name:<30}{percentiles(found[name])}")
            share = sum(found["cpu"]) / len(found["cpu"])
            print(f"  CPU of one core while a call is spoken  {100 * share:.0f} %")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"memory of this process, ear and phrases: {peak:.0f} MB")
    fresh = Phrases(PiperSynthesizer())
    fresh.render("One.")
    cold = []
    for number in range(10):
        start = time.perf_counter()
        fresh.render(f"Home two, number {grammar.words.shirt(str(number))}. Fourteen, nine.")
        cold.append(time.perf_counter() - start)
    fresh.close()
    print(f"rendering a reply that was never said before: {percentiles(cold)}")


if __name__ == "__main__":
    main()
