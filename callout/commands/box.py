"""`callout box`: the box score of games on the terminal, or with its picture on paper."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rich.console import Console

from callout.commands.pages import forms, write_pages
from callout.commands.sheet import read_all
from callout.game.terms import Team
from callout.paper.box import box as terminal_box
from callout.paper.box_page import TEMPLATE, box_page
from callout.paper.sizes import paper_size


def box(games: Sequence[Path], pdf: bool, png: bool, paper: str, to: Path | None) -> int:
    """Print the box scores, or write a page for each game; the exit status.

    Raises:
        CalloutError: the paper is unknown, typst is missing, or a file cannot be written.
        JournalError: a game cannot be read.
    """
    size, wanted = paper_size(paper), forms(pdf, png)
    for path, recorded in zip(games, read_all(games), strict=True):
        at_ms = recorded.entries[-1].at.wall_ms if recorded.entries else 0
        for form in wanted:
            stem = (to or path.parent) / f"{path.name}-box"
            write_pages(TEMPLATE, box_page(recorded, size), form, stem, at_ms)
        if not wanted:
            names = {team.value: recorded.setup.team(team).name for team in Team}
            Console().print(terminal_box(recorded.seen, names))
    return 0
