"""The game on a terminal, in large digits, for whoever sits beside the scorer.

Nothing here is told by colour alone, and nothing need be read to keep the game.
"""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Mapping, Sequence
from contextlib import suppress
from typing import Final

from rich.align import Align
from rich.console import Console, ConsoleOptions, Group, RenderableType, RenderResult
from rich.live import Live
from rich.table import Table
from rich.text import Text

from callout.edges.signals import hold_terminal
from callout.table.clock import clock_text
from callout.table.view import View

Called = tuple[str, str]
"""A call in words, and what was answered."""

LATEST: Final = 3
"""The number of calls shown."""

NEXT_FOUL: Final = {
    "none": "no shots",
    "one": "1 shot",
    "two": "2 shots",
    "three": "3 shots",
    "one-and-one": "1 and 1",
}
"""What a foul brings, in few letters: the hall reads it from afar."""

NOTES: Final = 4
"""The number of lines about the program itself, such as where its pages are."""

SIDES: Final = ("home", "guest")

LEAVE: Final = "\x1b[?25h\x1b[?1049l"
"""Show the cursor, and the screen that was there before. Source: xterm's control sequences."""
COME_BACK: Final = "\x1b[?1049h\x1b[?25l"

DIGITS: Final = {
    "0": ("###", "# #", "# #", "# #", "###"),
    "1": (" # ", "## ", " # ", " # ", "###"),
    "2": ("###", "  #", "###", "#  ", "###"),
    "3": ("###", "  #", " ##", "  #", "###"),
    "4": ("# #", "# #", "###", "  #", "  #"),
    "5": ("###", "#  ", "###", "  #", "###"),
    "6": ("###", "#  ", "###", "# #", "###"),
    "7": ("###", "  #", "  #", " # ", " # "),
    "8": ("###", "# #", "###", "# #", "###"),
    "9": ("###", "# #", "###", "  #", "###"),
    ":": (" ", "#", " ", "#", " "),
    ".": (" ", " ", " ", " ", "#"),
}
"""The large digits: five rows of blocks each."""


def large(text: str) -> str:
    """Digits, colons and points, five lines high."""
    rows = (" ".join(DIGITS[sign][row] for sign in text) for row in range(5))
    # A block is about half as wide as it is high.
    return "\n".join("".join(2 * ("█" if dot == "#" else " ") for dot in row) for row in rows)


class High:
    """A figure in large digits, or in plain ones where the large would be cut off."""

    def __init__(self, text: str) -> None:
        self._text = text
        self._large = large(text)
        self.columns: Final = len(self._large.partition("\n")[0])

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        if self.columns > options.max_width:
            yield Align.center(Text(self._text, style="bold"))
        else:
            yield Align.center(Text(self._large, justify="left", no_wrap=True))


def screen(
    view: View,
    names: Mapping[str, str],
    latest: Sequence[Called] = (),
    ear: str = "",
    notes: Sequence[str] = (),
) -> RenderableType:
    """Score, clock and period large; fouls, bonus, time-outs, arrow; the latest calls; the ear;
    and lines about the program itself.
    """
    lines = [Text(note) for note in notes]
    figures, calls = _figures(view), _calls(latest, ear)
    return Group(_score(view, names), Text(), figures, Text(), calls, *lines)


def _score(view: View, names: Mapping[str, str]) -> Table:
    clock = clock_text(view["clock_tenths"])
    high = [High(each) for each in (str(view["score"]["home"]), clock, str(view["score"]["guest"]))]
    grid = Table.grid(expand=True)
    for each in high:
        grid.add_column(justify="center", ratio=max(20, each.columns))
    home, guest = (Text(names[side], style="bold") for side in SIDES)
    grid.add_row(home, Text(_when(view), style="bold"), guest)
    grid.add_row(*high)
    return grid


def _when(view: View) -> str:
    """The period, and whether the clock runs."""
    if view["phase"] in ("before", "over"):
        return {"before": "Before the game", "over": "Game over"}[view["phase"]]
    state = "running" if view["clock_running"] else view["phase"]
    return f"Period {view['period']}, {state}"


