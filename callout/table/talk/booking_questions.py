"""Which calls are asked about before they are booked; pure.

One small function for each kind of call: it looks at the game and gives the question, or None.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any, Final

from callout.game import calls
from callout.game.calls import Call
from callout.game.due import interval_s
from callout.game.figures.forfeits import official_score
from callout.game.figures.fouls import all_thrown, award_begun, brings_no_throw
from callout.game.figures.opportunities import same_ball
from callout.game.figures.running_clock import target_reached
from callout.game.figures.score import (
    assumed_by,
    both_scores,
    called_ms,
    completed_by,
    deciding_scores,
    entry_of,
    newest,
    newest_field_goal,
    open_lines,
    period_slots,
    periods_to_come,
    score,
    shown,
    winner,
)
from callout.game.state import Charge, Forfeited, Game, Goal, Owner, Phase
from callout.game.terms import Team
from callout.table.talk import question_kinds as kinds
from callout.table.talk.question_kinds import QuestionKind
from callout.table.talk.questions import QUIET, Heard, Question, until_ms, with_value

JUMP_TENTHS: Final = 600
"""A correction of the clock by more than this is asked about first."""

NEARLY_MS: Final = 30_000
"""An interval is nearly over with this much of it left: FIBA 49.4 has the horn sound then."""

NUMBER_MS: Final = 15_000
"""A number by itself completes a call made within this time; for an older one it is asked about.

An official gives the table a foul's number within some ten seconds of the whistle, and a scorer
looks for a shirt no longer than that (common practice, no source). After that, a number may as well
be the beginning of another call.
"""


def question_for(heard: Heard, game: Game) -> Question | None:
    """What must be asked before the call is booked, if anything."""
    if heard.source in QUIET:
        return None
    rule = _RULES.get(type(heard.call))
    return rule(heard, game, heard.call) if rule else None


def _yes_or_no(kind: QuestionKind, heard: Heard, **slots: object) -> Question:
    return Question(kind, until_ms(heard), heard, None, slots)


def _end_period(heard: Heard, game: Game, call: calls.EndPeriod) -> Question | None:
    left = _left_to_decide(heard, game)
    return _yes_or_no(kinds.END_PERIOD, heard, left_tenths=left) if left else None


def _end_game(heard: Heard, game: Game, call: calls.EndGame) -> Question | None:
    if to_come := periods_to_come(game):
        unit = period_slots(game, game.period)["unit"]
        return _yes_or_no(kinds.END_GAME_EARLY, heard, count=to_come, unit=unit)
    if left := _left_to_decide(heard, game):
        return _yes_or_no(kinds.END_GAME, heard, left_tenths=left)
    home, guest = deciding_scores(game)
    return (
        _yes_or_no(kinds.END_GAME_LEVEL, heard, home=home, guest=guest) if home == guest else None
    )


def _left_to_decide(heard: Heard, game: Game) -> int:
    """The time left in which the game may still be decided: none once a team has its target.

    Units: tenths of a second.
    Source: 3x3 ends at 21 points, an overtime at two.
    """
    won = any(target_reached(game, team) for team in Team)
    return 0 if won else _left_to_play(heard, game)


def _left_to_play(heard: Heard, game: Game) -> int:
    """The time left in the period being played; 0 where no clock is kept.

    Units: tenths of a second.
    """
    playing = game.phase.in_period
    return heard.at.left_tenths if playing and game.owner is not Owner.NONE else 0


def _start_clock(heard: Heard, game: Game, call: calls.StartClock) -> Question | None:
    """A start early in an interval: by mistake it would begin a period and turn the arrow."""
    if overtime := _overtime(heard, game, call):
        return overtime
    since = game.interval_since_ms
    if game.phase is not Phase.INTERVAL or since is None:
        return None
    left_ms = since + 1000 * interval_s(game) - heard.at.wall_ms
    if left_ms <= NEARLY_MS:
        return None
    return _yes_or_no(kinds.START_EARLY, heard, **period_slots(game, game.period + 1))


def _start_period(heard: Heard, game: Game, call: calls.StartPeriod) -> Question | None:
    """A start while the period before it is still being played ends that one."""
    if left := _left_to_play(heard, game):
        return _yes_or_no(kinds.END_PERIOD, heard, left_tenths=left)
    return _overtime(heard, game, call)


def _no_basket(heard: Heard, game: Game, call: calls.NoBasket) -> Question | None:
    """A basket since which the ball has been live again: perhaps a shot that was never booked."""
    last = newest_field_goal(game)
    if last is None or same_ball(game, last, heard.at.left_tenths):
        return None
    slots = {"team": last.team, "points": last.points, "number": last.number}
    when = {"left_tenths": shown(game, last.left_tenths), **period_slots(game, last.period)}
    return _yes_or_no(kinds.OLD_BASKET, heard, **slots, **when)


def _overtime(heard: Heard, game: Game, call: Call) -> Question | None:
    """An overtime of a game that somebody has won."""
    home, guest = deciding_scores(game)
    over = game.phase is Phase.INTERVAL and not periods_to_come(game)
    if not over or home == guest:
        return None
    return _yes_or_no(kinds.OVERTIME, heard, team=winner(game), home=home, guest=guest)


def _after_end(heard: Heard, game: Game) -> Question | None:
    """What is booked after the game may change who has won it."""
    return _yes_or_no(kinds.AFTER_END, heard) if game.phase is Phase.OVER else None


def _timeout(heard: Heard, game: Game, call: calls.Timeout) -> Question | None:
    """A team's second time-out during its first: perhaps the same one, said again."""
    last = game.timeouts[-1] if game.timeouts else None
    if game.phase is not Phase.TIMEOUT or last is None or last.team is not call.team:
        return None
    return _yes_or_no(kinds.ANOTHER_TIMEOUT, heard, team=call.team)


