"""Random games with two mistakes in one team's points, and how soon the table names both.

The games and what the ear keeps are those of `discrepancies.py`. A scorer answers each question
truly: yes to what really went wrong, no to the rest.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from random import Random
from typing import Final, TypeAlias

from callout.game import calls
from callout.game.figures.compared import Compared, booked
from callout.game.figures.score import all_lines
from callout.game.suspect import Suspect
from callout.game.terms import Team
from tests.table.discrepancies import (
    CAUSES,
    LEAGUES,
    SETUP,
    TRACED,
    Deed,
    Mistake,
    call_made,
    is_true,
    mistake_in,
    other_readings,
    played,
    time_passes,
)
from tests.table.play import Table

TOLD: Final = ("one figure", "both teams", "and each period")
"""What is told of the other book."""

DOUBLES: Final = (1.0, 1.5, 2.0, 3.0, 3.5, 5.0, 7.0, 9.0, 14.0, 18.0)
"""How long after a call its double comes. Units: seconds; as in `discrepancies.py`."""


@dataclass(frozen=True)
class Asked:
    """What came of one comparison."""

    alone: bool
    """Whether single things were offered, each of which would explain the difference."""
    noes: int | None
    """How many questions were answered with no before both were named; None if they never were."""


@dataclass
class TwoFound:
    """What came of one game."""

    causes: tuple[str, str]
    asked: dict[str, Asked]
    said: str = ""
    """The first question where one figure was told."""


Made: TypeAlias = Sequence[tuple[Mistake, int, int]]
"""The mistakes, each with the item of its line and its period."""


def two_mistakes(random: Random, deeds: list[Deed]) -> tuple[Mistake, Mistake, Team]:
    """Two goals or throws that went wrong, and the team whose points are wrong by both."""
    while True:
        one, other = (mistake_in(random, deeds, random.choice(CAUSES)) for _ in range(2))
        teams = [team for team in Team if effect(one, team) and effect(other, team)]
        kept = teams and one.at != other.at
        if kept and any(effect(one, team) + effect(other, team) for team in teams):
            team = next(t for t in teams if effect(one, t) + effect(other, t))
            return (one, other, team) if one.at < other.at else (other, one, team)


def effect(mistake: Mistake, team: Team) -> int:
    """By how much a team has more points in the other book, because of one mistake."""
    right, wrong = mistake.right, mistake.wrong
    if not isinstance(right, calls.Score | calls.Shot):
        return 0
    worth = right.points if isinstance(right, calls.Score) else 1
    own = worth if right.team is team else 0
    match mistake.cause:
        case "points":
            return own - (wrong.points if isinstance(wrong, calls.Score) and own else 0)
        case "other team":
            return own or -worth
        case "lost":
            return own
    return -own


def game_with_two(seed: int, heard: bool = True) -> TwoFound:
    """One random game, kept with two mistakes until another book is compared."""
    random = Random(seed)
    table = Table(replace(SETUP, profile=LEAGUES[seed % len(LEAGUES)]))
    deeds = played(random, table.game.profile.periods.count)
    one, other, team = two_mistakes(random, deeds)
    end = random.randint(other.at + 1, min(len(deeds) - 1, other.at + 60))
    of = {one.at: one, other.at: other}
    made: list[tuple[Mistake, int, int]] = []
    for nth, deed in enumerate(deeds[: end + 1]):
        item = _deed(table, random, deed, of.get(nth), heard)
        if nth in of:
            made.append((of[nth], item, table.game.period))
    asked, said = {}, ""
    whole = Compared(team)
    asked[TOLD[0]] = _asked(table, whole, made)
    said = _say(table, whole, made)
    table.session.take(calls.Cancel(), "key")
    _tell(table, Compared(team.other), made)
    asked[TOLD[1]] = _asked(table, whole, made)
    for period in range(1, table.game.period + 1):
        _tell(table, Compared(team, period=period), made)
    asked[TOLD[2]] = _asked(table, whole, made)
    return TwoFound((one.cause, other.cause), asked, said)


def _deed(table: Table, random: Random, deed: Deed, mistake: Mistake | None, heard: bool) -> int:
    """Make one call, rightly or not; the item of the line that it has made."""
    time_passes(table, deed.seconds)
    call = deed.call if mistake is None or mistake.cause == "doubled" else mistake.wrong
    if call is None:
        if heard and random.random() < TRACED:
            table.session.not_heard("voice")
        return 0
    truth = deed.call if call != deed.call else None
    call_made(table, random, call, other_readings(random, call, truth, heard))
    if mistake is not None and mistake.cause == "doubled":
        time_passes(table, random.choice(DOUBLES))
        call_made(table, random, call, (), source="key")
    return max((line.item for line in all_lines(table.game)), default=0)


# --- what the other book has, and what is asked -----------------------------------------------


def _theirs(table: Table, what: Compared, made: Made) -> int:
    ours = booked(table.game, what, table.session.now().left_tenths)
    wrong = (m for m, _, period in made if what.period in (None, period))
    return ours + sum(effect(mistake, what.team) for mistake in wrong)


def _comparison(table: Table, what: Compared, made: Made) -> calls.CompareBook:
    return calls.CompareBook(what.team, _theirs(table, what, made), period=what.period)


def _tell(table: Table, what: Compared, made: Made) -> None:
    table.session.take(_comparison(table, what, made), "clock")


def _say(table: Table, what: Compared, made: Made) -> str:
    return table.session.take(_comparison(table, what, made), "voice").text


def _asked(table: Table, what: Compared, made: Made) -> Asked:
    """What would be asked, and how often the answer is no, until both are named."""
    call = _comparison(table, what, made)
    found = table.session.book.decisions.explained(call, table.session.now())
    noes = 0
    for suspect in found:
        true = _which(table, suspect, made)
        if true is None:
            noes += 1
            continue
        rest = [each for each in made if each is not true]
        for other in suspect.also:
            if _which(table, other, rest):
                return Asked(False, noes)
            noes += 1
        break
    return Asked(bool(found) and not found[0].also, None)


def _which(table: Table, suspect: Suspect, made: Made) -> tuple[Mistake, int, int] | None:
    """The mistake that a suspect really is."""
    return next((each for each in made if is_true(table, suspect, each[0], each[1])), None)
