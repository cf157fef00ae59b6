"""The notices that an entry of the journal makes due, for the scorer and for the referees.

They are found by comparing the game before the entry with the game after it, so a notice appears
whichever call caused it.
"""

from __future__ import annotations

from callout.game import events
from callout.game.calls import StopClock
from callout.game.figures.fouls import (
    at_limit,
    coach_is_out,
    is_ejected,
    is_out,
    penalty,
    penalty_ball,
    player_fouls,
    team_fouls,
    why_ejected,
)
from callout.game.figures.running_clock import (
    clock_runs_on,
    goal_stops_clock,
    runs_for_lead,
    target_reached,
)
from callout.game.figures.score import all_lines, find, fresh_goal, is_overtime, score_slots
from callout.game.figures.timeouts import lending_period, timeouts_left, timeouts_struck
from callout.game.fold import REWRITING, Entry
from callout.game.kind import Kind, Rank
from callout.game.notices import kinds
from callout.game.notices.bonus_light import lights_changed, lit
from callout.game.notices.clock_doubts import clock_doubts
from callout.game.notices.echoes import ECHOES
from callout.game.notices.endings import ball_follows, goal_runs_on, sub_due, timeout_due
from callout.game.notices.kinds import KINDS, Notice
from callout.game.notices.result import verdicts
from callout.game.notices.rule_breaks import against_the_rules
from callout.game.state import Game, Phase
from callout.game.terms import Award, Moment, Team

__all__ = ["KINDS", "Notice", "Rank", "notices"]


def notices(before: Game, entry: Entry, after: Game) -> tuple[Notice, ...]:
    """The notices of an entry: the most urgent first, then echoes in the order of its events."""
    left = after.seen_tenths
    found = [*_out(before, after), *clock_doubts(before, entry, after), *_must_leave(before, after)]
    found += [*_waiting(before, after, left), *_shots(before, entry, after)]
    found += [*_bonus(before, after, left), *lights_changed(before, entry, after)]
    found += [*_changed_too(before, entry, after)]
    found += [*_pace(before, entry, after), *verdicts(before, entry, after)]
    found += [*_timeouts_changed(before, after), *against_the_rules(before, entry, after)]
    # "Ball dead" is left out where another echo implies it, and so is "time-out over" once the end
    # of the time-out was announced.
    told = Moment.TIMEOUT_END.value in before.reminded
    quiet = (events.BallDead, events.TimeoutEnded) if told else events.BallDead
    rest = [event for event in entry.events if not isinstance(event, quiet)]
    for event in rest or entry.events:
        found += ECHOES[type(event)](before, event, after)
    found.sort(key=lambda notice: (notice.rank, notice.kind.place))
    return tuple(notice.by_rules(after.profile) for notice in found)


def _out(before: Game, after: Game) -> list[Notice]:
    """Players and coaches who are out since this entry, by ejection or by their last foul."""
    fouls, found = after.profile.fouls, []
    renumbered = _renumbered(before, after)
    for team, number in _players(after):
        if (team, number) in renumbered.values():
            continue
        # One foul may do both. Who is ejected has to leave the bench, too: FIBA 38, from memory.
        limit = at_limit(after, team, number) and not is_out(before, team, number)
        ejected = is_ejected(after, team, number) and not is_ejected(before, team, number)
        if limit or ejected:
            nth = player_fouls(after, team, number) if limit else None
            wait = after.profile.table.replace_s
            why = why_ejected(after, team, number) if ejected else None
            slots = {"team": team, "number": number, "nth": nth, "why": why, "replace_s": wait}
            rule = fouls.ejections_rule if ejected else fouls.limit_rule
            found.append(Notice(kinds.PLAYER_OUT, slots, rule))
    for team, number in _players(before):
        still = (team, number) in renumbered or is_out(after, team, number)
        if is_out(before, team, number) and not still:
            found.append(Notice(kinds.MAY_PLAY, {"team": team, "number": number}))
    for team in Team:
        if coach_is_out(after, team) and not coach_is_out(before, team):
            found.append(Notice(kinds.COACH_OUT, {"team": team}))
        if coach_is_out(before, team) and not coach_is_out(after, team):
            found.append(Notice(kinds.COACH_MAY_STAY, {"team": team}))
    return found


