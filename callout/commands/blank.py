"""`callout blank`: a score sheet to be filled in by hand, of a league, a setup file or a game."""

from __future__ import annotations

from pathlib import Path

from callout.commands.pages import check_paper, forms, write_pages
from callout.commands.sheet import read
from callout.edges.typesetting import typeset
from callout.errors import CalloutError
from callout.game.fold import new_game
from callout.game.profile.file import profile_names, profiles_like
from callout.game.state import Phase
from callout.language.words import words_of
from callout.paper.box_page import PAPERS
from callout.paper.export import Recorded
from callout.paper.sheet.form import TEMPLATES, sheet
from callout.reading import exists
from callout.table.setup.header import is_setup
from callout.table.setup.setup import Listed, Setup, read_setup


def blank(what: str, pdf: bool, png: bool, paper: str, to: Path | None) -> int:
    """Write the sheet, as PDF unless only a picture was asked for; the exit status.

    With a game it has all that was booked so far, and the sums are left to the pen.

    Raises:
        CalloutError: there is no such league, setup file or game, the game is over, or the file
            cannot be written.
    """
    check_paper(paper)
    path, recorded = _found(what)
    if recorded.game.phase is Phase.OVER:
        raise CalloutError(f"{path}: the game is over; callout sheet prints it")
    profile = recorded.game.profile
    words = words_of(recorded.setup.language)
    data = {**sheet(recorded, profile.sheet.form, words, PAPERS[paper]), "by_hand": True}
    at_ms = recorded.entries[-1].at.wall_ms if recorded.entries else 0
    template, wanted = TEMPLATES[profile.sheet.form], forms(pdf or not png, png)
    made = [(form, typeset(template, data, form, at_ms)) for form in wanted]
    for form, pages in made:
        target = path.with_name(f"{path.name}-blank.{form.value}")
        write_pages((to / target.name) if to else target, pages)
    return 0


def _found(what: str) -> tuple[Path, Recorded]:
    """The game, begun or not, and the path beside which its sheet is written."""
    path = Path(what)
    if exists(path):
        return path, _not_begun(path.stem, read_setup(path)) if is_setup(path) else read(path)
    if what in profile_names():
        return Path(f"callout-{what}"), _not_begun("", Setup(what, Listed(""), Listed("")))
    known = "expected a game, a setup file, or a league that callout rules lists"
    raise CalloutError(f"{known}{profiles_like(what)}, got {what!r}")


def _not_begun(name: str, setup: Setup) -> Recorded:
    game = new_game(setup.rules(), setup.home.side(), setup.guest.side(), setup.owner)
    return Recorded(name, setup, game, (), game.clock.left_tenths, "")
