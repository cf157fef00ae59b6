"""How well the ear hears, beside vosk's phrase list, in one run: `make bench` or by itself.

Two tests. `orders`: recordings of people who order coffee, another domain than the table's, heard
by the project's own ear, as `callout hear` hears files, with a language folder for that domain;
give their folder by --speech, or in the environment as CALLOUT_SPEECH.
`calls`: table calls drawn from the grammar and spoken by synthetic voices. Each at several ratios
of voice to made hall noise, by the largest energies of 2048-sample frames. Prints per cent right,
wrong, asked and unheard, and the exact probability that the difference is chance (McNemar's test
on the pairs of right and not right).
"""

from __future__ import annotations

import argparse
import json
import math
import os
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
import soxr

from callout.edges.decoder import Models, Options
from callout.edges.hall import hall_noise, in_noise
from callout.edges.hear_command import scope_of
from callout.edges.listening import FILE_PATIENCE_S, OpenEar
from callout.edges.models import find_model
from callout.edges.phrases import Phrases, cache_folder
from callout.edges.sound import RATE_HZ, to_recognizer
from callout.edges.understood import understand
from callout.language.check import load_language
from callout.language.grammar import Grammar, language_folder
from callout.language.parser import Parsed, Parser
from callout.language.sample import draw

HERE = Path(__file__).parent
RATIOS: tuple[float | None, ...] = (None, 18.0, 12.0, 6.0)
QUIET_S = 0.5
PHRASES = 3_000
"""Sentences drawn for the phrase list, from which its library makes its word pairs."""


@dataclass(frozen=True)
class Item:
    """One recording with what it means."""

    name: str
    path: Path
    slots: Mapping[str, Any]
    call: str | None = None


def ours(parser: Parser, models: Models, samples: np.ndarray) -> tuple[str, dict[str, Any]]:
    """What the project's ear makes of a sound: a status, and the slots of all its calls."""
    ear = OpenEar(models, "always", FILE_PATIENCE_S)
    heard = [
        each
        for utterance in [*ear.feed(samples), *ear.flush()]
        for each in understand(parser, utterance)
        if each.sentence is not None
    ]
    if not heard:
        return "unheard", {}
    slots = {k: v for each in heard if each.sentence for k, v in each.sentence.slots.items()}
    names = "+".join(each.sentence.name for each in heard if each.sentence)
    return ("asked" if any(each.choices for each in heard) else "heard"), {**slots, "": names}


def listed(parser: Parser, recognizer: Any, samples: np.ndarray) -> tuple[str, dict[str, Any]]:
    """What vosk's phrase list makes of it: its best text that the same parser reads whole."""
    recognizer.AcceptWaveform(samples.tobytes())
    for reading in json.loads(recognizer.FinalResult())["alternatives"]:
        result = parser.parse(reading["text"])
        if isinstance(result, Parsed):
            slots = {k: v for each in result.sentences for k, v in each.slots.items()}
            return "heard", {**slots, "": "+".join(each.name for each in result.sentences)}
    return "unheard", {}


def verdict(item: Item, status: str, slots: dict[str, Any]) -> str:
    """right, wrong, asked or unheard."""
    if status in ("unheard", "asked"):
        return status
    name = slots.pop("")
    same = slots == dict(item.slots) and (item.call is None or item.call == name)
    return "right" if same else "wrong"


def score(
    items: Sequence[Item], folder: Path, roster: str, ratio_db: float | None, seed: int
) -> list[tuple[str, str, str]]:
    """Every item's name with the verdict on the ear and on the phrase list."""
    import vosk

    grammar = load_language(folder)
    scope = scope_of(grammar, roster)
    parser = Parser(grammar, scope)
    noise = hall_noise(90.0, seed) if ratio_db is not None else None
    random = np.random.default_rng(seed)
    rows = []
    with tempfile.TemporaryDirectory() as private:
        models = Models(find_model("vosk-model-en"), Path(private), Options())
        models.use("always", parser.network)
        plain = vosk.Model(str(find_model("vosk-model-en")))
        phrases = json.dumps(_phrases(grammar, scope))
        for item in items:
            samples = _prepared(item.path, noise, ratio_db, random)
            peer = vosk.KaldiRecognizer(plain, RATE_HZ, phrases)
            peer.SetMaxAlternatives(5)
            mine = verdict(item, *ours(parser, models, samples))
            theirs = verdict(item, *listed(parser, peer, samples))
            rows.append((item.name, mine, theirs))
    return rows


def _phrases(grammar: Grammar, scope: Any) -> list[str]:
    said = {" ".join(sample.words) for sample in draw(grammar, scope, PHRASES, seed=1)}
    return [*sorted(said), "[unk]"]


def _prepared(
    path: Path, noise: np.ndarray | None, ratio_db: float | None, random: np.random.Generator
) -> np.ndarray:
    data, rate_hz = soundfile.read(path, dtype="float32")
    data = soxr.resample(data, rate_hz, RATE_HZ) if rate_hz != RATE_HZ else data
    quiet = np.zeros(int(QUIET_S * RATE_HZ), dtype=np.float32)
    data = np.concatenate([quiet, data * 0.6, quiet, quiet])
    if noise is not None and ratio_db is not None:
        start = int(random.integers(0, len(noise) - len(data)))
        data = in_noise(data, noise[start : start + len(data)], ratio_db)
    return to_recognizer(data.astype(np.float32)[:, None], RATE_HZ)


# --- what is heard ---------------------------------------------------------------------------


