"""Every address that the program contacts, from its system calls: nothing may be sent.

Traced are `hear`, `check`, `models`, the system's voice, a benchmark, the demo, and for a given
time a live game with the voice, the open ear and keys of other windows. They may contact only the
sound server and the display of this machine.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from itertools import cycle
from pathlib import Path

from tests.display import Display, virtual_display
from tests.faults.playing import Live, booked, hall_file
from tests.faults.result import Result
from tests.pulse import Pulse, pulse_server
from tests.speech import speech_file
from tests.trace import Address, addresses, programs, strace

ROOT = Path(__file__).parents[2]
SETUP = "profile: ncaa-men-2026\nhome: Harbour Kites | 4 5 12\nguest: Quarry Foxes | 8 11 15\n"
"""A game of the league with the longest periods."""
KEYS = '[everywhere]\nf5 = "guest two"\n'
SAID = ("home two number five.", "guest three number eight.", "home one number twelve.")
EAR, VOICE, KEYBOARD = (
    "callout.edges.ear.process",
    "callout.edges.voice.piper_process",
    "callout.edges.keys.keyboard_process",
)
PAUSE_S = 6.0
"""The pause between a call and the next key; on most machines the answer comes within it."""
LEAST_S = 30.0
"""The least length of a game: a library that reports home does so within half a minute."""
ENDS_S = 300.0
ELSEWHERE = "elsewhere"
PYTHON = (sys.executable, "-m", "callout")


@dataclass(frozen=True)
class Traced:
    """A program that was run, and the addresses that its system calls contacted."""

    name: str
    found: Sequence[Address]
    servers: Mapping[str, str]
    """The servers that may be contacted, by the path of their socket."""

    def counts(self) -> Counter[str]:
        """How often each kind of address was contacted."""
        return Counter(map(self._kind, self.found))

    def _kind(self, address: Address) -> str:
        if address.sends:
            known = address.family == "AF_UNIX" and self.servers.get(address.place)
            return known or f"{ELSEWHERE}: {address}"
        if address.call == "bind":
            return "a place of its own, nothing sent"
        return "no program there" if address.family == "AF_UNIX" else "the kernel"

    def lines(self) -> list[str]:
        """Each address, how often it was contacted, and what it is."""
        rows = Counter((str(each), self._kind(each)) for each in self.found).items()
        told = [f"{self.name}: {place}: {kind.partition(':')[0]}, {count} times"
                for (place, kind), count in rows]  # fmt: skip
        return told or [f"{self.name}: nothing reached for"]


class Machine:
    """A sound server, a display and an empty cache, in which programs are run under strace."""

    def __init__(self, folder: Path, pulse: Pulse, display: Display) -> None:
        self.folder, self.pulse, self.display = folder, pulse, display
        screen = f"/tmp/.X11-unix/X{display.environment['DISPLAY'].lstrip(':')}"
        screens = (screen, f"@{screen}")
        sound = pulse.environment["PULSE_SERVER"].removeprefix("unix:")
        self.servers = {sound: "the sound server", **dict.fromkeys(screens, "the display")}
        # With an empty cache the voice's model has to speak every phrase.
        self.environment = {**os.environ, **pulse.environment, "XDG_CACHE_HOME": str(folder),
                            "TMPDIR": str(folder),
                            "DISPLAY": display.environment["DISPLAY"]}  # fmt: skip
        self.environment.pop("WAYLAND_DISPLAY", None)

    def ran(self, name: str, command: Sequence[str], children: Sequence[str] = ()) -> Traced:
        """Run a program to its end; `children` are parts of commands that it must have started."""
        trace = self.folder / f"{name}.trace"
        done = subprocess.run(
            strace(trace, *command), cwd=ROOT, env=self.environment, stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, timeout=900,
        )  # fmt: skip
        assert done.returncode == 0, (name, done.stderr)
        return self.read(name, trace, children)

    def read(self, name: str, trace: Path, children: Sequence[str] = ()) -> Traced:
        """Read the trace of a program that has ended.

        Raises:
            AssertionError: one of its children was not started, so nothing is known about it.
        """
        told = trace.read_text(encoding="utf-8", errors="replace")
        started = programs(told)
        for child in children:
            assert any(child in each for each in started), (child, started)
        return Traced(name, addresses(told), self.servers)

    def live(self, seconds: float) -> Traced:
        """A live game in which calls are spoken and keys pressed for a given time."""
        game, trace = self.folder / "x.game", self.folder / "live.trace"
        said = [speech_file(self.folder, text, name=f"{nth}.wav") for nth, text in enumerate(SAID)]
        # The program takes its time to start and to end.
        noise = hall_file(self.folder / "noise.wav", seconds + 120)
        options = ("--setup", _file(self.folder / "x.setup", SETUP),
                   "--keys", _file(self.folder / "keys.toml", KEYS))  # fmt: skip
        live = Live(game, *options, "--ear", "open", "--voice", "auto",
                    before=tuple(strace(trace, *PYTHON)), environment=self.environment)  # fmt: skip
        try:
            live.type("start clock\n")
            live.wait_for(1)
            end = time.monotonic() + seconds
            with self.pulse.noise(noise):
                for call in cycle(said):
                    self.pulse.play(call)
                    time.sleep(PAUSE_S)
                    self.display.do("key", "F5")
                    time.sleep(PAUSE_S)
                    if time.monotonic() > end:
                        break
        finally:
            # It goes on listening without its terminal; strace ends together with it.
            os.kill(int(trace.read_text().split()[0]), signal.SIGTERM)
            live.process.wait(timeout=ENDS_S)
            live.end()
        assert booked(game, "voice"), (live.answers, live.errors[-1_000:])
        assert len(booked(game)) > 1, (live.answers, live.errors[-1_000:])
        assert self.pulse.loud(), "the voice was not heard"
        return self.read("live", trace, (EAR, VOICE, KEYBOARD))

    def system_voice(self) -> Traced:
        """A short game with the system's own voice."""
        game, trace = self.folder / "y.game", self.folder / "system.trace"
        live = Live(game, "--setup", _file(self.folder / "y.setup", SETUP), "--voice", "system",
                    before=tuple(strace(trace, *PYTHON)), environment=self.environment)  # fmt: skip
        before = self.pulse.sounded()
        try:
            live.type("start clock\nhome two number five\nscore check\n")
            live.wait_for(3)
            self.pulse.wait_for_an_end(before, seconds=ENDS_S)
        finally:
            live.end()
        return self.read("live, the system's voice", trace, ("espeak-ng",))


