"""`callout box`: the box score of games on the terminal, or with its picture on paper."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

from rich.console import Console

from callout.commands.sheet import read_all
from callout.edges.typesetting import Form, typeset
from callout.errors import CalloutError, why
from callout.game.terms import Team
from callout.paper.box import box as terminal_box
from callout.paper.box_page import PAPERS, TEMPLATE, box_page
from callout.paper.export import Recorded
from callout.plain import plain
from callout.table.book.files import write_whole


def box(games: Sequence[Path], pdf: bool, png: bool, paper: str, to: Path | None) -> int:
    """Print the box scores, or write a page for each game; the exit status.

    Raises:
        CalloutError: the paper is unknown, typst is missing, or a file cannot be written.
        JournalError: a game cannot be read.
    """
    if paper not in PAPERS:
        raise CalloutError(f"expected one of the papers {', '.join(PAPERS)}, got {paper!r}")
    forms = [form for form, wanted in ((Form.PDF, pdf), (Form.PNG, png)) if wanted]
    for path, recorded in zip(games, read_all(games), strict=True):
        for form in forms:
            target = (to or path.parent) / f"{path.name}-box.{form.value}"
            _write(recorded, form, paper, target)
        if not forms:
            names = {team.value: recorded.setup.team(team).name for team in Team}
            Console().print(terminal_box(recorded.seen, names))
    return 0


def _write(recorded: Recorded, form: Form, paper: str, target: Path) -> None:
    at_ms = recorded.entries[-1].at.wall_ms if recorded.entries else 0
    pages = typeset(TEMPLATE, box_page(recorded, paper), form, at_ms)
    if pages.unshown:
        print(plain(f"{target}: no font here has all of {pages.unshown}"), file=sys.stderr)
    for nth, page in enumerate(pages.files, start=1):
        path = target if nth == 1 else target.with_stem(f"{target.stem}-{nth}")
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            write_whole(path, page)
        except OSError as error:
            raise CalloutError(f"{path}: cannot be written: {why(error)}") from None
        print(plain(str(path)))