def _renumbered(before: Game, after: Game) -> dict[tuple[Team, str], tuple[Team, str]]:
    """Players who are out as before, in another shirt since this entry: the old one and the new."""
    return {
        (team, was): (team, now)
        for team, was in _players(before)
        for side, now in _players(after)
        if side is team
        and was != now
        and _at_first(before, team, was) == _at_first(after, team, now)
        and is_out(before, team, was)
        and is_out(after, team, now)
        and not is_out(after, team, was)
    }


def _at_first(game: Game, team: Team, number: str) -> str:
    """The number that a player had at first."""
    return dict(game.side(team).first_worn).get(number, number)


def _must_leave(before: Game, after: Game) -> list[Notice]:
    """Players who are injured or bleed since this entry, with the time to replace them."""
    wait = after.profile.table.replace_s
    return [
        Notice(
            kinds.MUST_LEAVE,
            {"team": each.team, "number": each.number, "bleeds": each.bleeds, "replace_s": wait},
        )
        for each in after.hurt[len(before.hurt) :]
    ]


def _players(game: Game) -> list[tuple[Team, str]]:
    """Every player who has been charged with a foul, once each, in the order of the book."""
    pairs = [(charge.team, charge.number) for charge in game.charges]
    named = [(team, number) for team, number in (*pairs, *game.sent_off) if number is not None]
    return list(dict.fromkeys(named))


def _shots(before: Game, entry: Entry, after: Game) -> list[Notice]:
    """Throws not yet begun that are new, were given to the other team, or were signalled again.

    Throws that lost the ball to a later penalty are announced again, without the ball.
    """
    old = {owed.foul: (owed.team, owed.award) for owed in before.owed}
    had_ball = {owed.foul: ball_follows(before, owed) for owed in before.owed}
    said = {event.item for event in entry.events if isinstance(event, events.ThrowsAwarded)}
    undone = any(isinstance(event, REWRITING) for event in entry.events)
    found: list[Notice] = []
    for owed in after.owed:
        ball, had = ball_follows(after, owed), had_ball.get(owed.foul)
        other = had not in (None, ball) and (undone or not ball)
        changed = old.get(owed.foul) != (owed.team, owed.award) or other
        kind = kinds.SHOTS_AND_BALL if ball else kinds.SHOTS_OWED
        notice = Notice(kind, {"team": owed.team, "award": owed.award})
        # Several fouls of one stop may owe the same throws: that is said once.
        if (owed.foul in said or (not owed.taken and changed)) and notice not in found:
            found.append(notice)
    return found


def _waiting(before: Game, after: Game, left: int) -> list[Notice]:
    """Time-outs and substitutions that are possible since this entry."""
    found = [note for team in after.timeouts_asked for note in _timeout(before, after, team, left)]
    for side in dict.fromkeys(after.subs_waiting):
        slots = {"team": side}
        if sub_due(after, slots, left) and not sub_due(before, slots, left):
            found.append(Notice(kinds.SUB_DUE, slots))
    return found


def _timeout(before: Game, after: Game, team: Team, left: int) -> list[Notice]:
    """A time-out that is possible since this entry, and the clock that stops for it."""
    kind = _chance(after, team, left)
    if kind is None or kind is _chance(before, team, left):
        return []
    stop = kind is kinds.TIMEOUT_DUE and goal_runs_on(after) and not _stops(after)
    return [*([Notice(kinds.STOP_FOR_TIMEOUT)] if stop else []), Notice(kind, {"team": team})]


def _chance(game: Game, team: Team, left: int) -> Kind | None:
    """How a team's time-out is announced now: with the horn, or without it while the clock runs."""
    if not timeout_due(game, {"team": team}, left):
        return None
    stops = game.profile.chances.goal_stops_for_timeout or _stops(game)
    return kinds.TIMEOUT_IN_PLAY if goal_runs_on(game) and not stops else kinds.TIMEOUT_DUE


def _stops(game: Game) -> bool:
    """Whether the rules stop the clock for the goal that was just made."""
    goal = fresh_goal(game)
    return goal is not None and goal_stops_clock(game, goal)


