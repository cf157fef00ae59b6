"""Time and memory of the score sheet: one game, and a season of games in one command.

Each game is the demo's, which is over, under a name of its own. Time is that of the whole process,
start and reading included; memory is the most that it held.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

DEMO = Path(__file__).parents[1] / "games" / "demo.game"


def measured(*options: str) -> tuple[float, float]:
    """Seconds and megabytes of one `callout` command."""
    began = time.monotonic()
    child = subprocess.Popen([sys.executable, "-m", "callout", *options], stdout=subprocess.DEVNULL)
    _, status, usage = os.wait4(child.pid, 0)
    if status:
        raise SystemExit(f"callout {options[0]}: status {status}")
    child.returncode = 0
    return time.monotonic() - began, usage.ru_maxrss / 1024


def main() -> None:
    """Print the figures."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--games", type=int, default=500)
    games = arguments.parse_args().games
    with tempfile.TemporaryDirectory() as place:
        first = Path(place) / "1.game"
        measured("replay", str(DEMO), "--keep", str(first))
        for form in ("fiba", "american"):
            for kind in ("--pdf", "--png"):
                seconds, megabytes = measured("sheet", str(first), kind, "--form", form)
                ending = kind.removeprefix("--")
                size = Path(f"{first}-sheet.{ending}").stat().st_size / 1000
                print(f"one sheet, {form}, {ending}: {seconds:.2f} s, {megabytes:.0f} MB held, "
                      f"{size:.0f} kB written")  # fmt: skip
        season = [first]
        for nth in range(2, games + 1):
            season.append(Path(shutil.copy(first, Path(place) / f"{nth}.game")))
        seconds, megabytes = measured("sheet", *map(str, season), "--pdf")
        print(f"{games} games in one command, pdf: {seconds:.0f} s "
              f"({1000 * seconds / games:.0f} ms each), {megabytes:.0f} MB held")  # fmt: skip


if __name__ == "__main__":
    main()