def _figures(view: View) -> Table:
    grid = Table(expand=True, show_header=False, padding=(0, 1))
    grid.add_column(justify="center", ratio=1)
    grid.add_column(justify="center", ratio=1, style="bold")
    grid.add_column(justify="center", ratio=1)
    fouls = view["team_fouls"][-1]
    grid.add_row(*_row(fouls, "Team fouls"))
    grid.add_row(*_row({side: next_foul(view, side) for side in SIDES}, "Next foul"))
    grid.add_row(*_row(view["timeouts_left"], "Time-outs left"))
    arrow = {side: "ARROW" if view["arrow"] == side else "" for side in SIDES}
    grid.add_row(*_row(arrow, "Next throw-in" if view["arrow"] else "No arrow yet"))
    grid.add_row(*_row({side: _warned(view, side) for side in SIDES}, "Fouls by player"))
    without = {side: number_missing(view, side) for side in SIDES}
    if any(without.values()):
        grid.add_row(*_row(without, "Number missing"))
    return grid


def _row(of: Mapping[str, object], name: str) -> tuple[str, str, str]:
    return str(of["home"]), name, str(of["guest"])


def next_foul(view: View, side: str) -> str:
    """What a team's next common foul brings its opponent."""
    return NEXT_FOUL[view["penalty"][side]]


def _warned(view: View, side: str) -> str:
    """Who has fouls, the most first."""
    players = view["players"][side].items()
    found = sorted(((p["fouls"], n, p["out"]) for n, p in players if p["fouls"]), reverse=True)
    return "  ".join(f"No. {n}: {fouls}{' OUT' if out else ''}" for fouls, n, out in found[:3])


def number_missing(view: View, side: str) -> str:
    """What of a team lacks its number: `2 points, 1 foul`."""
    waiting = view["open"][side]
    parts = [(waiting["points"], "point"), (waiting["fouls"], "foul")]
    return ", ".join(f"{count} {what}{'s' * (count > 1)}" for count, what in parts if count)


def _calls(latest: Sequence[Called], ear: str) -> Table:
    grid = Table.grid(padding=(0, 2), expand=True)
    grid.add_column(ratio=1, style="bold")
    grid.add_column(ratio=2)
    for words, reply in list(latest)[-LATEST:]:
        grid.add_row(Text(words), Text(reply))
    grid.add_row(Text(f"Ear: {ear}" if ear else ""), Text())
    return grid


class Board:
    """Keeps the screen up to date; it is drawn only when its content has changed."""

    def __init__(self, names: Mapping[str, str], console: Console | None = None) -> None:
        self.ear = ""
        self._names = names
        self._latest: deque[Called] = deque(maxlen=LATEST)
        self._notes: deque[str] = deque(maxlen=NOTES)
        self._drawn: object = None
        self._live = Live(console=console, screen=True, auto_refresh=False, redirect_stdout=False,
                          redirect_stderr=False)  # fmt: skip
        self._live.start()
        self._let_go = hold_terminal(self._leave, self._come_back)

    def called(self, words: str, reply: str) -> None:
        """Show a call and its answer among the latest."""
        self._latest.append((words, reply))

    def note(self, line: str) -> None:
        """Show a line about the program itself from now on; any thread may call it."""
        self._notes.append(line)

    def show(self, view: View) -> None:
        """The game as it now is."""
        seen = {**view, "clock_tenths": clock_text(view["clock_tenths"])}
        notes = tuple(self._notes)
        now = (seen, tuple(self._latest), self.ear, notes, self._live.console.size)
        if now != self._drawn:
            self._drawn = now
            shown = screen(view, self._names, self._latest, self.ear, notes)
            self._live.update(shown, refresh=True)

    def _leave(self) -> None:
        self._send(LEAVE)

    def _come_back(self) -> None:
        self._send(COME_BACK)
        self._drawn = None

    def _send(self, text: str) -> None:
        # Not through the console, which may be in use: this runs between any two steps.
        with suppress(OSError):
            os.write(self._live.console.file.fileno(), text.encode())

    def close(self) -> None:
        """The terminal as it was before."""
        self._let_go()
        # The window may be closed already.
        with suppress(OSError):
            self._live.stop()