def _set_score(heard: Heard, game: Game, call: calls.SetScore) -> Question | None:
    slots = {"team": call.team, "points": call.points, "was": score(game, call.team)}
    return Question(kinds.SET_SCORE, until_ms(heard), heard, None, slots)


def _set_clock(heard: Heard, game: Game, call: calls.SetClock) -> Question | None:
    # A clock that is not kept shows nothing to compare with.
    return None if game.owner is Owner.NONE else _clock(heard, call.left_tenths)


def _adjust_clock(heard: Heard, game: Game, call: calls.AdjustClock) -> Question | None:
    return _clock(heard, heard.at.left_tenths + call.tenths)


def _clock(heard: Heard, new_tenths: int) -> Question | None:
    left = heard.at.left_tenths
    if abs(new_tenths - left) <= JUMP_TENTHS:
        return None
    slots = {"left_tenths": left, "new_tenths": new_tenths}
    return Question(kinds.CLOCK, until_ms(heard), heard, None, slots)


def _horn(heard: Heard, game: Game, call: calls.SoundHorn) -> Question | None:
    return Question(kinds.HORN, until_ms(heard), heard) if game.phase is Phase.RUNNING else None


def _forfeit(heard: Heard, game: Game, call: calls.Forfeit) -> Question | None:
    home, guest = official_score(game, Forfeited(call.team, call.default))
    slots = {"team": call.team, "winner": call.team.other, "home": home, "guest": guest}
    return Question(kinds.FORFEIT, until_ms(heard), heard, None, slots)


def _approve(heard: Heard, game: Game, call: calls.Approve) -> Question | None:
    """The approval cannot be taken back, so that the score is read out first."""
    home, guest = both_scores(game)
    count = len(open_lines(game)) or None
    return _yes_or_no(kinds.APPROVE, heard, home=home, guest=guest, open=count)


def _foul(heard: Heard, game: Game, call: calls.Foul) -> Question | None:
    if call.before_horn is not None or game.phase is not Phase.INTERVAL:
        return _after_end(heard, game)
    yes, no = (replace(heard, call=with_value(call, "before_horn", b)) for b in (True, False))
    return Question(kinds.BEFORE_HORN, until_ms(heard), yes, no, {"team": call.team})


