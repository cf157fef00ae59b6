"""Tries each fault and prints a table of results: `python -m tests.faults [NAME…] [--part N]`.

With `--part 10` each fault is tried a tenth as often. With `--sum FILE` the results are added to
those in the file, and the table shows the sums, so that a long run can be done in parts. The exit
status is 1 if anything was lost.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path

from tests.faults import (
    damage,
    devices,
    disks,
    flips,
    fuzz,
    kills,
    network,
    pages,
    power,
    soak,
    talk,
)
from tests.faults.result import Result, added, read_results, table, write_result

Fault = Callable[[Path, int], Result]

moved = partial(devices.unplugged, sinks=("hall",), fault="microphone moved")

FAULTS: Mapping[str, tuple[Fault, int]] = {
    "kill": (kills.killed, 500),
    "power": (power.power_cut, 400),
    "full": (partial(disks.failing, fault="disk full"), 20),
    "limit": (partial(disks.failing, fault="file may not grow"), 20),
    "read-only": (partial(disks.failing, fault="read-only disk"), 5),
    "removed": (kills.removed, 50),
    "newer": (damage.newer, 20),
    "flipped": (damage.flipped, 1_000),
    "flips": (flips.flips, 500),
    "two": (kills.two_programs, 20),
    "orphans": (kills.orphans, 10),
    "recognizer": (devices.recognizer_killed, 50),
    "voice": (devices.voice_killed, 20),
    "headset": (devices.unplugged, 10),
    "moved": (moved, 10),
    "sleep": (kills.stopped, 10),
    "date": (kills.dated, 30),
    "network": (network.network, 600),
    "soak": (soak.soak, 180),
    "fuzz": (fuzz.fuzz, 1_200),
    "pages": (pages.pages, 1_200),
    "talk": (talk.talk, 60),
}
"""Each fault, and how often it is tried: `flips` in each of three files. For `fuzz`, `pages` and
`network` the number is in seconds, for `soak` in minutes of sound, for `talk` in minutes of game
clock in every league."""


def main() -> int:
    """Try the faults that were named, and print their results as they come."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*", metavar="NAME", help=", ".join(FAULTS))
    parser.add_argument("--part", type=int, default=1, help="try each N times less often")
    parser.add_argument("--sum", type=Path, metavar="FILE", help="add to the results in this file")
    given = parser.parse_args()
    results = read_results(given.sum) if given.sum else []
    for name in given.names or FAULTS:
        fault, count = FAULTS[name]
        begun = time.monotonic()
        with tempfile.TemporaryDirectory(prefix="callout-faults-") as folder:
            results.append(fault(Path(folder), max(1, count // given.part)))
        if given.sum:
            write_result(given.sum, results[-1])
        took = time.monotonic() - begun
        print(f"{name}: {took:.0f} s\n{table(results[-1:])}\n", file=sys.stderr, flush=True)
    print(table(added(results)))
    return int(any(result.lost for result in results))


if __name__ == "__main__":
    sys.exit(main())
