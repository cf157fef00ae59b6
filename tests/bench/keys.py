"""Latency from key-down to the event on the disk.

Real keys on a virtual display are heard by the keyboard's process, while the ear listens to talk
from a sound server and answers are spoken to it. The time of the key-down is the one in the
journal, in whole milliseconds. The time of the event is that at which the line printed after the
commit is read: it is later than the commit, never earlier.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

from callout.table.book.journal import Journal

sys.path.insert(0, str(Path(__file__).parents[2]))
from tests.display import Display, virtual_display
from tests.pulse import Pulse, pulse_server
from tests.speech import PHRASES, speech_file

SETUP = "profile: nfhs-2026\nhome: Kites | 4 5 12\nguest: Foxes | 8 11 15\n"
KEYS = '[everywhere]\nf5 = "start clock"\nf6 = "stop clock"\n'
TALK = ("home one number twelve.", "the ball went over there.", "fouls on home five.")


def latencies(
    folder: Path, display: Display, pulse: Pulse, presses: int, busy: bool
) -> list[float]:
    """Milliseconds from each key-down to the line that reports its event."""
    game = folder / ("busy" if busy else "quiet")
    (folder / "setup").write_text(SETUP, encoding="utf-8")
    (folder / "keys.toml").write_text(KEYS, encoding="utf-8")
    ear = ["--ear", "open"] if busy else ["--ear", "off", "--voice", "print"]
    command = [sys.executable, "-u", "-m", "callout", "live", str(game), "--setup",
               str(folder / "setup"), "--keys", str(folder / "keys.toml"), *ear]  # fmt: skip
    environment = {**pulse.environment, "DISPLAY": display.environment["DISPLAY"]}
    process = subprocess.Popen(
        command, env=environment, stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT, text=True,
    )  # fmt: skip
    told: list[float] = []
    lines: list[str] = []
    # Keys pressed before the program listens are lost. On a busy machine it once began to listen
    # only after the first presses, and then refused a stop whose start it had missed.
    begins, begun = ("listening" if busy else "0 entries"), threading.Event()

    def read() -> None:
        for line in process.stdout or ():
            lines.append(line)
            if begins in line:
                begun.set()
            if "start clock" in line or "stop clock" in line:
                told.append(time.time())

    reader = threading.Thread(target=read)
    reader.start()
    if not begun.wait(60):
        raise SystemExit(f"it did not begin: {''.join(lines)}")
    time.sleep(3)  # Until it has said its opening words.
    stop = threading.Event()
    talker = threading.Thread(target=talk, args=(folder, pulse, stop))
    if busy:
        talker.start()
    for nth in range(presses):
        display.do("key", "F5" if nth % 2 == 0 else "F6")
        time.sleep(0.25)
    stop.set()
    end = time.monotonic() + 20
    while len(told) < presses and time.monotonic() < end:
        time.sleep(0.1)
    process.send_signal(2)
    process.wait(timeout=60)
    reader.join()
    if busy:
        talker.join()
    with Journal.open(game) as journal:
        downs = [e.at.wall_ms / 1000 for e in journal.entries() if e.source == "key"]
    if len(downs) != presses or len(told) != presses:
        print("".join(lines))
        raise SystemExit(f"{presses} keys pressed, {len(downs)} booked, {len(told)} told")
    return sorted(1000 * (late - down) for down, late in zip(downs, told, strict=True))


def talk(folder: Path, pulse: Pulse, stop: threading.Event) -> None:
    """Talk into the microphone, with calls in it."""
    said = speech_file(folder, *TALK, gap_s=0.9)
    while not stop.is_set():
        pulse.play(said)


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--presses", type=int, default=200)
    presses = parser.parse_args().presses
    with tempfile.TemporaryDirectory() as name, virtual_display() as display:
        folder = Path(name)
        (folder / "pulse").mkdir(mode=0o700)
        with pulse_server(folder / "pulse") as pulse:
            for busy in (False, True):
                found = latencies(folder, display, pulse, presses, busy)
                p50, p99 = (found[round(share * (len(found) - 1))] for share in (0.5, 0.99))
                what = "while speech is heard and spoken" if busy else "with nothing else going on"
                print(f"key to disk, {what}: p50 {p50:.0f} ms, p99 {p99:.0f} ms, "
                      f"worst {found[-1]:.0f} ms, of {len(found)}")  # fmt: skip
    PHRASES.close()


if __name__ == "__main__":
    main()