def _double_foul(heard: Heard, game: Game, call: calls.DoubleFoul) -> Question | None:
    return _after_end(heard, game)


def _score(heard: Heard, game: Game, call: calls.Score) -> Question | None:
    goals = game.profile.goals
    throw = call.points == goals.throw and call.points not in goals.field and not call.own_basket
    return _after_end(heard, game) or (_odd_throw(heard, game, call.team) if throw else None)


def _shot(heard: Heard, game: Game, call: calls.Shot) -> Question | None:
    if call.team is None:
        if game.owed or game.again:
            return None
        return Question(kinds.TEAM, until_ms(heard), heard, None, {"made": call.made}, "team")
    return _after_end(heard, game) or _odd_throw(heard, game, call.team)


def _odd_throw(heard: Heard, game: Game, team: Team) -> Question | None:
    """One throw more than were awarded for the newest foul, or than any foul brings; or a throw of
    a team that nothing brings one. The throw that is thrown again was asked about before.
    """
    if game.again is team:
        return None
    if award := all_thrown(game, team):
        return _yes_or_no(kinds.EXTRA_THROW, heard, team=team, award=award)
    # Who has booked throws and no foul at all keeps no fouls, and need not be asked each time.
    keeps_fouls = bool(game.charges) or not any(goal.free_throw for goal in game.goals)
    unowed = keeps_fouls and brings_no_throw(game, team)
    return _yes_or_no(kinds.UNOWED_THROW, heard, team=team) if unowed else None


def _lane_violation(heard: Heard, game: Game, call: calls.LaneViolation) -> Question | None:
    """A throw to be thrown again since which the clock has run: nothing brings it any more."""
    line = newest(game)
    if not isinstance(line, Goal) or call.team is line.team or award_begun(game, line.team):
        return None
    if entry_of(line.item) > game.live_since:
        return None
    return _yes_or_no(kinds.UNOWED_THROW, heard, team=line.team)


def is_fresh(game: Game, line: Goal | Charge, wall_ms: int) -> bool:
    """Whether a line was called, or moved to its team, at most `NUMBER_MS` before that time.

    Units: milliseconds since 1970.
    """
    then_ms = called_ms(game, assumed_by(game, line) or entry_of(line.item))
    return then_ms is not None and wall_ms - then_ms <= NUMBER_MS


def _old_number(heard: Heard, game: Game, call: calls.Number) -> Question | None:
    """A number by itself for something that was called more than `NUMBER_MS` ago."""
    line = completed_by(game, call.number)
    if line is None or is_fresh(game, line, heard.at.wall_ms):
        return None
    what = "foul" if isinstance(line, Charge) else "throw" if line.free_throw else "basket"
    slots = {
        "team": line.team,
        "number": call.number,
        "line": what,
        "left_tenths": shown(game, line.left_tenths),
    }
    return Question(kinds.OLD_NUMBER, until_ms(heard), heard, None, slots)


def _starters(heard: Heard, game: Game, call: calls.ConfirmStarters) -> Question | None:
    numbers = game.side(call.team).starters
    return _yes_or_no(kinds.STARTERS, heard, team=call.team, numbers=numbers)


_RULES: Final[Mapping[type[Call], Callable[[Heard, Game, Any], Question | None]]] = {
    calls.EndPeriod: _end_period,
    calls.EndGame: _end_game,
    calls.StartClock: _start_clock,
    calls.StartPeriod: _start_period,
    calls.NoBasket: _no_basket,
    calls.SetScore: _set_score,
    calls.SetClock: _set_clock,
    calls.AdjustClock: _adjust_clock,
    calls.SoundHorn: _horn,
    calls.Forfeit: _forfeit,
    calls.Approve: _approve,
    calls.Foul: _foul,
    calls.DoubleFoul: _double_foul,
    calls.Score: _score,
    calls.Shot: _shot,
    calls.LaneViolation: _lane_violation,
    calls.Timeout: _timeout,
    calls.Number: _old_number,
    calls.ConfirmStarters: _starters,
}