def orders(speech: Path, limit: int) -> list[Item]:
    """Recordings of people, with their labels."""
    labels = json.loads((speech / "orders" / "labels.json").read_text(encoding="utf-8"))
    names = sorted(labels)[: limit or None]
    return [Item(name, speech / "orders" / name, labels[name]) for name in names]


def voices() -> dict[str, Callable[[str, Path], None]]:
    """The synthetic voices that this machine has, each writing a text to a file."""
    found: dict[str, Callable[[str, Path], None]] = {"piper": _piper}
    if shutil.which("flite"):
        for name in ("slt", "awb", "rms", "kal16"):
            found[f"flite {name}"] = partial(_flite, name)
    if shutil.which("espeak-ng"):
        found["espeak-ng"] = _espeak
    return found


_RENDER = Phrases(folder=cache_folder())


def _piper(text: str, path: Path) -> None:
    made = _RENDER.render(text)
    soundfile.write(path, made.samples, made.rate_hz)


def _flite(voice: str, text: str, path: Path) -> None:
    subprocess.run(["flite", "-voice", voice, "-t", text, "-o", str(path)], check=True)


def _espeak(text: str, path: Path) -> None:
    subprocess.run(["espeak-ng", "-s", "150", "-w", str(path), text], check=True)


def table_calls(count: int, folder: Path, roster: str) -> list[Item]:
    """So many calls in each voice, drawn from the grammar."""
    grammar = load_language(language_folder())
    scope = scope_of(grammar, roster)
    narrow = type(scope)(scope.rosters, (), scope.foul_kinds)
    items = []
    for voice_number, (voice, speak) in enumerate(voices().items()):
        for at, sample in enumerate(draw(grammar, narrow, count, seed=voice_number)):
            path = folder / f"{voice_number}-{at}.wav"
            speak(" ".join(sample.words), path)
            name = f"{voice}: {' '.join(sample.words)}"
            items.append(Item(name, path, sample.meaning.slots, sample.meaning.name))
    return items


# --- figures ---------------------------------------------------------------------------------


def mcnemar(better: int, worse: int) -> float:
    """The exact two-sided probability of so uneven a split by chance.

    Source: McNemar 1947, in its exact binomial form.
    """
    total = better + worse
    tail = sum(math.comb(total, k) for k in range(min(better, worse) + 1)) / 2**total
    return min(1.0, 2 * tail) if total else 1.0


def report(ratio: float | None, found: Sequence[tuple[str, str, str]]) -> None:
    """Print the figures of one ratio of voice to noise."""
    level = "clean" if ratio is None else f"{ratio:g} dB"
    for who, column in (("the ear", 1), ("phrase list", 2)):
        counts = Counter(row[column] for row in found)
        shares = [100 * counts[key] / len(found) for key in ("right", "wrong", "asked", "unheard")]
        print(f"{level:<8}{who:<14}" + "".join(f"{s:7.1f}%" for s in shares))
    better = sum(a == "right" != b for _, a, b in found)
    worse = sum(b == "right" != a for _, a, b in found)
    p = mcnemar(better, worse)
    print(f"{'':<8}the ear alone right {better}, the list alone right {worse}: p = {p:.2g}")
    missed = [f"{name} ({mine})" for name, mine, _ in found if mine != "right"]
    if missed:
        print(f"{'':<8}not right: " + "; ".join(missed[:10]))


def run(
    title: str,
    items: list[Item],
    folder: Path,
    roster: str,
    ratios: Sequence[float | None],
    jobs: int,
    seed: int,
) -> None:
    """Score all items with so many processes; each ratio is told when it is done."""
    print(f"\n{title}: {len(items)} recordings")
    print(f"{'':<8}{'':<14}{'right':>8}{'wrong':>8}{'asked':>8}{'unheard':>8}")
    with ProcessPoolExecutor(jobs) as pool:
        for ratio in ratios:
            shares = [items[start::jobs] for start in range(jobs)]
            calls = [pool.submit(score, share, folder, roster, ratio, seed) for share in shares]
            report(ratio, [row for call in calls for row in call.result()])
            sys.stdout.flush()


def main() -> None:
    """Run what was asked for."""
    arguments = argparse.ArgumentParser(description=__doc__)
    speech = os.environ.get("CALLOUT_SPEECH")
    arguments.add_argument("--speech", type=Path, default=speech, help="recordings of people; "
                           "if not given, the environment's CALLOUT_SPEECH")  # fmt: skip
    arguments.add_argument("--calls", type=int, default=40, help="table calls for each voice")
    arguments.add_argument("--limit", type=int, default=0, help="only so many orders")
    arguments.add_argument("--jobs", type=int, default=2)
    arguments.add_argument("--ratio", type=float, help="only this one, in dB")
    arguments.add_argument("--seed", type=int, default=7)
    given = arguments.parse_args()
    ratios = RATIOS if given.ratio is None else (given.ratio,)
    if given.speech is not None:
        items = orders(given.speech, given.limit)
        run("Orders by people", items, HERE / "orders", "", ratios, given.jobs, given.seed)
    else:
        print("No --speech: recordings of people are not measured.")
    if given.calls:
        roster = "3,4,5,7,8,10,11,12,14,15,20,23,30,33,50"
        with tempfile.TemporaryDirectory() as folder:
            calls = table_calls(given.calls, Path(folder), roster)
            run("Table calls, synthetic voices", calls, language_folder(), roster, ratios,
                given.jobs, given.seed)  # fmt: skip


if __name__ == "__main__":
    main()
