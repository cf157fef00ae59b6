"""The mishaps of one Saturday: four games in four leagues, by voice, by keys and by one switch.

Each script expects what the rules of its league say, and ends with the book added up by hand; that
is played by `test_games.py`. Here the same games are made by hands, and their sheets are read back.
"""

from __future__ import annotations

from collections import Counter
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from callout.paper.export import Recorded
from callout.paper.text import book_text
from callout.table.book.journal import Journal
from callout.table.scripts.script import Runner, read_script
from callout.table.view import view
from tests.english import WORDS
from tests.paper.sheet.test_printed import adds_up
from tests.table.pressing import GRAMMAR, ByKeys, BySwitch, Pieces

FOLDER = Path(__file__).parent.parent / "games" / "saturday"
GAMES = sorted(FOLDER.glob("*.game"))
ROUTINE = {
    "start clock", "stop clock", "start period", "end game", "tip home", "home timeout",
    "timeout over", "undo that", "yes", "no",
}  # fmt: skip
"""What is called in every game, and again and again; every other call is made once."""
HOW_CALLED = ("entries", "undone", "notices", "refusals")
"""The figures that tell how the game was called: a number called apart is an entry of its own."""

each_game = pytest.mark.parametrize("path", GAMES, ids=lambda path: path.stem)


def said(path: Path) -> list[str]:
    """Every call of a script."""
    return [line.words for line in read_script(path).said()]


@cache
def in_whole_sentences(path: Path) -> Runner:
    """The game as its script says it."""
    script = read_script(path)
    runner = Runner(script, GRAMMAR, Journal.in_memory(script.setup))
    runner.run()
    return runner


def book(shown: dict[str, Any]) -> dict[str, Any]:
    """What a game's JSON says of the game, however it was called."""
    return {key: value for key, value in shown.items() if key not in HOW_CALLED}


def test_four_leagues_and_more_than_120_calls_no_two_alike() -> None:
    assert len({read_script(path).setup.profile for path in GAMES}) == len(GAMES) == 4
    times = Counter(words for path in GAMES for words in said(path))
    assert {words for words, count in times.items() if count > 1} <= ROUTINE
    assert len(set(times) - ROUTINE) >= 200


@pytest.mark.thorough
def test_nearly_every_kind_of_call_about_a_game_is_among_them() -> None:
    """What is missing is of other leagues, of other days, or for the table itself."""
    made = {
        type(entry.call).__name__
        for path in GAMES
        for entry in in_whole_sentences(path).session.entries
    }
    assert made >= {
        "AddPlayer", "AdjustClock", "ChangeShirt", "CheckClock", "CheckScore", "Correct",
        "DeadBall", "DelayWarning", "DoubleFoul", "EndGame", "EndPeriod", "Forfeit", "Foul",
        "HeldBall", "Hurt", "LaneViolation", "MakeNumber", "MakePoints", "MakeTeam",
        "Mark", "NoBasket", "Number", "OfficialTimeout", "Score", "SendOff", "SetArrow",
        "SetAward", "SetClock", "SetScore", "Shot", "StartClock", "StartPeriod", "Starter",
        "StopClock", "SubsIn", "SubWaiting", "SubWithdrawn", "Substitution", "Suspend",
        "SwitchArrow", "ThrowInViolation", "Timeout", "TimeoutOver", "TimeoutWaiting",
        "TimeoutWithdrawn", "Tip", "TooManyOn", "Undo",
    }  # fmt: skip


@pytest.mark.thorough
@each_game
def test_by_keys_alone_and_by_one_switch_it_is_the_same_game(path: Path) -> None:
    session = in_whole_sentences(path).session
    whole = view(session.game, session.now().left_tenths, session.journal.replies())
    pieces, keys, switch = Pieces(path), ByKeys(path), BySwitch(path)
    in_pieces = pieces.result()
    assert book(in_pieces) == book(whole)
    # Called in the same pieces, the whole JSON is the same, each notice and refusal in it.
    assert keys.result() == in_pieces
    # What would be refused is not read, so that it cannot be chosen.
    assert {**switch.result(), "refusals": []} == {**in_pieces, "refusals": []}
    assert len(switch.unread) == len(in_pieces["refusals"])


@pytest.mark.thorough
@each_game
def test_the_text_of_the_book_adds_up(path: Path) -> None:
    """Players, and points of no player, and periods, read from the text alone."""
    session = in_whole_sentences(path).session
    setup, left = session.journal.setup, session.now().left_tenths
    lines = book_text(session.game, setup, left, WORDS, "mark").splitlines()
    teams = (setup.home.name, setup.guest.name)
    totals = [_total(lines, name) for name in teams]
    assert lines[0] == f"{teams[0]} {totals[0]}, {teams[1]} {totals[1]}"
    for name, total in zip(teams, totals, strict=True):
        below = lines[lines.index(name) + 2 :]
        nobody = next(line for line in below if line.startswith("Points of no player"))
        rows = [line.split() for line in below[: below.index(nobody)]]
        assert sum(map(_points, rows)) + int(nobody.split()[4].rstrip(";")) == total


@pytest.mark.thorough
@each_game
def test_the_printed_sheet_adds_up(path: Path) -> None:
    """Players, running score, periods and final score, read back from the PDF of the league."""
    session = in_whole_sentences(path).session
    setup, left = session.journal.setup, session.now().left_tenths
    entries = tuple(session.entries)
    game = Recorded(path.stem, setup, session.game, entries, left, "1f2e-0a9b-77c1-d03e-5a44")
    adds_up(game, setup.rules().sheet.form)


def _total(lines: list[str], team: str) -> int:
    """A team's score in the table of periods, which must be the sum of its periods."""
    row = next(line for line in lines[lines.index("") :] if line.startswith(team))
    *periods, total = map(int, row.removeprefix(team).split())
    assert sum(periods) == total
    return total


def _points(row: list[str]) -> int:
    """A player's points, which are his threes, twos and ones."""
    points, threes, twos, ones = map(int, row[1:5])
    assert points == 3 * threes + 2 * twos + ones
    return points
