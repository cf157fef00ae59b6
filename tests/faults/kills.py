"""kill -9 at random moments, SIGSTOP, a system date that jumps, a second program, orphans."""

from __future__ import annotations

import os
import random
import signal
import sys
import time
from itertools import pairwise
from pathlib import Path

from callout.game.state import At
from callout.table.book.journal import Journal
from tests.faults.playing import Live, booked, calls, lost, new_game
from tests.faults.result import Result

GAME_OF = 25
"""A new game is begun after this many kills."""


def killed(folder: Path, count: int) -> Result:
    """A game is killed at a random moment and resumed, again and again."""
    dice, missing, soon, unnamed = random.Random(), 0, [], 0
    for nth in range(count):
        if nth % GAME_OF == 0:
            game = new_game(folder, f"{nth}.game")
            confirmed = booked(game)
        before = booked(game)
        live = Live(game)
        live.type(calls(300))
        if dice.random() < 0.2:
            time.sleep(dice.uniform(0, 2.0))  # While it starts, often before the first call.
        else:
            soon.append(live.wait_for(1))
            time.sleep(dice.uniform(0, 0.4))
        live.kill()
        if live.answers:
            unnamed += f"Last booked: {before[-1]}" not in live.first()
        confirmed += live.said()
        book = booked(game)
        missing += lost(confirmed, book)
        confirmed = book
    return Result("kill -9, resumed", count, missing, soon, {"last call not named": unnamed})


def stopped(folder: Path, count: int, seconds: float = 30) -> Result:
    """SIGSTOP, like a laptop that sleeps: the clock goes on, and the next call is booked."""
    missing, soon, stood = 0, [], 0
    for nth in range(count):
        game = new_game(folder, f"stopped-{nth}.game")
        before, live = booked(game), Live(game)
        live.type(calls(5))
        live.wait_for(5)
        os.kill(live.process.pid, signal.SIGSTOP)
        time.sleep(seconds)
        os.kill(live.process.pid, signal.SIGCONT)
        woken = time.monotonic()
        live.type("home two number five\n")
        live.wait_for(6)
        soon.append(time.monotonic() - woken)
        live.end()
        missing += lost([*before, *live.said()], booked(game))
        *_, asleep, awake = _moments(game)
        stood += asleep.left_tenths - awake.left_tenths < 10 * seconds
    return Result(f"SIGSTOP {seconds:g} s", count, missing, soon, {"clock stood": stood})


JUMPING = """
import sys, time
real, seconds = time.time_ns, int(sys.argv.pop(1))
time.time_ns = lambda: real() + seconds * (-1) ** int(2 * time.monotonic()) * 10**9
from callout.__main__ import main
main()
"""
"""The program with a system date that is off by some seconds, now ahead and now behind, changing
every half second. No test may set the machine's own date."""


def dated(folder: Path, count: int) -> Result:
    """The system date is an hour off, in alternating directions, at the start and during a game."""
    game = new_game(folder)
    confirmed, soon = booked(game), []
    for nth in range(count):
        off = (3_600, -3_600, 0)[nth % 3]
        live = Live(game, before=(sys.executable, "-c", JUMPING, str(off)))
        live.type(calls(5))
        soon.append(live.wait_for(5))
        time.sleep(0.6)
        live.type(calls(5))
        live.wait_for(10)
        live.kill()
        confirmed += live.said()
    book = booked(game)
    back = sum(a.wall_ms > b.wall_ms for a, b in pairwise(_moments(game)))
    return Result("date jumps 1 h", count, lost(confirmed, book) + back, soon,
                  {"entries before the one before them": back})  # fmt: skip


def _moments(game: Path) -> list[At]:
    with Journal.open(game) as journal:
        return [entry.at for entry in journal.entries()]


def two_programs(folder: Path, count: int) -> Result:
    """A second program opens the same game: it is refused in one line, and the first goes on."""
    game = new_game(folder)
    before, first = booked(game), Live(game)
    first.type("home two number five\n")
    first.wait_for(1)
    wrong, soon = 0, []
    for nth in range(count):
        second = Live(game)
        status = second.end()
        told = f"callout: {game}: another program has this game open; close it there first\n"
        wrong += (status, second.errors) != (2, told)
        asked = time.monotonic()
        first.type("guest three number eight\n")
        first.wait_for(2 + nth)
        soon.append(time.monotonic() - asked)
    first.end()
    missing = lost([*before, *first.said()], booked(game))
    return Result("two programs", count, missing, soon, {"not refused": wrong})


def removed(folder: Path, count: int) -> Result:
    """The file is removed while it is open; the next call writes it again."""
    game = new_game(folder)
    before, live = booked(game), Live(game)
    said = 0
    for _ in range(count):
        live.type(calls(3))
        live.wait_for(said + 3)
        for path in folder.glob("x.game*"):
            path.unlink()
        live.type("home two number five\n")
        live.wait_for(said + 4)
        said += 4
    live.kill()
    return Result("file removed", count, lost([*before, *live.said()], booked(game)))


def orphans(folder: Path, count: int) -> Result:
    """The program is killed; its child processes must end."""
    left, soon = 0, []
    for nth in range(count):
        game = new_game(folder, f"orphan-{nth}.game")
        # Only with an empty phrase cache is a process of the voice started.
        nothing = {**os.environ, "XDG_CACHE_HOME": str(folder / f"cache-{nth}")}
        live = Live(game, "--voice", str(folder / f"{nth}.wav"), environment=nothing)
        live.type("home two number five\n")
        live.wait_for(1)
        children = _children(live.process.pid)
        end = time.monotonic() + 20
        while not children and time.monotonic() < end:
            time.sleep(0.05)
            children = _children(live.process.pid)
        live.kill()
        killed_s = time.monotonic()
        while any(map(_runs, children)) and time.monotonic() < killed_s + 10:
            time.sleep(0.02)
        left += sum(map(_runs, children)) + (not children)
        soon.append(time.monotonic() - killed_s)
    note = "seconds until they ended"
    return Result("parent killed: children end", count, left, soon, note=note)


def _children(pid: int) -> list[int]:
    found = Path(f"/proc/{pid}/task/{pid}/children")
    threads = Path(f"/proc/{pid}/task").glob("*/children") if found.exists() else ()
    return [int(child) for each in threads for child in each.read_text().split()]


def _runs(pid: int) -> bool:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False