def _bonus(before: Game, after: Game, left: int) -> list[Notice]:
    """What a team's newest foul has reached: one-and-one, two shots, two shots and the ball; and
    what its next foul brings no more, since there are fewer than were told.
    """
    found: list[Notice] = []
    if after.period < before.period:
        return found  # What the fouls of that period had reached was told then.
    for team in Team:
        now, ball = penalty(after, team, None, left), penalty_ball(after, team, left)
        was, fouls = penalty(before, team, None, left), team_fouls(after, team)
        had_ball = penalty_ball(before, team, left)
        same = now is was and ball is had_ball
        fewer = before.period == after.period and fouls < team_fouls(before, team)
        lost = fewer and was is not Award.NONE and now is Award.NONE
        if lost and lit(before, team, before.seen_tenths) is Award.NONE:
            # It was announced for the next foul, and the light was not on yet.
            found.append(Notice(kinds.NO_BONUS, {"team": team, "fouls": fouls}))
        if fewer and had_ball and not ball and now is not Award.NONE:
            slots = {"team": team, "receiver": team.other, "fouls": fouls}
            found.append(Notice(kinds.NO_BALL, slots))
        if same or now is Award.NONE or fouls <= team_fouls(before, team):
            continue
        slots = {"team": team, "receiver": team.other, "fouls": fouls, "award": now}
        found.append(Notice(kinds.BONUS_AND_BALL if ball else kinds.BONUS, slots))
    return found


def _changed_too(before: Game, entry: Entry, after: Game) -> list[Notice]:
    """How many other lines follow from one that was put right, such as the throws for a foul."""
    right = [event.item for event in entry.events if isinstance(event, events.Replaced)]
    if not right:
        return []
    others = [line for line in all_lines(before) if line.item not in right]
    count = sum(find(after, line.item) != line for line in others)
    return [Notice(kinds.CHANGED_TOO, {"count": count})] if count else []


def _pace(before: Game, entry: Entry, after: Game) -> list[Notice]:
    """The clock that runs on because of a big lead, and points that end the game."""
    left = after.seen_tenths
    # A lead is told once it changes something: where the clock runs on anyway, it does not yet.
    now, was = runs_for_lead(after, left), runs_for_lead(before, before.seen_tenths)
    found = []
    stops = was and not clock_runs_on(after, left)
    if (now and not was) or (stops and after.phase is not Phase.OVER):
        found.append(Notice(kinds.MERCY_ON if now else kinds.MERCY_OFF))
    stopped = isinstance(entry.call, StopClock) and not after.owed
    if stopped and clock_runs_on(after, left):
        found.append(Notice(kinds.CLOCK_RUNS_ON))
    found += [
        Notice(kinds.TARGET_REACHED, {"team": team, **score_slots(after)})
        for team in Team
        if target_reached(after, team) and not target_reached(before, team)
    ]
    return found


def _timeouts_changed(before: Game, after: Game) -> list[Notice]:
    """Time-outs that a team can no longer take, and mandatory ones that are due."""
    # The clock after the entry: a call that begins a period is made at 0 of the old one.
    rules, now, played = after.profile.timeouts, after.seen_tenths, after.phase.in_period
    if not played and lending_period(after) == after.period:
        return []
    if is_overtime(after):
        return []  # What was lost was lost before, and no overtime has mandatory ones.
    found = _struck(before, after)
    first_stop = played and after.ball_dead and not before.ball_dead
    if first_stop and after.phase is not Phase.TIMEOUT:
        taken = [line.team for line in after.timeouts if line.team and line.period == after.period]
        for each in rules.mandatory:
            if len(taken) == each.nth - 1 and now < 10 * each.below_s:
                team = taken[0].other if taken and taken[0] else Team.HOME
                found.append(Notice(kinds.TIMEOUT_MANDATORY, {"team": team}))
    return found


def _struck(before: Game, after: Game) -> list[Notice]:
    """Unused time-outs that are lost since this entry: of both teams in one notice."""
    now, then = after.seen_tenths, before.seen_tenths
    left = {
        team: max(0, timeouts_left(after, team, now))
        for team in Team
        if timeouts_struck(after, team, now) > timeouts_struck(before, team, then)
    }
    if len(left) == len(Team) and len(set(left.values())) == 1:
        return [Notice(kinds.TIMEOUTS_STRUCK, {"left": left[Team.HOME]})]
    return [Notice(kinds.TIMEOUT_STRUCK, {"team": team, "left": left[team]}) for team in left]