def network(folder: Path, seconds: int) -> Result:
    """Run everything, the live game for a given time; `lost` counts contacts elsewhere."""
    place = folder / "pulse"
    place.mkdir(mode=0o700)
    with ExitStack() as stack:
        pulse = stack.enter_context(pulse_server(place))
        display = stack.enter_context(virtual_display())
        machine = Machine(folder, pulse, display)
        call = str(speech_file(folder, *SAID))
        bench = (sys.executable, "tests/bench/latency.py", "--count", "2")
        demo = (sys.executable, "-m", "callout.commands.demo", "--out", str(folder / "demo"))
        found = [
            machine.ran("hear", (*PYTHON, "hear", call), (EAR,)),
            machine.ran("check", (*PYTHON, "check"), (KEYBOARD,)),
            machine.ran("models", (*PYTHON, "models")),
            machine.system_voice(),
            machine.ran("benchmark", bench, (VOICE,)),
            machine.ran("demo", demo, (EAR, VOICE)),
            machine.live(max(seconds, LEAST_S)),
        ]
    for each in found:
        print("\n".join(each.lines()).replace(str(folder), "…"), file=sys.stderr, flush=True)
    counts = sum((each.counts() for each in found), Counter[str]())
    elsewhere = sum(count for kind, count in counts.items() if kind.startswith(ELSEWHERE))
    names = ", ".join(each.name for each in found)
    note = f"lost is what went elsewhere; the live game {seconds} s; {names}"
    return Result("network", len(found), elsewhere, counts=dict(counts), note=note)


def _file(path: Path, text: str) -> str:
    path.write_text(text, encoding="utf-8")
    return str(path)
