"""The echoes of lines of the book: as they stand, as they were put right, as they were undone."""

from __future__ import annotations

from callout.game import events
from callout.game.figures.fouls import player_fouls, rule_of, team_fouls
from callout.game.figures.score import (
    all_lines,
    entry_of,
    find,
    lines_of,
    period_slots,
    score_slots,
    shown,
)
from callout.game.figures.timeouts import timeouts_left
from callout.game.moves import find_move
from callout.game.notices import change_kinds as rows
from callout.game.notices import kinds
from callout.game.notices.kinds import Notice
from callout.game.notices.move_echoes import replaced_move
from callout.game.state import Adjustment, BookLine, Charge, Game, Goal, Phase, TimeoutLine
from callout.game.terms import FoulKind, Offender


def line_echo(before: Game, after: Game, item: int) -> list[Notice]:
    """The echo of a line: a goal, foul or time-out as it now stands in the book."""
    line = find(after, item)
    if isinstance(line, Goal):
        return [_goal_echo(line, after)]
    if isinstance(line, Charge):
        return [_charge_echo(line, after)]
    if isinstance(line, TimeoutLine) and line.team is not None:
        left = max(0, timeouts_left(after, line.team, after.seen_tenths))
        return [Notice(kinds.TIMEOUT, slots={"team": line.team, "kind": line.kind, "left": left})]
    return []


def _goal_echo(line: Goal, game: Game) -> Notice:
    slots = {"team": line.team, "points": line.points, **score_slots(game)}
    if line.own_basket:
        return Notice(kinds.OWN_BASKET, {**slots, "credit": game.profile.goals.own_basket})
    return Notice(kinds.GOAL, slots={**slots, "number": line.number})


def _charge_echo(line: Charge, game: Game) -> Notice:
    slots = {
        "team": line.team,
        "number": line.number,
        **foul_kind(line),
        "nth": _players_count(line, game),
        "fouls": team_fouls(game, line.team, line.period),
    }
    return Notice(kinds.FOUL, slots=slots)


def _players_count(line: Charge, game: Game) -> int | None:
    """A player's fouls with this one; None where it does not count towards his limit."""
    if line.number is None or line.on is not Offender.PLAYER or not rule_of(game, line).player:
        return None
    return player_fouls(game, line.team, line.number)


def open_line(line: Goal | Charge, said: str, after: Game) -> list[Notice]:
    """The line, which stays open: the shirt called for it is not on the list."""
    if isinstance(line, Goal):
        slots = {"team": line.team, "points": line.points, "said": said, **score_slots(after)}
        return [Notice(kinds.GOAL_OPEN, slots=slots)]
    fouls = team_fouls(after, line.team, line.period)
    return [Notice(kinds.FOUL_OPEN, {"team": line.team, "said": said, "fouls": fouls})]


def number_given(before: Game, event: events.NumberGiven, after: Game) -> list[Notice]:
    """The line whose number was given, or was another one before."""
    line = find(before, event.item)
    if not event.listed and isinstance(line, Goal | Charge):
        return open_line(line, event.number, after)
    listed = isinstance(line, Goal | Charge) and before.side(line.team).has(event.number)
    # Lines of a player who was not listed are said when the player is added.
    return changed(before, event, after) if listed else []


def changed(
    before: Game,
    event: events.NumberGiven | events.TeamChanged | events.PointsChanged,
    after: Game,
) -> list[Notice]:
    """What a line is now and was before; only the line itself where its number was still open."""
    was, now = find(before, event.item), find(after, event.item)
    if isinstance(event, events.NumberGiven) and getattr(was, "number", None) is None:
        of_period = period_of(now, after)
        before_it = [Notice(rows.OF_PERIOD, of_period)] if of_period["nth"] else []
        return [*before_it, *line_echo(before, after, event.item)]
    return changed_line(was, now, after)


def replaced(before: Game, event: events.Replaced, after: Game) -> list[Notice]:
    """What became of the line that was put right; what follows from it is told by `after_entry`."""
    if event.item is None:
        return []
    was, now = find(before, event.item), find(after, event.item)
    if move := find_move(before, event.item):
        return [replaced_move(move, find_move(after, event.item), before, after)]
    if was and not now:
        return [_undone(was, after)]
    return changed_line(was, now, after)


