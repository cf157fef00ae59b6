"""Hours of game sound through the ear into a book: what grows, and what becomes slower."""

from __future__ import annotations

import os
import time
from dataclasses import dataclass
from pathlib import Path
from statistics import median

import numpy as np
import soundfile

from callout.edges.ear.file import FileEar
from callout.edges.ear.hall_noise import hall_noise, in_noise
from callout.edges.ear.sound import RATE_HZ
from callout.edges.ear.spoken_calls import understand
from callout.edges.models.catalogue import find_model
from callout.language.check import load_language
from callout.language.compiler import compile_network
from callout.language.parser import Parser
from callout.table.book.journal import Journal
from callout.table.clock import MachineTime
from callout.table.language import english, replies_of, scope_of
from callout.table.session import Session
from callout.table.setup.setup import read_setup
from tests.faults.playing import SETUP
from tests.faults.result import Result
from tests.speech import spoken

PIECE_S: float = 60.0
"""The length of one piece of sound; every piece has the same calls in it."""
SAID = ("home two number five.", "guest foul eleven.", "guest three number eight.", "undo that.")
RATIO_DB = 20.0
TELL_EVERY = 20
"""Minutes of sound between two lines of figures."""


@dataclass(frozen=True)
class Figures:
    """Memory, files, threads and times of the two processes at one moment."""

    ear_mb: float
    own_mb: float
    ear_files: int
    own_files: int
    ear_threads: int
    own_threads: int
    hear_s: float
    """Seconds to hear a minute of sound."""
    book_ms: float
    """Milliseconds to book one call."""

    def __str__(self) -> str:
        return (
            f"ear {self.ear_mb:.0f} MB, {self.ear_files} files, {self.ear_threads} threads; "
            f"table {self.own_mb:.0f} MB, {self.own_files} files, {self.own_threads} threads; "
            f"a minute heard in {self.hear_s:.1f} s, a call booked in {self.book_ms:.1f} ms"
        )


def soak(folder: Path, minutes: int) -> Result:
    """Plays `minutes` of a hall with calls; a new game begins each hour, as in a real day."""
    setup = folder / "x.setup"
    setup.write_text(SETUP, encoding="utf-8")
    teams, grammar = read_setup(setup), load_language(english())
    parser = Parser(grammar, scope_of(teams))
    call = folder / "minute.wav"
    soundfile.write(call, _minute(), RATE_HZ)
    ear = FileEar(find_model("vosk-model-en"), compile_network(grammar, scope_of(teams)))
    pid = ear._hearing.pid
    assert pid is not None
    seen: list[Figures] = []
    counts = []
    for nth in range(minutes):
        if nth % 60 == 0:
            journal = Journal.create(folder / f"{nth}.game", teams)
            session = Session(journal, replies_of(grammar), MachineTime())
            session.hear(parser, "start clock", "key")
        begun = time.monotonic()
        heard = [each for event in ear.hear(call) for each in understand(parser, event)]
        hear_s = time.monotonic() - begun
        takes = []
        for each in heard:
            if each.sentence is not None and each.sentence.call is not None:
                at = time.perf_counter()
                session.take(each.sentence.call, "voice")
                takes.append(1000 * (time.perf_counter() - at))
        counts.append(len(takes))
        own = os.getpid()
        seen.append(Figures(
            _resident_mb(pid), _resident_mb(own), _files(pid), _files(own),
            _threads(pid), _threads(own), hear_s, median(takes or [0.0]),
        ))  # fmt: skip
        if nth % TELL_EVERY == 2:
            print(f"soak, minute {nth + 1}: {seen[-1]}", flush=True)
        if nth % 60 == 59:
            journal.close()
    ear.close()
    first, last = seen[min(2, len(seen) - 1)], seen[-1]
    fewer = sum(count < counts[0] for count in counts)
    note = f"at first {first}; at last {last}"
    return Result(
        "soak, minutes of sound",
        minutes,
        fewer,
        most={"ear, MB": max(each.ear_mb for each in seen)},
        note=note,
    )


def _minute() -> np.ndarray:
    sound = spoken(list(SAID))
    count = int(PIECE_S * RATE_HZ)
    whole = np.zeros(count, dtype=np.float32)
    whole[RATE_HZ : RATE_HZ + len(sound)] = sound[: count - RATE_HZ]
    return in_noise(whole, hall_noise(PIECE_S, seed=4), RATIO_DB)


def _files(pid: int) -> int:
    return len(os.listdir(f"/proc/{pid}/fd"))


def _threads(pid: int) -> int:
    return len(os.listdir(f"/proc/{pid}/task"))


def _resident_mb(pid: int) -> float:
    for line in Path(f"/proc/{pid}/status").read_text().splitlines():
        if line.startswith("VmRSS:"):
            return int(line.split()[1]) / 1024
    return 0.0
