"""`callout box`: the box score of games on the terminal, or with its picture on paper."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rich.console import Console

from callout.commands.cautions import tell_names
from callout.commands.names_due import names_due
from callout.commands.pages import check_paper, forms, write_pages
from callout.commands.sheet import readable
from callout.edges.typesetting import Form, typeset
from callout.errors import CalloutError
from callout.game.terms import Team
from callout.language.words import words_of
from callout.paper.box import box as terminal_box
from callout.paper.box_page import TEMPLATE, box_page
from callout.paper.export import Recorded
from callout.paper.text import heading
from callout.plain import plain


def box(games: Sequence[Path], pdf: bool, png: bool, paper: str, to: Path | None) -> int:
    """Print the box scores, or write a page for each game; the exit status.

    Of several games one that cannot be read is told, and the others go on; then the status is 2.

    Raises:
        CalloutError: the paper is unknown, two games would have one file, typst is missing, or a
            file cannot be written.
        JournalError: the only game cannot be read.
    """
    check_paper(paper)
    wanted = forms(pdf, png)
    stems = [(to or path.parent) / f"{path.name}-box" for path in games]
    if wanted and (twice := next((stem for stem in stems if stems.count(stem) > 1), None)):
        raise CalloutError(f"{twice}: expected one game for this file, got two")
    status = 0
    between = ""
    for (path, recorded), stem in zip(readable(games, "Drawing the games"), stems, strict=True):
        if recorded is None:
            status = 2
            continue
        if not wanted:
            print(between + "\n".join(plain(line) for line in _heading(path, recorded, games)))
            between = "\n"
        _write(path, recorded, wanted, paper, stem)
        names_due(path, one_of_many=len(games) > 1)
    return status


def _heading(path: Path, recorded: Recorded, games: Sequence[Path]) -> Sequence[str]:
    """What stands above the tables: of several games, also in which file it is."""
    lines = heading(words_of(recorded.setup.language), recorded.seen, recorded.setup)
    return [f"{path}:", *lines] if len(games) > 1 else lines


def _write(game: Path, recorded: Recorded, wanted: Sequence[Form], paper: str, stem: Path) -> None:
    """Write a game's page in each form, or print its tables if none was asked for."""
    at_ms = recorded.entries[-1].at.wall_ms if recorded.entries else 0
    words = words_of(recorded.setup.language)
    for form in wanted:
        pages = typeset(TEMPLATE, box_page(recorded, words, paper), form, at_ms)
        write_pages(stem.with_name(f"{stem.name}.{form.value}"), pages)
    if wanted:
        tell_names(game.name, recorded.setup)
    else:
        names = {team.value: recorded.setup.team(team).name for team in Team}
        Console().print(terminal_box(recorded.seen, names, words))
