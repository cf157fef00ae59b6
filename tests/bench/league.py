"""A league's server under load: many tables at once, and a long season.

    .venv/bin/python tests/bench/league.py [--tables 300] [--speed 50] [--games 20000]

Needs PostgreSQL's programs on this machine: a server of its own is started, and what that has
confirmed is on the disk (fsync on). The tables are threads of this program, and share the cores.
"""

from __future__ import annotations

import argparse
import os
import random
import socket
import statistics
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import astuple, dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

sys.path.insert(0, str(Path(__file__).parents[2]))

from callout.edges.league import answers
from callout.edges.league.migrations import migrate
from callout.edges.league.results import catch_up, rebuild
from callout.edges.league.sending import send
from callout.edges.league.server import LeagueError, UnreachableError, connected
from callout.edges.league.setting_up import add_fixtures, found
from callout.league.fixtures import Fixture
from callout.league.parcel import Parcel, parcel_of, read_parcel
from callout.league.ranking import known_rankings
from callout.league.result import result_of
from callout.table.book.chain import first_hash, next_hash
from tests.postgres import OWNER, Postgres, postgres_server, programs
from tests.table.play import Table

if TYPE_CHECKING:
    from callout.edges.league.server import Connection

CALLS = ("home two number five", "guest three number fourteen", "guest foul five", "home foul four",
         "home three number ten", "guest two number thirty")  # fmt: skip
ENTRIES = 240
"""As many as a game of four quarters has."""
GAME_S = 90 * 60
BARE = b"\xff"
"""How the ids of games without entries begin."""
LIVE = 300
"""So many games go on."""
SIGNED = 0.995
"""So many of the results that have no entries are of approved books."""
ROLES = """
CREATE ROLE gym LOGIN IN ROLE callout_table;
CREATE ROLE secretary LOGIN IN ROLE callout_secretary;
"""


def whole_game() -> Parcel:
    """A game of that many entries."""
    table, rng = Table(), random.Random(24)
    table.say("start clock")
    while table.game.entry < ENTRIES - 13:
        table.time.set(table.time.wall_ms() + 4_000)
        table.say(rng.choice(CALLS))
    for _ in range(5):
        table.say("end period", "yes")
        if table.game.phase.value == "over":
            break
        table.say("start clock", "yes")
    table.say("officials approve", "yes")
    return parcel_of(table.journal)


def copy_of(parcel: Parcel) -> Parcel:
    """The same game under another id, with its own chain."""
    game = b"\0" + os.urandom(15)
    start = former = first_hash(game, parcel.header)
    rows = []
    for row in parcel.rows:
        own = next_hash(game, former, row[:7])
        rows.append((*row[:7], former, own))
        former = own
    return replace(parcel, game=game, start=start, rows=tuple(rows))


# --- many tables ----------------------------------------------------------------------------------


class Cutter:
    """A network between the tables and the server, which cuts connections at random."""

    def __init__(self, port: int, share: float) -> None:
        self.to, self.share, self.cuts, self.rng = port, share, 0, random.Random(7)
        self.listening = socket.create_server(("127.0.0.1", 0), backlog=512)
        self.port = self.listening.getsockname()[1]
        threading.Thread(target=self._accept, daemon=True).start()

    def _accept(self) -> None:
        while True:
            with suppress(OSError):
                near, _ = self.listening.accept()
                left = self.rng.randrange(200_000) if self.rng.random() < self.share else None
                threading.Thread(target=self._join, args=(near, left), daemon=True).start()

    def _join(self, near: socket.socket, left: int | None) -> None:
        try:
            far = socket.create_connection(("127.0.0.1", self.to), timeout=10)
        except OSError:
            near.close()
            return
        budget = [left]
        other = threading.Thread(target=self._pump, args=(far, near, budget), daemon=True)
        other.start()
        self._pump(near, far, budget)

    def _pump(self, source: socket.socket, sink: socket.socket, budget: list[int | None]) -> None:
        try:
            while data := source.recv(65536):
                if budget[0] is not None:
                    budget[0] -= len(data)
                    if budget[0] < 0:
                        self.cuts += 1
                        break
                sink.sendall(data)
        except OSError:
            pass
        for each in (source, sink):
            with suppress(OSError):
                each.shutdown(socket.SHUT_RDWR)
            each.close()


@dataclass
class Crew:
    """One table: its game is sent at each period's end and at the close."""

    parcel: Parcel
    address: str
    seed: int
    took: list[float] = field(default_factory=list)
    failed: int = 0
    refused: list[str] = field(default_factory=list)
    done_s: float = 0.0

    def play(self, seconds: float) -> None:
        """Play it."""
        rng, count = random.Random(self.seed), len(self.parcel.rows)
        time.sleep(rng.random() * 5)
        began = time.monotonic()
        for part in (0.25, 0.5, 0.75, 1.0):
            wait = began + seconds * part - time.monotonic()
            time.sleep(max(0.0, wait))
            self._send(replace(self.parcel, rows=self.parcel.rows[: round(count * part)]), rng)
        self.done_s = time.monotonic()

    def _send(self, parcel: Parcel, rng: random.Random) -> None:
        while True:
            began = time.monotonic()
            try:
                with connected(self.address) as connection:
                    send(connection, parcel, time.time())
            except UnreachableError:
                self.failed += 1
                time.sleep(0.5 + rng.random())
                continue
            except LeagueError as error:
                self.failed += 1
                self.refused.append(str(error))
                time.sleep(0.5 + rng.random())
                continue
            self.took.append(time.monotonic() - began)
            return


