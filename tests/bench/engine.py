"""Speed of the rules engine: deciding and applying one call, folding a whole game, and growth.

And of a game by voice through a whole session, its journal in memory.

Run it as `python tests/bench/engine.py`; `--long` adds a game of 60,000 events, which takes some
minutes. It prints figures and never fails.
"""

from __future__ import annotations

import statistics
import sys
import time
import tracemalloc
from dataclasses import dataclass
from random import Random

from callout.game.apply import apply
from callout.game.calls import (
    Call,
    EndPeriod,
    Foul,
    Number,
    Score,
    Shot,
    StartClock,
    StopClock,
    Timeout,
    Undo,
)
from callout.game.decide import Refusal, decide
from callout.game.fold import Entry, advance, fold, new_game
from callout.game.notices.after_entry import notices
from callout.game.profile.file import load_profile
from callout.game.state import At, Game, Side
from callout.game.terms import Award, Team
from callout.language.folder import load_grammar
from callout.table.book.journal import Journal
from callout.table.clock import SimulatedTime
from callout.table.language import english, replies_of
from callout.table.session import Session
from callout.table.setup.roster import parse_roster
from callout.table.setup.setup import Listed, Setup
from callout.table.talk.questions import SPOKEN

HOME = Side("Harbour Kites", ("4", "5", "7", "10", "11", "12", "23"))
GUEST = Side("Quarry Foxes", ("3", "5", "8", "14", "15", "20", "33"))
EVENTS_A_GAME = 600


@dataclass(frozen=True, slots=True)
class Timed:
    """A game that was kept call by call, with the time of each call."""

    start: Game
    entries: list[Entry]
    decided_us: list[float]
    """The time to decide and apply each call, in microseconds."""
    kept_us: list[float]
    """The same with notices, and with the fold of the game after an undo."""


def random_call(random: Random, award: Award | None) -> Call:
    """A random call as a table hears it; with `award` None the rules decide a foul's throws."""
    team = random.choice(list(Team))
    number = random.choice((HOME if team is Team.HOME else GUEST).numbers)
    calls: list[tuple[int, Call]] = [
        (30, Score(team, random.choice((2, 3)), random.choice((number, None)))),
        (20, Foul(team, number, award=award)),
        (20, Shot(random.random() < 0.6, team, number)),
        (10, StartClock()),
        (10, StopClock()),
        (5, Number(number)),
        (2, Timeout(team)),
        (1, Undo()),
        (1, EndPeriod()),
    ]
    possible = [call for _, call in calls]
    return random.choices(possible, [weight for weight, _ in calls])[0]


def keep(events: int, whole: bool = True, by_rule: bool = True) -> Timed:
    """A random game of `events` events; unless `whole`, without notices and without undo."""
    random = Random(1)
    start = new_game(load_profile("nfhs-2026"), HOME, GUEST)
    game, timed, made = start, Timed(start, [], [], []), 0
    while made < events:
        call = random_call(random, None if by_rule else Award.NONE)
        if isinstance(call, Undo) and not whole:
            continue
        at = At(game.clock.left_at(1000 * made), 1000 * made)
        began = time.thread_time_ns()
        decision = decide(game, call, at)
        if isinstance(decision, Refusal):
            continue
        after = game
        for event in decision:
            after = apply(after, event)
        timed.decided_us.append((time.thread_time_ns() - began) / 1000)
        entry = Entry(game.entry + 1, call, "bench", at, decision)
        after = advance(start, timed.entries, game, entry)
        if whole:
            notices(game, entry, after)
        timed.kept_us.append((time.thread_time_ns() - began) / 1000)
        timed.entries.append(entry)
        game, made = after, made + len(decision)
    return timed


def spoken_game(seconds: int) -> tuple[int, float]:
    """A game of one call a second by voice; its entries, and the seconds that they took.

    As at a table, each call is weighed before it is taken. What is asked stays unanswered.
    """
    home, guest = (Listed(s.name, parse_roster(" ".join(s.numbers))) for s in (HOME, GUEST))
    setup, now, random = Setup("nfhs-2026", home, guest), SimulatedTime(), Random(1)
    session = Session(Journal.in_memory(setup), replies_of(load_grammar(english())), now)
    began = time.thread_time()
    for second in range(seconds):
        now.set(1000 * second)
        call = random_call(random, None)
        if session.prior(call) == 1.0:
            session.take(call, SPOKEN)
    return len(session.entries), time.thread_time() - began


def percentile(values: list[float], percent: int) -> float:
    """A percentile of the values."""
    return statistics.quantiles(values, n=100)[percent - 1]


def fold_s(timed: Timed, rounds: int) -> float:
    """The time of one fold of the whole game, in seconds: the best of some rounds.

    All times here are processor time, so that other work on the machine does not count.
    """
    took = []
    for _ in range(rounds):
        began = time.thread_time()
        fold(timed.start, timed.entries)
        took.append(time.thread_time() - began)
    return min(took)


def memory_kb(timed: Timed) -> float:
    """The memory of the folded game, without its entries, in kilobytes."""
    tracemalloc.start()
    game = fold(timed.start, timed.entries)
    used, _ = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert game.entry == len(timed.entries)
    return used / 1000


def show(events: int, timed: Timed, rounds: int, weigh: bool) -> float:
    """Print one line of figures; the seconds of one fold."""
    took = fold_s(timed, rounds)
    decided, kept = timed.decided_us, timed.kept_us
    print(
        f"{events:>8} {statistics.median(decided):>9.1f} {percentile(decided, 99):>8.1f}"
        f" {statistics.median(kept):>10.1f} {percentile(kept, 99):>8.0f}"
        f" {1000 * took:>10.1f} {events / took:>10.0f}",
        f"{memory_kb(timed):>8.0f}" if weigh else f"{'-':>8}",
    )
    return took


def main() -> None:
    """Print figures of one game, of one ten times as long, and with `--long` a hundred times."""
    print(f"Python {sys.version.split()[0]}; random games under the high school rules")
    print("decide: one call decided and applied; keep: with its notices, and a new fold where an")
    print("entry is taken back (in longer games without either, and in the longest every foul")
    print("comes with its throws said); processor time")
    print(f"{'':>8} {'decide, µs':>18} {'keep, µs':>19} {'fold':>21}")
    print(f"{'events':>8} {'median':>9} {'p99':>8} {'median':>10} {'p99':>8}", end="")
    print(f" {'ms':>10} {'events/s':>10} {'kB':>8}")
    took = []
    lengths = ((1, 20), (10, 3), (100, 1)) if "--long" in sys.argv else ((1, 20), (10, 3))
    for times, rounds in lengths:
        timed = keep(EVENTS_A_GAME * times, times == 1, times < 100)
        took.append(show(EVENTS_A_GAME * times, timed, rounds, times < 100))
    for (times, _), each in zip(lengths[1:], took[1:], strict=True):
        print(f"a game {times} times as long takes {each / took[0]:.1f} times as long to fold")
    entries, spoken_s = min((spoken_game(1_000) for _ in range(3)), key=lambda game: game[1])
    print(
        f"a game by voice through the session: {entries} entries, {entries / spoken_s:.0f} a second"
    )


if __name__ == "__main__":
    main()
