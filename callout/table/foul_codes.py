"""The letters of a foul, in the book and on the sheet.

In FIBA's form the figure after a letter is the number of free throws awarded, never a count of
fouls, and a small c means that an equal penalty of the opponents cancelled it.
Source: FIBA, Official Basketball Rules 2022, Appendix B.8.3.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from callout.game.choices import SheetForm
from callout.game.figures.fouls import (
    coach_charges,
    coach_is_out,
    is_ejected,
    player_charges,
    throws_for,
)
from callout.game.state import Charge, Game
from callout.game.terms import FoulKind, Offender, Team

CODES: Final = {
    FoulKind.PERSONAL: "P",
    FoulKind.OFFENSIVE: "O",
    FoulKind.TECHNICAL: "T",
    FoulKind.UNSPORTSMANLIKE: "U",
    FoulKind.INTENTIONAL: "I",
    FoulKind.DISQUALIFYING: "D",
    FoulKind.FLAGRANT: "F",
    FoulKind.THROW_IN: "P",
    FoulKind.CLASS_B: "B",
}
"""The letter of each kind of foul, where an offensive foul is told from other personal ones.

Source: FIBA B.8.3 for P, T, U, D and for the throw-in foul, which is a P with its throw.
"""

FIGHT: Final = "F"
"""Fills the boxes that are left to somebody who left the bench during a fight. FIBA B.8.3.13."""

DISQUALIFIED: Final = "GD"
"""Stands after the foul with which several fouls together disqualify."""

_PERSONAL: Final = frozenset({FoulKind.PERSONAL, FoulKind.OFFENSIVE, FoulKind.THROW_IN})
"""Personal fouls: the sheet has one letter for them."""


def player_codes(game: Game, form: SheetForm, team: Team, number: str) -> list[str]:
    """A player's fouls, oldest first."""
    charges = player_charges(game, team, number)
    codes = [_of_player(game, form, charge) for charge in charges]
    if form is SheetForm.FIBA:
        out = is_ejected(_by_fouls(game), team, number) and not _at_once(game, charges)
        codes = _marked(codes, out, _last_ejecting(game, charges))
        return _filled(codes, charges, game.profile.fouls.limit)
    return codes


def coach_codes(game: Game, form: SheetForm, team: Team) -> list[str]:
    """The fouls on a team's coach, oldest first: his own, and those for which he answers."""
    mine = coach_charges(game, team)
    codes = [_of_coach(game, form, charge) for charge in mine]
    own = [charge for charge in mine if charge.on is Offender.COACH]
    if form is SheetForm.FIBA:
        out = coach_is_out(_by_fouls(game), team) and not _at_once(game, own)
        return _filled(_marked(codes, out, len(codes)), own, game.profile.fouls.coach_all)
    return codes


def open_codes(game: Game, form: SheetForm, charges: Sequence[Charge]) -> list[str]:
    """Fouls of players whose number is missing."""
    return [_of_player(game, form, charge) for charge in charges]


def letter(foul: FoulKind) -> str:
    """The letter of a player's foul."""
    return "P" if foul in _PERSONAL else CODES[foul]


def _of_player(game: Game, form: SheetForm, charge: Charge) -> str:
    # A foul from the bench is entered on the coach, with its throws (B.8.3.12).
    if form is SheetForm.AMERICAN or charge.on is Offender.BENCH:
        return letter(charge.foul)
    return letter(charge.foul) + _throws(game, charge)


def _of_coach(game: Game, form: SheetForm, charge: Charge) -> str:
    if charge.on is Offender.BENCH:
        code = "B"
    else:
        code = "D" if charge.foul is FoulKind.DISQUALIFYING else "C"
    return code if form is SheetForm.AMERICAN else code + _throws(game, charge)


def _throws(game: Game, charge: Charge) -> str:
    """The figure after the letter; nothing where no throws were awarded."""
    if charge.cancelled:
        return "c"
    return str(throws_for(game, charge) or "")


def _marked(codes: list[str], out: bool, after: int) -> list[str]:
    """The codes with the mark of a disqualification by several fouls behind the last of them."""
    return [*codes[:after], DISQUALIFIED, *codes[after:]] if out else codes


def _filled(codes: list[str], charges: Sequence[Charge], boxes: int) -> list[str]:
    fought = any(charge.fight for charge in charges)
    return [*codes, *[FIGHT] * (boxes - len(codes))] if fought else codes


def _by_fouls(game: Game) -> Game:
    """The game as if nobody had been sent off without a foul, which has no mark of its own."""
    return replace(game, sent_off=())


def _at_once(game: Game, charges: Sequence[Charge]) -> bool:
    """Whether one of the fouls disqualifies alone; its letter says so."""
    alone = {k for each in game.profile.fouls.ejections if each.count == 1 for k in each.of}
    return any(charge.foul in alone for charge in charges)


def _last_ejecting(game: Game, charges: Sequence[Charge]) -> int:
    """How many fouls stand before the mark: up to the newest of a kind that ejects."""
    kinds = {kind for each in game.profile.fouls.ejections for kind in each.of}
    places = [nth for nth, charge in enumerate(charges, start=1) if charge.foul in kinds]
    return places[-1] if places else len(charges)