def many_tables(server: Postgres, database: str, count: int, speed: float) -> None:
    """Play games at many tables at once, and kill the server in the middle."""
    base, cutter = whole_game(), Cutter(server.port, 0.3)
    address = f"postgresql://gym@127.0.0.1:{cutter.port}/{database}"
    crews = [Crew(copy_of(base), address, nth) for nth in range(count)]
    seconds = GAME_S / speed
    most, stopped = [0], threading.Event()
    threads = [threading.Thread(target=each.play, args=(seconds,)) for each in crews]
    watch = threading.Thread(target=_watch, args=(server, database, most, stopped))
    began = time.monotonic()
    for each in [*threads, watch]:
        each.start()
    time.sleep(seconds * 0.5 + 1)
    server.kill()
    time.sleep(5)
    server.start()
    for each in threads:
        each.join()
    last = max(crew.done_s for crew in crews) - began
    stopped.set()
    watch.join()
    took = sorted(t for crew in crews for t in crew.took)
    lost, doubled = _compare(server, database, crews)
    refused = {words for crew in crews for words in crew.refused}
    print(f"{count} tables, {len(base.rows)} entries each, at {speed:g} times the speed "
          f"({seconds:.0f} s a game), a third of connections cut at random, the server killed once "
          f"and down for 5 s:")  # fmt: skip
    print(f"  entries lost {lost}, doubled {doubled}; sends that failed and were tried again "
          f"{sum(c.failed for c in crews)}; connections cut {cutter.cuts}; other errors "
          f"{sorted(refused)}")  # fmt: skip
    print(f"  the last was in {last - seconds:.1f} s after the games' nominal end; a send took "
          f"{statistics.median(took):.2f} s in the median, {took[int(len(took) * 0.95)]:.2f} s at "
          f"the 95th percentile, {took[-1]:.2f} s at most; most connections at once "
          f"{most[0]}")  # fmt: skip
    size = server.sql(f"SELECT pg_size_pretty(pg_database_size('{database}'))")
    print(f"  the database has {size}; machine's load {os.getloadavg()[0]:.1f}", flush=True)


def _watch(
    server: Postgres, database: str, most: list[int], stopped: threading.Event
) -> None:  # fmt: skip
    query = f"SELECT count(*) FROM pg_stat_activity WHERE datname = '{database}'"
    while not stopped.wait(1):
        with suppress(AssertionError):
            most[0] = max(most[0], int(server.sql(query)))


def _compare(server: Postgres, database: str, crews: list[Crew]) -> tuple[int, int]:
    """How many entries are lost, and how many are there that should not be."""
    rows = server.sql(
        "SELECT encode(game, 'hex'), version, number, encode(hash, 'hex') FROM callout.entry",
        database,
    )
    there = [tuple(line.split("|")) for line in rows.splitlines()]
    wanted = {
        (crew.parcel.game.hex(), "1", str(row[0]), row[8].hex())
        for crew in crews
        for row in crew.parcel.rows
    }
    return len(wanted - set(there)), len(there) - len(wanted & set(there))


# --- a season -------------------------------------------------------------------------------------


def season(server: Postgres, database: str, games: int, whole: int, label: str) -> None:
    """Time each answer over so many games, and a rebuild over those that have entries."""
    base = whole_game()
    with connected(server.address("secretary", database), 600_000) as connection:
        number = found(connection, "Long League", label, "nfhs-2026",
                       known_rankings()["fiba"], False)  # fmt: skip
        teams = [f"Team {nth:03}" for nth in range(200)]
        pairs = [(a, b) for a in teams for b in teams if a != b][:games]
        add_fixtures(connection, number,
                     [Fixture(f"{label} {nth}", *pair)
                      for nth, pair in enumerate(pairs)])  # fmt: skip
    began = time.monotonic()
    with connected(server.address(OWNER, database), 3_600_000) as connection:
        _load(connection, number, base, games, whole)
        connection.execute("ANALYZE")
    print(f"{games:,} games, {whole:,} of them with their {len(base.rows)} entries each, loaded by "
          f"COPY with all guards on in {time.monotonic() - began:.0f} s")  # fmt: skip
    with connected(server.address("secretary", database), 600_000) as connection:
        began = time.monotonic()
        catch_up(connection)
        print(f"  new books counted, and all sums made, in {time.monotonic() - began:.1f} s")
        for ask in (answers.table, answers.leaders, answers.discipline, answers.missing,
                    answers.live):  # fmt: skip
            times = []
            for _ in range(5):
                began = time.monotonic()
                ask(connection, number)
                times.append(1000 * (time.monotonic() - began))
            print(f"  {ask.__name__}: {statistics.median(times):.0f} ms, at best {min(times):.0f}")
        began = time.monotonic()
        stale = connection.execute("SELECT callout.check_sums()").fetchall()
        print(f"  all sums compared with what the results make in "
              f"{time.monotonic() - began:.1f} s: {len(stale)} teams differed")  # fmt: skip
        if not whole:
            return
        began, cpu, last = time.monotonic(), time.process_time(), None
        for last in rebuild(connection):
            if last.games >= whole:
                break
        took = time.monotonic() - began
        assert last is not None
        # The last batch may hold books without entries, whose results are made up.
        wrong = [game for game, *_ in last.differing if game < BARE]
        print(f"  rebuild: {last.entries:,} entries of {last.games:,} books in {took:.0f} s, "
              f"{last.entries / took:,.0f} a second ({time.process_time() - cpu:.0f} s of "
              f"processor time here); {len(wrong)} differed", flush=True)  # fmt: skip


