"""The echo of a line that was put right: what it is now, and what it was."""

from __future__ import annotations

from callout.game.figures.fouls import player_fouls, team_fouls
from callout.game.figures.score import both_scores, period_slots
from callout.game.figures.timeouts import timeouts_left
from callout.game.notices import kinds
from callout.game.notices.kinds import Notice
from callout.game.state import Adjustment, BookLine, Charge, Game, Goal, TimeoutLine
from callout.game.terms import FoulKind, Offender


def changed_line(was: BookLine | None, now: BookLine | None, after: Game) -> list[Notice]:
    """The line as it now stands, with what of it was otherwise before."""
    slots = period_of(now, after)
    match was, now:
        case Goal(), Goal():
            return [_goal(was, now, slots, after)]
        case Charge(), Charge():
            return [_charge(was, now, slots, after)]
        case TimeoutLine(), TimeoutLine(team=team) if team:
            left = max(0, timeouts_left(after, team, after.seen_tenths))
            slots |= {"team": team, "was_team": _if_other(was.team, team), "left": left}
            return [Notice(kinds.CHANGED_TIMEOUT, slots)]
    return []


def period_of(line: BookLine | None, game: Game) -> dict[str, object]:
    """The period of a line; None for the present one or, in an interval, the coming one."""
    ahead = game.phase.between
    period = None if line is None or isinstance(line, Adjustment) else max(1, line.period)
    if period in (None, game.period, game.period + ahead):
        return {"nth": None, "unit": None}
    return period_slots(game, period)


def foul_kind(line: Charge) -> dict[str, object]:
    """The kind of the foul and who is charged; None for a personal foul and for a player."""
    return {
        "foul": None if line.foul is FoulKind.PERSONAL else line.foul,
        "on": None if line.on is Offender.PLAYER else line.on,
    }


def _goal(was: Goal, now: Goal, slots: dict[str, object], after: Game) -> Notice:
    home, guest = both_scores(after)
    slots |= {**_whose(was, now), "home": home, "guest": guest}
    if now.free_throw and was.free_throw:
        return Notice(kinds.CHANGED_THROW, {**slots, "made": now.made})
    points = {"points": now.points, "was_points": _if_other(was.points, now.points)}
    return Notice(kinds.CHANGED_GOAL, {**slots, **points})


def _charge(was: Charge, now: Charge, slots: dict[str, object], after: Game) -> Notice:
    number = now.number if now.on is Offender.PLAYER else None
    slots |= {
        **_whose(was, now),
        **foul_kind(now),
        "was_foul": _if_other(was.foul, now.foul),
        "count": player_fouls(after, now.team, number) if number else None,
        "fouls": team_fouls(after, now.team, now.period),
    }
    return Notice(kinds.CHANGED_FOUL, slots)


def _whose(was: Goal | Charge, now: Goal | Charge) -> dict[str, object]:
    # A number that the other team does not have is open, and not another one.
    was_number = (was.number or was.said) if now.number else None
    return {
        "team": now.team,
        "number": now.number,
        "was_team": _if_other(was.team, now.team),
        "was_number": _if_other(was_number, now.number),
    }


def _if_other(was: object, now: object) -> object:
    """What it was; None where it is still the same."""
    return None if was == now else was
