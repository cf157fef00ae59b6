"""`callout sheet --pdf` and `--png`: the score sheet that is printed and signed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from callout.commands.cautions import tell_names
from callout.commands.pages import check_choice, check_paper, write_pages
from callout.edges.typesetting import Form, typeset
from callout.errors import CalloutError
from callout.game.choices import SheetForm
from callout.game.state import Phase
from callout.language.words import words_of
from callout.paper.box_page import PAPERS
from callout.paper.export import Recorded
from callout.paper.sheet.form import TEMPLATES, sheet

LEAGUE: Final = "league"
"""Asks for the form that the league's profile names."""


@dataclass(frozen=True, slots=True)
class Printing:
    """What was asked for on the command line."""

    files: tuple[Form, ...] = ()
    paper: str = "a4"
    form: str = LEAGUE
    unfinished: bool = False
    """Whether a game that is not over is printed, too."""
    to: Path | None = None
    """The folder for the files; None for each game's own."""

    def check(self, games: Sequence[Path]) -> None:
        """Refuse what cannot be printed.

        Raises:
            CalloutError: the paper or the form is unknown, or two games would have one file.
        """
        check_paper(self.paper)
        check_choice("--form", self.form, (LEAGUE, *(form.value for form in SheetForm)))
        targets = [self.target(game, form) for game in games for form in self.files]
        if twice := next((each for each in targets if targets.count(each) > 1), None):
            raise CalloutError(f"{twice}: expected one game for this file, got two")

    def target(self, game: Path, form: Form) -> Path:
        """The file for a game's sheet."""
        return (self.to or game.parent) / f"{game.name}-sheet.{form.value}"


def print_sheet(game: Path, recorded: Recorded, printing: Printing) -> None:
    """Set one game's sheet and write its files.

    Raises:
        CalloutError: the game is not over, typst is missing, or a file cannot be written.
    """
    if recorded.game.phase is not Phase.OVER and not printing.unfinished:
        what = "the game is not over: add --open to print the sheet as it stands"
        raise CalloutError(f"{game}: {what}")
    own = recorded.game.profile.sheet.form
    form = own if printing.form == LEAGUE else SheetForm(printing.form)
    data = sheet(recorded, form, words_of(recorded.setup.language), PAPERS[printing.paper])
    at_ms = recorded.entries[-1].at.wall_ms if recorded.entries else 0
    made = [(each, typeset(TEMPLATES[form], data, each, at_ms)) for each in printing.files]
    for each, pages in made:
        write_pages(printing.target(game, each), pages)
    tell_names(game.name, recorded.setup)
