"""A game as plain data, for the printed book, the terminal and `replay --json`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Final, TypeAlias

from callout.game.figures.forfeits import official_score
from callout.game.figures.fouls import (
    coach_charges,
    counting_period,
    is_out,
    penalty,
    player_fouls,
    team_fouls_in,
)
from callout.game.figures.score import last_period, open_lines, score
from callout.game.figures.timeouts import timeouts_left, timeouts_used
from callout.game.kind import Rank
from callout.game.state import Charge, Game, Goal
from callout.game.terms import Offender, Team
from callout.table.clock import clock_text
from callout.table.foul_codes import player_codes
from callout.table.speech.reply import Said, Sort

View: TypeAlias = Mapping[str, Any]
"""What `view` gives, or its JSON read back."""

RANKS: Final = {
    Rank.ACT: "act now",
    Rank.TELL: "tell the referee",
    Rank.ECHO: "echo",
    Rank.ASK: "ask",
}


def view(game: Game, left_tenths: int, said: Iterable[Said] = ()) -> dict[str, Any]:
    """The game as it stands, and the notices and refusals among what was said."""
    said = tuple(said)
    periods = range(1, last_period(game) + 1)
    return {
        "profile": game.profile.name,
        "phase": game.phase.value,
        "period": game.period,
        "clock_tenths": left_tenths,
        "clock_running": game.clock.running,
        "score": _both(lambda team: score(game, team)),
        "by_period": [
            _both(lambda team, period=period: score(game, team, period)) for period in periods
        ],
        "team_fouls": [
            _both(lambda team, period=period: team_fouls_in(game, team, period))
            for period in range(1, _last_counting(game) + 1)
        ],
        "penalty": _both(lambda team: penalty(game, team, None, left_tenths).value),
        "timeouts_used": _both(lambda team: timeouts_used(game, team)),
        "timeouts_left": _both(lambda team: max(0, timeouts_left(game, team, left_tenths))),
        "arrow": game.arrow.value if game.arrow else None,
        "players": _both(lambda team: _players(game, team)),
        "open": _both(lambda team: _open(game, team)),
        "unlisted": _both(lambda team: _unlisted(game, team)),
        "team_points": _both(lambda team: _own_baskets(game, team)),
        "adjusted": _both(lambda team: _adjusted(game, team)),
        "coach_fouls": _both(lambda team: _charged_on(game, team, Offender.COACH)),
        "bench_fouls": _both(lambda team: _charged_on(game, team, Offender.BENCH)),
        "on_court": _both(lambda team: _on_court(game, team)),
        "first_worn": _both(lambda team: dict(game.side(team).first_worn)),
        "forfeit": _forfeit(game),
        "approved": _approved(game),
        "signed": [
            {"entry": each.entry, "by": each.by, "reason": each.reason} for each in game.signatures
        ],
        "entries": game.entry,
        "undone": len(game.taken_back),
        "notices": [_told(each) for each in said if each.sort is Sort.NOTICE and _counts(each)],
        "refusals": [_told(each) for each in said if each.sort is Sort.REFUSAL],
    }


def _both(of: Any) -> dict[str, Any]:
    return {team.value: of(team) for team in Team}


def _approved(game: Game) -> dict[str, Any] | None:
    """The score that the officials approved, by which entry, and who said so if that is known."""
    one = game.approval
    if one is None:
        return None
    told = {"entry": one.entry, "home": one.home, "guest": one.guest}
    return {**told, "by": one.by} if one.by else told


def _last_counting(game: Game) -> int:
    charged = [charge.period for charge in game.charges]
    return counting_period(game.profile, max([1, game.period, *charged]))


def _players(game: Game, team: Team) -> dict[str, Any]:
    lines: list[Goal | Charge] = [*game.goals, *game.charges]
    named = [line.number for line in lines if line.team is team]
    numbers = dict.fromkeys((*game.side(team).numbers, *(n for n in named if n is not None)))
    return {number: _player(game, team, number) for number in numbers}


def _player(game: Game, team: Team, number: str) -> dict[str, Any]:
    mine = [goal for goal in game.goals if (goal.team, goal.number) == (team, number)]
    return {
        "points": sum(goal.counts for goal in mine),
        "made": {
            str(points): sum(goal.made and goal.points == points for goal in mine)
            for points in (1, 2, 3)
        },
        "missed_1": sum(not goal.made for goal in mine),
        "fouls": player_fouls(game, team, number),
        "foul_codes": player_codes(game, game.profile.sheet.form, team, number),
        "out": is_out(game, team, number),
    }


def _open(game: Game, team: Team) -> dict[str, int]:
    return _sums(line for line in open_lines(game) if line.team is team)


def _unlisted(game: Game, team: Team) -> dict[str, dict[str, int]]:
    """The open points and fouls of each shirt that was called and is not on the list."""
    mine = [line for line in open_lines(game) if line.team is team and line.said]
    return {
        said: _sums([line for line in mine if line.said == said])
        for said in dict.fromkeys(line.said for line in mine if line.said)
    }


def _sums(lines: Iterable[Goal | Charge]) -> dict[str, int]:
    lines = tuple(lines)
    return {
        "points": sum(line.counts for line in lines if isinstance(line, Goal)),
        "fouls": sum(isinstance(line, Charge) for line in lines),
    }


def _own_baskets(game: Game, team: Team) -> int:
    """Points from own baskets of the other team, which no player is credited with."""
    mine = [goal for goal in game.goals if goal.own_basket and goal.team is team]
    return sum(goal.counts for goal in mine if goal.number is None)


def _adjusted(game: Game, team: Team) -> int:
    return sum(line.points for line in game.adjustments if line.team is team)


def _charged_on(game: Game, team: Team, on: Offender) -> int:
    return sum(charge.on is on for charge in coach_charges(game, team))


def _on_court(game: Game, team: Team) -> list[str]:
    """The players on court: the starters, changed by the substitutions that were called."""
    return list(dict(game.on_court).get(team, game.side(team).starters))


def _forfeit(game: Game) -> dict[str, Any] | None:
    """Who lost without the game's being played out, and its score by the rules."""
    if game.forfeit is None:
        return None
    home, guest = official_score(game, game.forfeit)
    return {
        "by": game.forfeit.team.value,
        "default": game.forfeit.default,
        "score": {"home": home, "guest": guest},
    }


def _counts(said: Said) -> bool:
    return said.rank is not Rank.ECHO


def _told(said: Said) -> dict[str, Any]:
    told: dict[str, Any] = {
        "at": f"P{said.period} {clock_text(said.left_tenths)}",
        "rank": RANKS[said.rank],
        "kind": said.kind,
        "rule": said.rule,
        "text": said.text,
    }
    if said.sort is Sort.REFUSAL:
        del told["rank"]
    return told
