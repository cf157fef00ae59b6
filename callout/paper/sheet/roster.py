"""The lists of players and coaches, with what the book has of each."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, Final

from callout.game.choices import Column, SheetForm
from callout.game.figures.fouls import player_charges
from callout.game.figures.score import last_period, open_lines
from callout.game.state import Charge, Game, Goal
from callout.game.terms import FoulKind, Offender, Team
from callout.paper.export import Recorded
from callout.paper.sheet.history import History
from callout.paper.sheet.running import MISSING, periods_over
from callout.paper.text import player_names
from callout.table.foul_codes import (
    DISQUALIFIED,
    coach_codes,
    letter,
    open_codes,
    player_codes,
)
from callout.table.setup.people import ASSISTANT, COACH, name_of
from callout.words import Words

Row = dict[str, Any]

TECHNICAL: Final = (FoulKind.TECHNICAL, FoulKind.CLASS_B)
"""What stands in the boxes for technical fouls, where a sheet has such boxes."""


def player_rows(
    words: Words,
    recorded: Recorded,
    form: SheetForm,
    columns: Sequence[Column],
    team: Team,
    history: History,
) -> list[Row]:
    """A row for each player, for each shirt that is on no list, and for what has no number."""
    seen, game = recorded.seen, recorded.game
    names = player_names(game, recorded.setup, team)
    wore = seen["first_worn"][team.value]
    rows = []
    for number, player in seen["players"][team.value].items():
        codes = player_codes(game, form, team, number)
        charges = player_charges(game, team, number)
        goals = [g for g in game.goals if (g.team, g.number) == (team, number)]
        played = any(c.on is Offender.PLAYER for c in charges) or bool(goals)
        rows.append({
            "number": number, "name": _named(words, names.get(number, ""), wore.get(number)),
            "out": player["out"],
            "entered": _entered(game, team, number, played, history),
            "coach": game.side(team).coach == number,
            "captain": recorded.setup.team(team).captain == wore.get(number, number),
            **_fouls(columns, codes), "half": _at_half(game, charges),
            **_baskets(game, goals),
        })  # fmt: skip
    return [*rows, *_open_rows(words, game, form, columns, team)]


def _named(words: Words, name: str, wore: str | None) -> str:
    """A player's name, with the number that he wore at first if it was another one."""
    return words("wore", name=name, number=wore).strip() if wore else name


def officials(words: Words, recorded: Recorded, roles: Sequence[str]) -> list[dict[str, str]]:
    """Each of these officials, with the name where it is known."""
    people = recorded.setup.people
    return [{"role": words.role(role), "name": name_of(people, "", role)} for role in roles]


def _open_rows(
    words: Words, game: Game, form: SheetForm, columns: Sequence[Column], team: Team
) -> list[Row]:
    """A row for each shirt that is on no list, and one for lines with no shirt at all."""
    mine = [line for line in open_lines(game) if line.team is team]
    rows = []
    for said in dict.fromkeys(line.said for line in mine):
        lines = [line for line in mine if line.said == said]
        charges = [line for line in lines if isinstance(line, Charge)]
        goals = [line for line in lines if isinstance(line, Goal)]
        rows.append({
            "number": f"{said or ''}{MISSING}", "open": True, "out": False, "entered": "",
            "name": words("not_listed" if said else "number_missing"),
            "coach": False, "captain": False,
            **_fouls(columns, open_codes(game, form, charges)), "half": _at_half(game, charges),
            **_baskets(game, goals),
        })  # fmt: skip
    return rows


def _entered(game: Game, team: Team, number: str, played: bool, history: History) -> str:
    """`start` for a starter, `sub` for one who came in later, empty for one not seen.

    Where no starters are named, one who has played may have been a starter. Source: FIBA B.4 to B.6
    for the marks.
    """
    if number in game.side(team).starters:
        return "start"
    if (team, number) in history.entered or (played and game.side(team).starters):
        return "sub"
    return ""


def _fouls(columns: Sequence[Column], codes: Sequence[str]) -> Row:
    """The fouls in boxes, those for technical fouls apart where the sheet has them."""
    apart = {letter(kind) for kind in TECHNICAL} if Column.TECHNICALS in columns else set()
    return {
        "fouls": [code for code in codes if code not in apart],
        "technicals": [code for code in codes if code in apart],
    }


def _at_half(game: Game, charges: Iterable[Charge]) -> int | None:
    """How many fouls the first half brought, once it is over; None before."""
    half = game.profile.periods.half_after
    if periods_over(game) < half or game.profile.periods.count == half:
        return None
    return sum(charge.period <= half for charge in charges)


def _baskets(game: Game, goals: Sequence[Goal]) -> Row:
    """What was thrown: by period, by kind, and the points."""
    count = game.profile.periods.count
    last = max(count, last_period(game))
    field, throws = ([g for g in goals if g.free_throw is free] for free in (False, True))
    return {
        "periods": [
            {
                "goals": [str(g.points) for g in field if g.period == period],
                "throws": [g.made for g in throws if g.period == period],
            }
            for period in range(1, last + 1)
        ],
        "made": {str(n): sum(g.points == n for g in field) for n in game.profile.goals.field},
        "throws": [sum(g.made for g in throws), len(throws)],
        "points": sum(g.counts for g in goals),
    }


def coach_row(recorded: Recorded, form: SheetForm, team: Team) -> Row:
    """Coach and assistant, the coach's fouls, and those charged to the team as a whole."""
    game, people = recorded.game, recorded.setup.people
    whole = [c for c in game.charges if c.team is team and c.on is Offender.TEAM]
    return {
        "number": game.side(team).coach or "",
        "name": name_of(people, team.value, COACH),
        "assistant": name_of(people, team.value, ASSISTANT),
        "codes": coach_codes(game, form, team),
        "out": DISQUALIFIED,
        "team_codes": [letter(charge.foul) for charge in whole],
        "boxes": game.profile.fouls.coach_all,
    }
