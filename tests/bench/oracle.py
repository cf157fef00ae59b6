"""Thousands of random games of every league, kept by the engine and by a naive book beside it.

`python tests/bench/oracle.py` plays 2,000 games of each league, as `make bench` does; `--games`
changes that number. The tests do the same with twenty games. The exit status is 1 if the two books
ever differ.
"""

from __future__ import annotations

import argparse
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent.parent))

from callout.game.profile.file import load_profile, profile_names
from tests.game.test_oracle import one_game

FIRST_SEED = 1_000
"""The first seed; those of the tests are lower."""


def differs(name: str, seed: int) -> str:
    """The differences between the two books."""
    try:
        one_game(load_profile(name), seed)
    except AssertionError as error:
        return f"{name}, seed {seed}: {str(error).splitlines()[:1]}"
    return ""


def main() -> int:
    """Play all games, and print a line for each league."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--games", type=int, default=2_000)
    games = arguments.parse_args().games
    status = 0
    with ProcessPoolExecutor() as pool:
        for name in profile_names():
            began = time.monotonic()
            seeds = range(FIRST_SEED, FIRST_SEED + games)
            found = [each for each in pool.map(partial(differs, name), seeds, chunksize=50) if each]
            took = time.monotonic() - began
            print(f"{name:<20} {games} games, {len(found)} differ ({took:.0f} s)", flush=True)
            print("\n".join(found[:5]), end="\n" if found else "")
            status |= bool(found)
    return status


if __name__ == "__main__":
    sys.exit(main())
