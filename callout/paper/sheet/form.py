"""The score sheet of a game as plain data, which a template draws."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import tzinfo
from pathlib import Path
from typing import Any, Final

from callout.game.choices import Column, SheetForm
from callout.game.figures.score import last_period, score, winner
from callout.game.fold import new_game
from callout.game.state import Game, Phase
from callout.game.terms import Team
from callout.paper.export import Recorded
from callout.paper.sheet.boxes import foul_rows, timeout_rows
from callout.paper.sheet.history import History, history
from callout.paper.sheet.notes import arrow, lost, open_notes, told
from callout.paper.sheet.roster import coach_row, officials, player_rows
from callout.paper.sheet.running import cells, ends, periods_over
from callout.paper.sheet.words import approver, day, period_head, period_name, time_of_day, when
from callout.words import Words

TEMPLATES: Final = {form: Path(__file__).with_name(f"{form.value}.typ") for form in SheetForm}
"""The template of each form."""

_COLUMNS: Final = {
    SheetForm.FIBA: (Column.LICENCE, Column.ENTERED, Column.FOULS),
    SheetForm.AMERICAN: (Column.FOULS, Column.TECHNICALS, Column.PERIODS, Column.GOALS,
                         Column.THROWS, Column.POINTS),
}  # fmt: skip
"""The columns of a form that is not the league's own."""


def sheet(
    recorded: Recorded,
    form: SheetForm,
    words: Words,
    paper: str = "a4",
    zone: tzinfo | None = None,
) -> dict[str, Any]:
    """Everything that stands on the sheet.

    `paper` is typst's name of its size; times of the day are those of `zone`, by default of this
    machine.
    """
    setup, game = recorded.setup, recorded.game
    rules = game.profile
    start = new_game(rules, setup.home.side(), setup.guest.side(), setup.owner)
    past = history(words, start, recorded.entries)
    columns = rules.sheet.columns if form is rules.sheet.form else _COLUMNS[form]
    return {
        "paper": paper,
        "lang": words.language,
        "words": dict(words.texts),
        "title": rules.title,
        "name": recorded.name,
        "book": setup.book.value,
        "columns": [column.value for column in columns],
        "limit": _foul_boxes(recorded),
        "field": list(rules.goals.field),
        "teams": [_team(words, recorded, form, columns, team, past) for team in Team],
        "periods": _periods(words, game),
        "winner": _winner(recorded),
        "place": setup.place,
        "competition": setup.competition,
        "fixture": setup.fixture,
        "officials": officials(words, recorded, rules.sheet.officials),
        "signatures": officials(words, recorded, rules.sheet.signatures),
        "arrow": arrow(words, game, past),
        "open": [str(each) for each in open_notes(words, game, setup)],
        "corrections": told(words, game, (c for c in past.corrections if not c.reason), zone),
        "signed": told(words, game, (c for c in past.corrections if c.reason), zone),
        "noted": told(words, game, past.noted, zone),
        "lost": lost(words, game, setup),
        **_state(words, recorded, past, zone),
    }


def _foul_boxes(recorded: Recorded) -> int:
    """How many boxes a player's fouls have: up to the limit, or as many as are needed."""
    most = 6
    limit = recorded.game.profile.fouls.limit
    if limit <= most:
        return limit
    players = [p for side in recorded.seen["players"].values() for p in side.values()]
    return max([most, *(len(player["foul_codes"]) for player in players)])


def _state(words: Words, recorded: Recorded, past: History, zone: tzinfo | None) -> dict[str, Any]:
    """How far the game is, and from which entries and mark the sheet was made."""
    game, entries = recorded.game, recorded.entries
    last = entries[-1].at.wall_ms if entries else None
    first = past.started_ms
    where = "" if game.phase is Phase.OVER else _where(words, recorded)
    ended = past.ended_ms if game.phase is Phase.OVER else None
    return {
        "final": game.phase is Phase.OVER,
        "where": where,
        "date": "" if first is None else day(first, zone),
        "began": "" if first is None else time_of_day(first, zone),
        "ended": "" if ended is None else time_of_day(ended, zone),
        "newest": "" if last is None else f"{day(last, zone)} {time_of_day(last, zone, True)}",
        "entries": len(entries),
        "undone": len(game.taken_back),
        "mark": recorded.mark,
        "approved": _approved(words, recorded, zone),
    }


def _approved(words: Words, recorded: Recorded, zone: tzinfo | None) -> str:
    """That the officials approved the score, and how many corrections were signed since."""
    one = recorded.game.approval
    if one is None:
        return ""
    wall_ms = next(each.at.wall_ms for each in recorded.entries if each.id == one.entry)
    since = len(recorded.game.signatures)
    mark = recorded.approved_mark
    told = words(
        "approved_at",
        by=approver(one),
        time=time_of_day(wall_ms, zone),
        home=one.home,
        guest=one.guest,
        entry=one.entry,
        mark=words("and_mark", mark=mark) if mark else "",
    )
    return f"{told} {words('signed_since', count=since)}" if since else told


def _where(words: Words, recorded: Recorded) -> str:
    game = recorded.game
    if game.phase is Phase.BEFORE:
        return words("before_game")
    if game.phase is Phase.INTERVAL:
        return words("after_period", period=period_name(words, game.profile, game.period))
    return when(words, game, game.period, recorded.left_tenths)


def _team(
    words: Words,
    recorded: Recorded,
    form: SheetForm,
    columns: Sequence[Column],
    team: Team,
    past: History,
) -> dict[str, Any]:
    game, seen, side = recorded.game, recorded.seen, team.value
    players = player_rows(words, recorded, form, columns, team, past)
    listed = sum(row["points"] for row in players if "open" not in row)
    return {
        "side": side,
        "name": recorded.setup.team(team).name,
        "players": players,
        "coach": coach_row(recorded, form, team),
        "team_fouls": foul_rows(words, game, form, team),
        "timeouts": timeout_rows(words, game, form, team, recorded.left_tenths),
        "running": cells(words, game, team),
        "ends": ends(game, team),
        "sum": {
            "players": listed,
            "open": seen["open"][side]["points"],
            "team": seen["team_points"][side],
            "adjusted": seen["adjusted"][side],
            "score": seen["score"][side],
        },
    }


def _periods(words: Words, game: Game) -> list[dict[str, Any]]:
    """The points of each period; of one that has not begun there are none."""
    count = max(game.profile.periods.count, last_period(game))
    return [
        {
            "name": period_name(words, game.profile, period),
            "head": period_head(words, game.profile, period),
            "overtime": period > game.profile.periods.count,
            "points": [score(game, team, period) for team in Team] if _begun(game, period) else [],
            "over": period <= periods_over(game),
        }
        for period in range(1, count + 1)
    ]


def _begun(game: Game, period: int) -> bool:
    return period <= game.period or any(goal.period >= period for goal in game.goals)


def _winner(recorded: Recorded) -> str:
    """The name of the team that won, once the game is over."""
    game = recorded.game
    won = winner(game) if game.phase is Phase.OVER else None
    if game.forfeit is not None:
        won = game.forfeit.team.other
    return recorded.setup.team(won).name if won else ""
