"""When a notice has been acted on, as far as the book shows.

There is one function for each kind that comes again; the kind's row in `kinds.py` names it. It
takes the notice's slots, the entry that made it, and the game now. Where the rules give no end, the
notice ends once play has gone on, because nobody will act on it after that.
"""

from __future__ import annotations

from callout.game.figures.fouls import brings_ball, coach_is_out, is_out
from callout.game.figures.opportunities import FRESH_TENTHS, sub_chance, timeout_chance
from callout.game.figures.score import entry_of, find, is_decided
from callout.game.kind import Slots
from callout.game.state import Charge, Game, Goal, Owed, Owner, Phase


def ball_follows(game: Game, owed: Owed) -> bool:
    """Whether a throw-in follows the throws that are owed: only those of the last penalty.

    Source: FIBA 42, possession only as part of the last penalty; for the others from memory.
    """
    charge = find(game, owed.foul)
    if not isinstance(charge, Charge) or not brings_ball(game, charge):
        return False
    later = (each for each in game.owed if each.foul > owed.foul and each.team is not owed.team)
    lines = (find(game, each.foul) for each in later)
    return not any(isinstance(line, Charge) and brings_ball(game, line) for line in lines)


def sub_due(game: Game, slots: Slots, left_tenths: int) -> bool:
    """Whether the horn should be sounded now for a substitute who waits.

    Not in an interval, nor before the clock has run after it: they come in without the horn then.
    """
    played = game.phase.in_period
    begun = game.owner is Owner.NONE or game.live_since > game.ended
    waits = slots["team"] in game.subs_waiting
    return waits and played and begun and sub_chance(game, slots["team"], left_tenths)


def timeout_due(game: Game, slots: Slots, left_tenths: int) -> bool:
    """Whether a time-out that a team has asked for may be granted now, and is of use."""
    team = slots["team"]
    waits = team in game.timeouts_asked and timeout_chance(game, team, left_tenths)
    return waits and not is_decided(game)


def goal_runs_on(game: Game) -> bool:
    """Whether the clock runs, and the ball is dead at most because of a goal.

    The scorer's horn is for a dead ball and a stopped clock: NFHS 2-11-3, 3-3-1.
    """
    return game.phase is Phase.RUNNING and not game.ball_dead


# --- the functions that rows name -----------------------------------------------------------------


def clock_stands(slots: Slots, entry: int, game: Game) -> bool:
    """The clock was stopped, the ball is dead, or play went on with the clock running."""
    lines: tuple[Goal | Charge, ...] = (*game.goals, *game.charges)
    went_on = any(entry_of(line.item) > entry for line in lines)
    return game.phase is not Phase.RUNNING or game.ball_dead or went_on


def stopped_for_timeout(slots: Slots, entry: int, game: Game) -> bool:
    """The clock was stopped, the time-out was withdrawn, or its chance is over."""
    waits = any(timeout_due(game, {"team": t}, game.seen_tenths) for t in game.timeouts_asked)
    return not (waits and goal_runs_on(game))


def clock_stopped(slots: Slots, entry: int, game: Game) -> bool:
    """The clock was stopped, or a goal shows that play went on with the clock running."""
    return game.phase is not Phase.RUNNING or _scored_since(entry, game)


def clock_started(slots: Slots, entry: int, game: Game) -> bool:
    """The clock was started, or the period has ended."""
    return game.phase not in (Phase.STOPPED, Phase.TIMEOUT)


def player_left(slots: Slots, entry: int, game: Game) -> bool:
    """The player was substituted, the foul was corrected, or the next period has begun."""
    team, number = slots["team"], str(slots["number"])
    left = any((each.team, each.leaving) == (team, number) for each in game.changes)
    starters = game.side(team).starters
    benched = bool(starters) and number not in dict(game.on_court).get(team, starters)
    out = is_out(game, team, number)
    return left or benched or not out or _next_period(entry, game)


def hurt_left(slots: Slots, entry: int, game: Game) -> bool:
    """The player was replaced, the team took a time-out, or play has gone on."""
    team, number = slots["team"], str(slots["number"])
    still = any((each.team, each.number) == (team, number) for each in game.hurt)
    left = any((each.team, each.leaving) == (team, number) for each in game.changes)
    timeout = any(t.team is team and entry_of(t.item) > entry for t in game.timeouts)
    return not still or left or timeout or max(game.live_since, game.ended) > entry


def coach_left(slots: Slots, entry: int, game: Game) -> bool:
    """The foul was corrected, or the next period has begun."""
    return not coach_is_out(game, slots["team"]) or _next_period(entry, game)


def shots_taken(slots: Slots, entry: int, game: Game) -> bool:
    """Throws that no throw-in follows were begun or cancelled, or play has gone on."""
    owed = any(not ball_follows(game, each) for each in _unbegun(slots, game))
    return not owed or _went_on(entry, game)


def shots_and_ball_taken(slots: Slots, entry: int, game: Game) -> bool:
    """Throws that a throw-in follows were begun or cancelled, or play has gone on."""
    owed = any(ball_follows(game, each) for each in _unbegun(slots, game))
    return not owed or _went_on(entry, game)


def _unbegun(slots: Slots, game: Game) -> list[Owed]:
    wanted = (slots["team"], slots["award"], 0)
    return [each for each in game.owed if (each.team, each.award, each.taken) == wanted]


def timeout_granted(slots: Slots, entry: int, game: Game) -> bool:
    """The time-out was granted or withdrawn, or is not possible any more."""
    return not timeout_due(game, slots, game.seen_tenths)


def timeout_missed(slots: Slots, entry: int, game: Game) -> bool:
    """The chance after a goal is over, or the clock was stopped, and the horn may sound."""
    return not (timeout_due(game, slots, game.seen_tenths) and goal_runs_on(game))


def subs_entered(slots: Slots, entry: int, game: Game) -> bool:
    """The substitutes came in or were withdrawn, or may not come in any more."""
    return not sub_due(game, slots, game.seen_tenths)


def _next_period(entry: int, game: Game) -> bool:
    return game.ended > entry and game.phase is not Phase.INTERVAL


def _went_on(entry: int, game: Game) -> bool:
    """Whether the ball was in play after an entry.

    The clock, the end of a period, a field goal or a later foul shows that.
    """
    if max(game.live_since, game.ended) > entry:
        return True
    if _scored_since(entry, game):
        return True
    line = next((line for line in reversed(game.lines) if line.entry == entry), None)
    latest = line.left_tenths - FRESH_TENTHS if line else 0
    newer = (charge for charge in game.charges if entry_of(charge.item) > entry)
    return any(charge.left_tenths < latest for charge in newer)


def _scored_since(entry: int, game: Game) -> bool:
    return any(entry_of(goal.item) > entry and not goal.free_throw for goal in game.goals)
