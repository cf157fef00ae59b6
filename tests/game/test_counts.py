"""How many games there are: sequences of calls that the book takes, counted to depth three.

A small alphabet of calls, tried in every order, as chess programs count their moves. A rule that
lets in or keeps out one call more changes a count. The counts are this engine's own, looked
through when they were written down; nothing published has them.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from callout.game import calls
from callout.game.calls import Call, Foul, Score, Shot, Timeout
from callout.game.decide import Refusal
from callout.game.profile.file import load_profile, profile_names
from callout.game.profile.profile import Profile
from callout.game.terms import FoulKind
from tests.game.play import GUEST, HOME, Play
from tests.quick import thorough_but

ALPHABET: tuple[Call, ...] = (
    calls.StartClock(),
    calls.StopClock(),
    calls.Tip(HOME),
    Score(HOME, 2, "4"),
    Score(GUEST, 3, "14"),
    Shot(True),
    Foul(GUEST, "14"),
    Foul(HOME, "4", FoulKind.TECHNICAL),
    Foul(GUEST, "15", FoulKind.UNSPORTSMANLIKE),
    Timeout(HOME),
    calls.EndPeriod(),
    calls.Undo(),
)
DEPTH = 3


def beginning(profile: Profile) -> Play:
    """Before the first call."""
    return Play(profile)


def late(profile: Profile) -> Play:
    """A minute before the end, four team fouls on guest, three of them on one player."""
    play = Play(profile).start().take(calls.Tip(HOME)).to_left(profile.periods.count, 60)
    return play.take(*[Foul(GUEST, "14")] * 3, Foul(GUEST, "15"), calls.StopClock())


def count(play: Play, depth: int) -> tuple[list[int], int]:
    """Sequences taken at each depth from here, and the notices that they bring in all."""
    found, said = [0] * depth, 0
    for call in ALPHABET:
        before = play.game, list(play.entries), play.now_ms, play.notices
        if not isinstance(play.wait(1).call(call), Refusal):
            found[0] += 1
            said += len(play.notices)
            if depth > 1:
                deeper, more = count(play, depth - 1)
                found[1:] = [a + b for a, b in zip(found[1:], deeper, strict=True)]
                said += more
        play.game, play.entries, play.now_ms, play.notices = before
    return found, said


GOLDEN: dict[str, tuple[list[int], int, list[int], int]] = {
    "fiba-2022": ([8, 75, 709], 1489, [10, 102, 1050], 2593),
    "fiba-2024": ([8, 75, 709], 1489, [10, 102, 1050], 2593),
    "fiba-3x3": ([7, 59, 501], 1082, [9, 82, 753], 1690),
    "nba-2026": ([7, 58, 482], 848, [10, 98, 948], 2032),
    "ncaa-men-2026": ([7, 58, 483], 931, [9, 81, 731], 1637),
    "ncaa-women-2026": ([7, 58, 483], 917, [9, 82, 753], 1847),
    "nfhs-2022": ([7, 58, 483], 929, [9, 81, 731], 1600),
    "nfhs-2026": ([7, 58, 483], 929, [9, 82, 753], 1810),
    "nfhs-halves": ([7, 58, 483], 943, [9, 81, 731], 1600),
    "rec-running-clock": ([7, 58, 483], 944, [9, 81, 731], 1630),
    "youth-6-minute": ([7, 58, 483], 929, [9, 81, 731], 1600),
    "youth-7-minute": ([7, 58, 483], 929, [9, 81, 731], 1600),
}  # fmt: skip
"""Of each league: the counts from the beginning and the notices, and the same a minute before
the end."""


QUICK = ("fiba-2024", "fiba-3x3", "nba-2026", "ncaa-women-2026", "nfhs-2026")
"""Leagues that are counted each time; the others where there are minutes."""


@pytest.mark.parametrize(("start", "at"), [(beginning, 0), (late, 2)])
@pytest.mark.parametrize(
    "profile",
    thorough_but(profile_names(), QUICK),
    indirect=True,
)
def test_as_many_games_as_ever(profile: Profile, start: Callable[[Profile], Play], at: int) -> None:
    found = count(start(profile), DEPTH)
    assert found == tuple(GOLDEN[profile.name][at : at + 2])


def test_counted_by_hand() -> None:
    # Before the first call: the clock may be started, the tip, two goals, two fouls (here is no
    # unsportsmanlike) and a time-out be called; the period be neither stopped nor ended, no throw
    # without its team, nothing to undo.
    found, _ = count(beginning(load_profile("nfhs-2026")), 1)
    assert found == [7]