def _load(connection: Connection, number: int, base: Parcel, games: int, whole: int) -> None:
    """Copies of one game: those beyond `whole` have results alone."""
    made = result_of(*read_parcel(base))
    rng = random.Random(1)
    query = "SELECT id FROM callout.fixture WHERE season = %s ORDER BY id"
    keys = [row[0] for row in connection.execute(query, (number,)).fetchall()]
    # Ids that sort first, so that a rebuild meets the games with entries first.
    copies = [copy_of(base) if nth < whole else None for nth in range(games)]
    ids = [each.game if each else BARE + os.urandom(15) for each in copies]
    with connection.transaction(), connection.cursor() as cursor:
        with cursor.copy("COPY callout.game (id) FROM STDIN") as copy:
            for each in ids:
                copy.write_row((each,))
        with cursor.copy("COPY callout.version (game, version, header, start) FROM STDIN") as copy:
            for each in ids:
                copy.write_row((each, 1, base.header, first_hash(each, base.header)))
        places = [(number, key, each) for key, each in zip(keys, ids, strict=True)]
        cursor.executemany(
            "UPDATE callout.game SET season = %s, fixture = %s WHERE id = %s", places
        )
        with cursor.copy("COPY callout.entry (game, version, number, call, fields, source, "
                         "left_tenths, wall_ms, events, former, hash) "
                         "FROM STDIN") as copy:  # fmt: skip
            for parcel in filter(None, copies):
                for row in parcel.rows:
                    copy.write_row((parcel.game, 1, *row))
        bare = ids[whole:]
        with cursor.copy("COPY callout.result (game, version, entries, over, period, home, guest, "
                         "signed) FROM STDIN") as copy:  # fmt: skip
            for each in bare:
                score = rng.randint(30, 90), rng.randint(91, 99)
                copy.write_row((each, 1, 240, True, 4, *score, rng.random() < SIGNED))
        with cursor.copy("COPY callout.player_line (game, version, side, number, points, made_1, "
                         "made_2, made_3, missed_1, fouls) FROM STDIN") as copy:  # fmt: skip
            for each in bare:
                for line in made.lines:
                    copy.write_row((each, 1, *astuple(line)))
        cursor.execute("UPDATE callout.version SET uncounted = false WHERE game > '\\xff'")
        # Each game was sent four times, all but the last 300 long ago.
        cursor.execute("UPDATE callout.version SET closed_at = now() WHERE game <> ALL (%s)",
                       (ids[-LIVE:],))  # fmt: skip
        with cursor.copy("COPY callout.sending (game, version, received_at, entries, clock_off_s, "
                         "program) FROM STDIN") as copy:  # fmt: skip
            for each in ids:
                at = "now" if each in ids[-LIVE:] else "yesterday"
                for _ in range(4):
                    copy.write_row((each, 1, at, 60, 0.0, "0.1.0"))


@contextmanager
def league() -> Iterator[tuple[Postgres, str]]:
    """A server with the league's tables."""
    with postgres_server(durable=True) as server:
        name = server.database()
        with connected(server.address(OWNER, name)) as connection:
            migrate(connection)
        server.sql(ROLES)
        yield server, name


def main() -> None:
    """Measure both."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--tables", type=int, default=300)
    parser.add_argument("--speed", type=float, default=50)
    parser.add_argument("--games", type=int, default=20_000)
    parser.add_argument("--whole", type=int, default=1_000)
    asked = parser.parse_args()
    if programs() is None:
        print("No PostgreSQL server is installed: the league is left out.")
        return
    if asked.tables:
        with league() as (server, name):
            many_tables(server, name, asked.tables, asked.speed)
    if asked.games:
        with league() as (server, name):
            season(server, name, asked.games // 10, min(asked.whole, asked.games // 10), "small")
            season(server, name, asked.games, 0, "large")


if __name__ == "__main__":
    main()
