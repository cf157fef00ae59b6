"""What 100,000 tables on one Saturday would ask of a league's servers: measured, then simulated.

    .venv/bin/python tests/bench/league_size.py [--tables 100000] [--games 6]

A real PostgreSQL says how long its own processor takes for one send; a simulation then lets all
tables send at the end of each period, to so many cores, first come, first served. Not simulated:
the network, the disk, and connections, for which a pool stands in.
"""

from __future__ import annotations

import argparse
import heapq
import os
import random
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))
sys.path.insert(0, str(Path(__file__).parent))

from league import GAME_S, copy_of, league, whole_game

from callout.edges.league.sending import send
from callout.edges.league.server import connected
from tests.postgres import Postgres

PARTS = (0.25, 0.5, 0.75, 1.0)
MEASURED = 40
"""So many games are sent to find what a send takes."""
BETWEEN_S = 15 * 60
"""From the end of a game to the next on the same court."""
LATE_S = 10 * 60
"""A game begins up to so much later than its time: common practice, no source."""
CORES = (5, 6, 8, 12)


def server_s(server: Postgres) -> float:
    """The processor seconds of a server and of all its processes that have ended."""
    assert server.process is not None
    fields = Path(f"/proc/{server.process.pid}/stat").read_text().rpartition(")")[2].split()
    # Source: proc(5): utime, stime, cutime, cstime are the 14th to the 17th field.
    return sum(map(int, fields[11:15])) / os.sysconf("SC_CLK_TCK")


def measured() -> tuple[float, float, int]:
    """Processor seconds of the server for one send; kB on the disk for a game; entries of one."""
    base = whole_game()
    with league() as (server, name):
        size = f"SELECT pg_database_size('{name}')"
        before, began = int(server.sql(size)), server_s(server)
        for _ in range(MEASURED):
            parcel = copy_of(base)
            for part in PARTS:
                rows = parcel.rows[: round(len(parcel.rows) * part)]
                with connected(server.address("gym", name)) as connection:
                    send(connection, replace(parcel, rows=rows), time.time())
        time.sleep(1)  # Until the last of its processes has ended.
        spent = (server_s(server) - began) / (MEASURED * len(PARTS))
        return spent, (int(server.sql(size)) - before) / MEASURED / 1024, len(base.rows)


def arrivals(tables: int, games: int) -> list[float]:
    """When a send comes, in seconds of the day, for every table, in order."""
    rng, at = random.Random(24), []
    for _ in range(tables):
        for game in range(games):
            begins = game * (GAME_S + BETWEEN_S) + rng.random() * LATE_S
            length = GAME_S * rng.uniform(0.9, 1.1)
            at += [begins + length * part for part in PARTS]
    return sorted(at)


def waits(at: Sequence[float], cores: int, takes_s: float) -> Iterator[float]:
    """How long each send takes from its coming to its end, waiting included."""
    rng, free = random.Random(7), [0.0] * cores
    for comes in at:
        begins = max(comes, heapq.heappop(free))
        ends = begins + takes_s * rng.uniform(0.5, 1.5)
        heapq.heappush(free, ends)
        yield ends - comes


def main() -> None:
    """Measure, then simulate."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--tables", type=int, default=100_000)
    parser.add_argument("--games", type=int, default=6)
    asked = parser.parse_args()
    takes_s, game_kb, entries = measured()
    print(f"one send, a quarter of {entries} entries: {takes_s * 1000:.0f} ms of the server's "
          f"processor; a game: {game_kb:.0f} kB on the disk; load "
          f"{os.getloadavg()[0]:.0f}")  # fmt: skip
    at = arrivals(asked.tables, asked.games)
    minutes: dict[int, int] = {}
    for each in at:
        minutes[int(each // 60)] = minutes.get(int(each // 60), 0) + 1
    most, day_gb = max(minutes.values()) / 60, asked.tables * asked.games * game_kb / 1024**2
    print(f"{asked.tables:,} tables, {asked.games} games each: {len(at):,} sends, {most:,.0f} a "
          f"second in the busiest minute, {len(at) / (at[-1] - at[0]):,.0f} in the mean; "
          f"{day_gb:,.0f} GB a day")  # fmt: skip
    for cores in CORES:
        took = sorted(waits(at, cores, takes_s))
        print(f"  {cores} cores: a send takes {took[len(took) // 2]:.2f} s in the median, "
              f"{took[int(len(took) * 0.99)]:.2f} s at the 99th percentile, {took[-1]:.1f} s at "
              f"most", flush=True)  # fmt: skip


if __name__ == "__main__":
    main()