def taken_back(before: Game, event: events.TakenBack, after: Game) -> list[Notice]:
    """What was undone, by its lines, by the line that it had changed, or by its call."""
    lines = lines_of(before, event.entry)
    if lines:
        return [*(_undone(line, after) for line in lines), *_arrow_now(before, after)]
    if move := next((m for m in before.moves if entry_of(m.item) == event.entry), None):
        return [replaced_move(move, None, before, after)]
    # The entry may be missing in a game that was recovered from a damaged file.
    call = next((line.call for line in before.lines if line.entry == event.entry), None)
    if event.entry in before.turns:
        return [_unturned(before, call, after)]
    changed = next((line for line in all_lines(after) if find(before, line.item) != line), None)
    if changed:
        # Whose the line is now, and not only that a change of it was undone.
        was, throw = find(before, changed.item), isinstance(changed, Goal) and changed.free_throw
        now = changed_line(was, changed, after) if throw and was else []
        now = now or line_echo(before, after, changed.item)
        return [Notice(rows.UNDONE_CHANGE, {"call": call}), *now]
    turned = _arrow_now(before, after)
    if turned or after.phase is Phase.BEFORE:
        return [Notice(rows.UNDONE_CHANGE, {"call": call}), *turned]
    return [Notice(rows.UNDONE, slots={"call": call, **score_slots(after)})]


def _arrow_now(before: Game, after: Game) -> list[Notice]:
    """Whose the arrow is, where an entry that was taken or put back has turned it."""
    if after.arrow in (None, before.arrow):
        return []
    return [Notice(kinds.ARROW, {"team": after.arrow})]


def _unturned(before: Game, call: str | None, after: Game) -> Notice:
    """The echo of a period's end or start that was undone.

    After an undone end it says what the clock shows; that is None where no clock is kept.
    """
    if after.period < before.period:
        return Notice(rows.UNDONE_START, slots=period_slots(before, before.period))
    left = shown(after, after.clock.left_tenths)
    slots = {"call": call, "left_tenths": left, **period_slots(after, after.period)}
    return Notice(rows.UNDONE_END, slots=slots)


def _undone(line: BookLine, after: Game) -> Notice:
    of_period = period_of(line, after)
    if isinstance(line, Goal):
        slots = {**of_period, "team": line.team, "number": line.number, **score_slots(after)}
        if line.free_throw:
            return Notice(rows.UNDONE_THROW, slots={**slots, "made": line.made})
        return Notice(rows.UNDONE_GOAL, slots={**slots, "points": line.points})
    if isinstance(line, Charge):
        fouls = team_fouls(after, line.team, line.period)
        slots = {"team": line.team, "number": line.number, "fouls": fouls, **foul_kind(line)}
        return Notice(rows.UNDONE_FOUL, slots={**of_period, **slots})
    if isinstance(line, TimeoutLine):
        left = max(0, timeouts_left(after, line.team, after.seen_tenths)) if line.team else None
        return Notice(rows.UNDONE_TIMEOUT, slots={**of_period, "team": line.team, "left": left})
    return Notice(rows.UNDONE, slots={"call": "set_score", **score_slots(after)})


def put_back(before: Game, event: events.PutBackIn, after: Game) -> list[Notice]:
    """What counts again, by its call, and its lines or the line that it changes, as for an undo:
    it may have been taken back long ago. Then whose the arrow is by it; else the score.
    """
    call = next((line.call for line in after.lines if line.entry == event.entry), None)
    changed = (line for line in all_lines(after) if find(before, line.item) != line)
    lines = lines_of(after, event.entry) or tuple(changed)[:1]
    again = [echo for line in lines for echo in _line_again(line, before, after)]
    again += _arrow_now(before, after)
    named = bool(again) or after.phase is Phase.BEFORE
    score = {"home": None, "guest": None} if named else score_slots(after)
    return [Notice(rows.PUT_BACK, slots={"call": call, **score}), *again]


def _line_again(line: BookLine, before: Game, after: Game) -> list[Notice]:
    """The echo of a line that counts again. A free throw is told by its call and the score."""
    if isinstance(line, Goal) and line.free_throw:
        return []
    of_period = period_of(line, after)
    before_it = [Notice(rows.OF_PERIOD, of_period)] if of_period["nth"] else []
    return [*before_it, *line_echo(before, after, line.item)]


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
            return [Notice(rows.CHANGED_TIMEOUT, slots)]
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
    slots |= {**_whose(was, now), **score_slots(after)}
    if now.free_throw and was.free_throw:
        return Notice(rows.CHANGED_THROW, {**slots, "made": now.made})
    points = {"points": now.points, "was_points": _if_other(was.points, now.points)}
    return Notice(rows.CHANGED_GOAL, {**slots, **points})


def _charge(was: Charge, now: Charge, slots: dict[str, object], after: Game) -> Notice:
    slots |= {
        **_whose(was, now),
        **foul_kind(now),
        "was_foul": _if_other(was.foul, now.foul),
        "count": _players_count(now, after),
        "fouls": team_fouls(after, now.team, now.period),
    }
    return Notice(rows.CHANGED_FOUL, slots)


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
