"""`callout box`: the box score of games on the terminal, or with its picture on paper."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rich.console import Console

from callout.commands.pages import write_pages
from callout.commands.sheet import read_all
from callout.edges.typesetting import Form, typeset
from callout.errors import CalloutError
from callout.game.terms import Team
from callout.paper.box import box as terminal_box
from callout.paper.box_page import PAPERS, TEMPLATE, box_page


def box(games: Sequence[Path], pdf: bool, png: bool, paper: str, to: Path | None) -> int:
    """Print the box scores, or write a page for each game; the exit status.

    Raises:
        CalloutError: the paper is unknown, typst is missing, or a file cannot be written.
        JournalError: a game cannot be read.
    """
    check_paper(paper)
    forms = [form for form, asked in ((Form.PDF, pdf), (Form.PNG, png)) if asked]
    for path, recorded in zip(games, read_all(games), strict=True):
        at_ms = recorded.entries[-1].at.wall_ms if recorded.entries else 0
        for form in forms:
            pages = typeset(TEMPLATE, box_page(recorded, paper), form, at_ms)
            write_pages((to or path.parent) / f"{path.name}-box.{form.value}", pages)
        if not forms:
            names = {team.value: recorded.setup.team(team).name for team in Team}
            Console().print(terminal_box(recorded.seen, names))
    return 0


def check_paper(paper: str) -> None:
    """Refuse a size of paper for which nothing is drawn.

    Raises:
        CalloutError: it is one.
    """
    if paper not in PAPERS:
        raise CalloutError(f"expected one of the papers {', '.join(PAPERS)}, got {paper!r}")
