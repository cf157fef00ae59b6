"""The screen of the partner: what stands on it, at any width, and when it is drawn.

What each figure must be is given by hand; the shapes of large digits are read back by eye here.
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from rich.console import Console

from callout.edges.live.screen import DIGITS, LATEST, Board, large, screen
from tests.patience import HANG_S

NAMES = {"home": "Harbour Kites", "guest": "Quarry Foxes"}
DEMO = Path(__file__).parents[2] / "games" / "demo.game"


def player(fouls: int, out: bool = False) -> dict[str, Any]:
    return {"fouls": fouls, "out": out}


def view(**changes: Any) -> dict[str, Any]:
    given = {
        "phase": "running",
        "period": 2,
        "clock_tenths": 4_610,
        "clock_running": True,
        "score": {"home": 24, "guest": 9},
        "team_fouls": [{"home": 1, "guest": 2}, {"home": 5, "guest": 3}],
        "penalty": {"home": "one-and-one", "guest": "none"},
        "timeouts_left": {"home": 4, "guest": 2},
        "arrow": "guest",
        "players": {
            "home": {"4": player(0), "11": player(4), "12": player(1)},
            "guest": {"8": player(5, out=True)},
        },
        "open": {"home": {"points": 0, "fouls": 0}, "guest": {"points": 0, "fouls": 0}},
    }
    return {**given, **changes}


def drawn(of: dict[str, Any], width: int = 100, **more: Any) -> str:
    out = io.StringIO()
    Console(file=out, width=width, color_system=None).print(screen(of, NAMES, **more))
    return out.getvalue()


def cells(text: str, name: str) -> list[str]:
    """The home cell, the name and the guest cell of a row of the table."""
    (line,) = [line for line in text.splitlines() if name in line]
    return [cell.strip() for cell in line.strip("│").split("│")]


def test_large_digits_are_as_drawn() -> None:
    assert large("1").splitlines() == ["  ██  ", "████  ", "  ██  ", "  ██  ", "██████"]
    assert large("7:0").splitlines()[1] == "    ██  ██  ██  ██"
    for rows in DIGITS.values():
        assert len(rows) == 5
        assert len({len(row) for row in rows}) == 1
    assert len({large(sign) for sign in DIGITS}) == len(DIGITS)


@pytest.mark.parametrize("width", [80, 100, 160])
@pytest.mark.parametrize(("home", "tenths", "guest"), [(24, 4_610, 9), (103, 6_000, 99)])
def test_score_and_clock_stand_large_side_by_side(
    width: int, home: int, tenths: int, guest: int
) -> None:
    of = view(score={"home": home, "guest": guest}, clock_tenths=tenths)
    lines = drawn(of, width).splitlines()
    assert lines[0].split() == ["Harbour", "Kites", "Period", "2,", "running", "Quarry", "Foxes"]
    clock = f"{tenths // 600}:{tenths // 10 % 60:02}"
    for row in range(5):
        at = 0
        for text in (str(home), clock, str(guest)):
            part = large(text).splitlines()[row].strip()
            assert part in lines[1 + row][at:]
            at = lines[1 + row].index(part, at) + len(part)


@pytest.mark.parametrize("width", [30, 40, 60])
def test_on_a_narrow_terminal_no_digit_is_cut_off(width: int) -> None:
    """A large 128 that is cut off reads 12; what has no room for its columns stands small."""
    of = view(score={"home": 128, "guest": 9}, clock_tenths=7_540)
    shown = drawn(of, width).partition("┌")[0]
    assert "…" not in shown
    for figure in ("128", "12:34", "9"):
        rows = [row for row in large(figure).splitlines() if row.rstrip() not in shown]
        assert not rows or figure in shown, figure
    assert "12:34" in shown


def test_digits_stand_in_line() -> None:
    lines = drawn(view(score={"home": 5, "guest": 0}, clock_tenths=6_000)).splitlines()[1:6]
    start = min(len(line) - len(line.lstrip()) for line in lines)
    assert [line[start : start + 6].rstrip() for line in lines] == [
        row.rstrip() for row in large("5").splitlines()
    ]


def test_every_figure_stands_with_its_team() -> None:
    text = drawn(view())
    assert cells(text, "Team fouls") == ["5", "Team fouls", "3"]
    assert cells(text, "Next foul") == ["1 and 1", "Next foul", "no shots"]
    assert cells(text, "Time-outs left") == ["4", "Time-outs left", "2"]
    assert cells(text, "throw-in") == ["", "Next throw-in", "ARROW"]
    assert cells(text, "by player") == ["No. 11: 4  No. 12: 1", "Fouls by player", "No. 8: 5 OUT"]
    assert "Number missing" not in text


def test_what_lacks_a_number_is_shown() -> None:
    waiting = {"home": {"points": 2, "fouls": 1}, "guest": {"points": 0, "fouls": 0}}
    text = drawn(view(open=waiting, arrow=None))
    assert cells(text, "Number missing") == ["2 points, 1 foul", "Number missing", ""]
    assert cells(text, "arrow") == ["", "No arrow yet", ""]


@pytest.mark.parametrize(
    ("phase", "running", "shown"),
    [
        ("before", False, "Before the game"),
        ("over", False, "Game over"),
        ("stopped", False, "Period 2, stopped"),
        ("timeout", False, "Period 2, timeout"),
        ("running", True, "Period 2, running"),
    ],
)
def test_what_the_game_is_doing_is_in_words(phase: str, running: bool, shown: str) -> None:
    assert shown in drawn(view(phase=phase, clock_running=running)).splitlines()[0]


def test_the_latest_calls_and_the_ear_are_shown() -> None:
    calls = [(f"call {number}", f"Answer {number}.") for number in range(5)]
    text = drawn(view(), latest=calls, ear="listening")
    assert [line.split() for line in text.splitlines() if line.startswith("call")] == [
        ["call", str(number), "Answer", f"{number}."] for number in range(5 - LATEST, 5)
    ]
    assert "Ear: listening" in text
    assert "Ear:" not in drawn(view())


def test_words_are_never_read_as_commands_to_the_terminal() -> None:
    assert "[bold]two[/bold]" in drawn(view(), latest=[("[bold]two[/bold]", "[red]")])


def test_a_real_game_fills_the_screen() -> None:
    done = subprocess.run([sys.executable, "-m", "callout", "replay", str(DEMO), "--json"],
                          capture_output=True, text=True, check=True, timeout=HANG_S)  # fmt: skip
    told = json.loads(done.stdout)
    text = drawn(told)
    for side in NAMES:
        assert large(str(told["score"][side])).splitlines()[0].rstrip() in text
    assert "Game over" in text


def test_what_the_program_tells_of_itself_stands_below_the_calls() -> None:
    out = io.StringIO()
    board = Board(NAMES, Console(file=out, width=100, height=30, force_terminal=True))
    try:
        board.show(view())
        board.note("Hall's page: http://127.0.0.1:8765/x")
        board.note("page: port 8765: address already in use")
        board.show(view())
    finally:
        board.close()
    last = out.getvalue().rpartition("Harbour Kites")[2]
    assert "Hall's page: http://127.0.0.1:8765/x" in last
    assert "page: port 8765: address already in use" in last


def test_the_board_is_drawn_only_when_something_changed() -> None:
    out = io.StringIO()
    board = Board(NAMES, Console(file=out, width=100, height=30, force_terminal=True))
    try:
        board.show(view())
        first = len(out.getvalue())
        board.show(view(clock_tenths=4_612))
        assert len(out.getvalue()) == first
        board.called("home two", "Home two. Number?")
        board.show(view())
        second = len(out.getvalue())
        assert second > first
        board.ear = "off"
        board.show(view())
        assert len(out.getvalue()) > second
    finally:
        board.close()
    assert "Home two. Number?" in out.getvalue()
    assert "Ear: off" in out.getvalue()


def test_a_live_game_is_shown_on_a_terminal(tmp_path: Path) -> None:
    setup = tmp_path / "setup"
    setup.write_text("profile: youth-6-minute\nhome: Kites | 4 5\nguest: Foxes | 8 11\n")
    command = [sys.executable, "-m", "callout", "live", str(tmp_path / "game"), "--setup",
               str(setup), "--ear", "off", "--voice", "print", "--screen"]  # fmt: skip
    ours, theirs = os.openpty()
    environment = {**os.environ, "TERM": "xterm", "COLUMNS": "90", "LINES": "30"}
    running = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=theirs, env=environment,
                               stderr=subprocess.DEVNULL, text=True)  # fmt: skip
    os.close(theirs)
    assert running.stdin is not None
    running.stdin.write("start clock\nhome two number five\n")
    running.stdin.close()
    shown = ""
    # The end of a terminal whose program has ended is an error on Linux, and no bytes elsewhere.
    with contextlib.suppress(OSError):
        while piece := os.read(ours, 65_536):
            shown += piece.decode(errors="replace")
    os.close(ours)
    assert running.wait(timeout=HANG_S) == 0
    assert "Home two, number five. Two, nothing." in shown
    assert "Period 1, running" in shown
    last = shown.rpartition("Kites")[2]
    assert all(row.strip() in last for row in large("2").splitlines())
