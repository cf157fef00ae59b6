"""What the table owes the scorer and the referees after an entry of the journal.

`notices(before, entry, after)` is pure. What is due is found by comparing the two games, so a
notice appears whichever call brought it about. `KINDS` is the list of all that may be said, with
the slots of each; a language's replies are checked against it.
"""

from __future__ import annotations

from callout.game import events
from callout.game.echoes import ECHOES
from callout.game.fold import Entry
from callout.game.notice import KINDS, Notice, Rank
from callout.game.profile import Light
from callout.game.questions import (
    both_scores,
    find,
    is_out,
    legal_on_roster,
    penalty,
    player_fouls,
    team_fouls,
    timeouts_left,
)
from callout.game.state import Charge, Game, Goal, Phase
from callout.game.terms import Award, Offender, Team

__all__ = ["KINDS", "Notice", "Rank", "notices"]


def notices(before: Game, entry: Entry, after: Game) -> tuple[Notice, ...]:
    """All that an entry makes due, the most urgent first and echoes in the order of events."""
    found = [*_players_out(before, after), *_waiting(before, after)]
    found += _shots(before, entry, after)
    found += [*_bonus(before, after), *_against_the_rules(before, entry, after)]
    # That the ball is dead is said only where nothing else of the entry says it.
    rest = [event for event in entry.events if not isinstance(event, events.BallDead)]
    for event in rest or entry.events:
        found += ECHOES[type(event)](before, event, after)
    return tuple(sorted(found, key=lambda notice: notice.rank))


def _players_out(before: Game, after: Game) -> list[Notice]:
    found = []
    for team, number in _players(after):
        if is_out(after, team, number) and not is_out(before, team, number):
            nth = player_fouls(after, team, number)
            limit = nth >= after.profile.fouls.limit
            slots = {"team": team, "number": number, "nth": nth if limit else None}
            found.append(Notice("player_out", Rank.ACT, slots, after.profile.fouls.limit_rule))
    return found


def _players(game: Game) -> list[tuple[Team, str]]:
    """Every player who has been charged with a foul, once each, in the order of the book."""
    pairs = [
        (charge.team, charge.number)
        for charge in game.charges
        if charge.number is not None and charge.on is Offender.PLAYER
    ]
    return list(dict.fromkeys(pairs))


def _shots(before: Game, entry: Entry, after: Game) -> list[Notice]:
    """Throws that are new, another team's now, or signalled once more; none begun already."""
    old = {(owed.foul, owed.team, owed.award) for owed in before.owed}
    said = {event.item for event in entry.events if isinstance(event, events.ThrowsAwarded)}
    return [
        Notice("shots_owed", Rank.ACT, {"team": owed.team, "award": owed.award})
        for owed in after.owed
        if owed.foul in said or (not owed.taken and (owed.foul, owed.team, owed.award) not in old)
    ]


def _waiting(before: Game, after: Game) -> list[Notice]:
    """Time-outs and substitutes that have their chance, which they had not before."""
    rule = after.profile.table.sub_rule
    timeouts = [
        Notice("timeout_due", Rank.ACT, {"team": team})
        for team in after.timeouts_asked
        if not (before.ball_dead and team in before.timeouts_asked)
    ]
    subs = [
        Notice("sub_due", Rank.ACT, {"team": team}, rule)
        for team in dict.fromkeys(after.subs_waiting)
        if not (before.ball_dead and team in before.subs_waiting)
    ]
    chance = after.ball_dead and after.phase is not Phase.OVER
    return [*timeouts, *subs] if chance else []


def _bonus(before: Game, after: Game) -> list[Notice]:
    """The step of the penalty that a team's newest foul has reached."""
    found = []
    for team in Team:
        now, was = penalty(after, team), penalty(before, team)
        fouls = team_fouls(after, team)
        if now is was or now is Award.NONE or fouls <= team_fouls(before, team):
            continue
        slots = {"team": team, "receiver": team.other, "fouls": fouls, "award": now}
        lights = {Light.RECEIVER: "bonus", Light.OFFENDER: "bonus_offender"}
        kind = lights[after.profile.penalty.light]
        found.append(Notice(kind, Rank.TELL, slots, after.profile.penalty.rule))
    return found


def _against_the_rules(before: Game, entry: Entry, after: Game) -> list[Notice]:
    found = []
    for event in entry.events:
        match event:
            case events.FoulCharged() | events.Scored() | events.FreeThrow():
                found += _by_someone_out(before, event.team, event.number)
            case events.Substituted():
                found += _by_someone_out(before, event.team, event.entering)
            case events.NumberGiven():
                line = find(after, event.item)
                if isinstance(line, Goal | Charge):
                    found += _by_someone_out(before, line.team, line.number)
            case events.TimeoutGranted(team=Team() as team):
                found += _timeouts_spent(after, team)
            case events.PlayerAdded():
                found += _late_name(after, event)
            case events.PeriodStarted():
                found += _unlevel(after)
            case _:
                pass
    new_misfits = len(after.misfits) > len(before.misfits)
    return [*found, *([Notice("misfit", Rank.TELL)] if new_misfits else [])]


def _by_someone_out(before: Game, team: Team, number: str | None) -> list[Notice]:
    if number is None or not is_out(before, team, number):
        return []
    slots = {"team": team, "number": number}
    return [Notice("plays_though_out", Rank.TELL, slots, before.profile.fouls.limit_rule)]


def _timeouts_spent(after: Game, team: Team) -> list[Notice]:
    left = timeouts_left(after, team)
    rule = after.profile.timeouts.rule
    if left < 0:
        return [Notice("timeout_excess", Rank.TELL, {"team": team}, rule)]
    return [Notice("timeout_last", Rank.TELL, {"team": team}, rule)] if left == 0 else []


def _late_name(after: Game, event: events.PlayerAdded) -> list[Notice]:
    slots = {"team": event.team, "number": event.number}
    found = []
    if after.phase is not Phase.BEFORE:
        found.append(Notice("roster_late", Rank.TELL, slots, after.profile.roster.late_rule))
    if not legal_on_roster(after.profile, event.number):
        found.append(Notice("number_illegal", Rank.TELL, slots, after.profile.roster.late_rule))
    return found


def _unlevel(after: Game) -> list[Notice]:
    home, guest = both_scores(after)
    if after.period > after.profile.periods.count and home != guest:
        return [Notice("not_level", Rank.TELL, {"home": home, "guest": guest})]
    return []
