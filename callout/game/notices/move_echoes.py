"""The echoes of held balls, and of substitutions and tips as they were put right, or taken off."""

from __future__ import annotations

from callout.game import events, moves
from callout.game.choices import Held
from callout.game.figures.opening import lacks_first_control
from callout.game.figures.score import period_slots
from callout.game.notices import kinds as rows
from callout.game.notices import move_kinds as kinds
from callout.game.notices.kinds import Notice
from callout.game.state import Game, Move, SubLine


def ball_held(before: Game, event: events.BallHeld, after: Game) -> list[Notice]:
    """Who has the ball after a held ball, or what settles that."""
    if event.throw_in is not None:
        return [Notice(rows.HELD_BALL, {"team": event.throw_in})]
    if after.profile.arrow.used and lacks_first_control(before, after.seen_tenths):
        return [Notice(rows.HELD_BALL_OPEN)]
    defence = after.profile.arrow.held is Held.DEFENCE
    return [Notice(rows.HELD_BALL_DEFENCE if defence else rows.HELD_BALL_JUMP)]


def replaced_move(was: Move, now: Move | None, before: Game, after: Game) -> Notice:
    """What became of a move, and whose the arrow is by it."""
    of_period, arrow = _of_period(was, before), {"arrow": after.arrow}
    if isinstance(was, SubLine):
        if not isinstance(now, SubLine):
            return Notice(kinds.UNDONE_SUB, {**of_period, **_sub(was)})
        return Notice(kinds.CHANGED_SUB, {**of_period, **_sub(now), **_otherwise(was, now)})
    if now is None or now.team is None:
        whose = {"team": was.team} if was.tip else {}
        kind = kinds.UNDONE_TIP if was.tip else kinds.UNDONE_HELD
        return Notice(kind, {**of_period, **whose, **arrow})
    kind = kinds.CHANGED_TIP if was.tip else kinds.CHANGED_HELD
    return Notice(kind, {**of_period, "team": now.team, **arrow})


def _sub(move: SubLine) -> dict[str, object]:
    return {"team": move.team, "entering": move.entering, "leaving": move.leaving}


def _otherwise(was: SubLine, now: SubLine) -> dict[str, object]:
    """What of a substitution was otherwise before; None where it is still the same."""
    old, new = _sub(was), _sub(now)
    return {f"was_{name}": old[name] if old[name] != new[name] else None for name in old}


def _of_period(move: Move, game: Game) -> dict[str, object]:
    """The period of a move; None for the present one."""
    period = max(1, moves.booked(game, move).period)
    if period == game.period:
        return {"nth": None, "unit": None}
    return period_slots(game, period)
