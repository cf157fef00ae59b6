"""What the program connects to, by its system calls: `python -m tests.faults network`.

strace prints every `connect` and every datagram with an address, of the program and of all its
children, while it does what a person would have it do: a live game by voice with an open ear, the
demo, `hear`, a benchmark. Source of the calls' form: strace(1) and connect(2).
"""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path

import soundfile

from callout.edges.hall import hall_noise
from callout.edges.sound import RATE_HZ
from tests.faults.playing import Live, new_game
from tests.faults.result import Result
from tests.pulse import pulse_server
from tests.speech import speech_file

ROOT = Path(__file__).parent.parent.parent
REACHES = re.compile(r"\b(?:connect|sendto|sendmsg|sendmmsg)\(.*")
FILE_SOCKET = re.compile(r"sa_family=AF_UNIX(?:, sun_path=@?\"([^\"]*)\")?")
NETWORK = re.compile(
    r"sa_family=AF_INET6?, sin6?_port=htons\((\d+)\),.*?"
    r"(?:inet_addr\(\"([^\"]+)\"\)|inet_pton\(AF_INET6, \"([^\"]+)\")"
)
KERNEL = re.compile(r"sa_family=AF_NETLINK")
LONE_S = 30.0
"""A game is not shorter than this: a library that reports does so within half a minute."""
CALLS = ("home two number five.", "guest foul eleven.", "home two.")


def addresses(trace: Path) -> Counter[str]:
    """What was connected to, or sent to by its address, and how often.

    Sockets of this machine's file system by their path, others as `address:port`; what asks the
    kernel itself has neither.
    """
    found: Counter[str] = Counter()
    for line in trace.read_text(encoding="utf-8", errors="replace").splitlines():
        if not (reach := REACHES.search(line)):
            continue
        if local := FILE_SOCKET.search(reach[0]):
            found[local[1] or "a socket without a name"] += 1
        elif beyond := NETWORK.search(reach[0]):
            found[f"{beyond[2] or beyond[3]}:{beyond[1]}"] += 1
        elif "sa_family=" in reach[0] and not KERNEL.search(reach[0]):
            found[reach[0]] += 1
    return found


def beyond(found: Mapping[str, int], server: Path) -> dict[str, int]:
    """Of these, what is neither a sound server's socket nor that of the name service's cache.

    PortAudio looks for a JACK server beside PulseAudio's; both are sockets of files.
    """
    quiet = (str(server), "/dev/shm/jack", "/var/run/nscd", "/run/nscd", "a socket without a name")
    return {address: count for address, count in found.items() if not address.startswith(quiet)}


def network(folder: Path, seconds: int) -> Result:
    """Everything once, the live game for so long; `lost` counts what was connected to beside."""
    place = folder / "pulse"
    place.mkdir(mode=0o700)
    counts: Counter[str] = Counter()
    parts: list[str] = []
    with pulse_server(place) as pulse:
        for name, run in (
            ("live", lambda trace: _live(folder, trace, seconds, pulse.environment)),
            ("hear", lambda trace: _command(trace, _hear(folder), pulse.environment)),
            ("demo", lambda trace: _command(trace, _demo(folder), pulse.environment)),
            ("bench", lambda trace: _command(trace, _bench(), pulse.environment)),
        ):
            trace = folder / f"{name}.strace"
            run(trace)
            found = addresses(trace)
            for address, count in sorted(found.items()):
                print(f"{name}: {address}: {count}", file=sys.stderr, flush=True)
            counts += Counter(beyond(found, place))
            parts.append(name)
    note = f"{', '.join(parts)}; the live game {seconds} s"
    return Result("connected to beside the sound server", len(parts), sum(counts.values()),
                  counts=dict(counts), note=note)  # fmt: skip


def _strace(trace: Path) -> tuple[str, ...]:
    return ("strace", "-f", "-qq", "-s", "200", "-e", "trace=network", "-o", str(trace))


def _live(folder: Path, trace: Path, seconds: float, environment: dict[str, str]) -> None:
    """A game with ear and voice, called by voice and by keys."""
    game = new_game(folder)
    noise = folder / "noise.wav"
    soundfile.write(noise, 0.01 * hall_noise(60.0, seed=6), RATE_HZ)
    spoken = [speech_file(folder, call, name=f"{nth}.wav") for nth, call in enumerate(CALLS)]
    program = (*_strace(trace), sys.executable, "-m", "callout")
    live = Live(game, "--ear", "open", "--voice", "auto", before=program, environment=environment)
    player = ["paplay", "--device=hall"]
    end = time.monotonic() + max(seconds, LONE_S)
    nth = 0
    try:
        with subprocess.Popen([*player, str(noise)], env=environment):
            while time.monotonic() < end:
                call = spoken[nth % len(spoken)]
                subprocess.run([*player, str(call)], env=environment, check=True, timeout=60)
                live.type("guest three number eight\n" if nth % 2 else "score check\n")
                nth += 1
                time.sleep(4.0)
    finally:
        for child in _children(live.process.pid):
            os.kill(child, signal.SIGINT)  # strace would not hand it on
        live.end()
    assert live.said(), live.errors


def _children(pid: int) -> list[int]:
    lists = Path(f"/proc/{pid}/task").glob("*/children")
    return [int(child) for each in lists for child in each.read_text().split()]


def _command(trace: Path, command: Sequence[str], environment: dict[str, str]) -> None:
    done = subprocess.run([*_strace(trace), *command], env=environment, cwd=ROOT, timeout=900,
                          capture_output=True, text=True)  # fmt: skip
    assert done.returncode == 0, done.stderr


def _hear(folder: Path) -> list[str]:
    said = speech_file(folder, "home two number five.", name="hear.wav")
    return [sys.executable, "-m", "callout", "hear", str(said)]


def _demo(folder: Path) -> list[str]:
    script = ROOT / "tests" / "games" / "first.game"
    return [sys.executable, "-m", "callout.edges.demo", str(script), "--out", str(folder / "demo")]


def _bench() -> list[str]:
    return [sys.executable, "tests/bench/latency.py", "--count", "3"]
