"""Invents the plays of a game: plausible ones, by how often each happens in published games.

The rules engine keeps their true book: it says who is owed throws, whether a team is in the
penalty, who is out, and which call the game would refuse.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any, Final, TypeVar

from callout.game import calls
from callout.game.calls import Call
from callout.game.figures.score import score
from callout.game.figures.timeouts import timeouts_of_kind
from callout.game.kind import Kind
from callout.game.notices.kinds import Notice
from callout.game.state import Game
from callout.game.terms import Award, FoulKind, Team
from callout.practice import kinds
from callout.practice.levels import LAST_TENTHS, Level
from callout.practice.play import SIREN, WHISTLE, Play
from callout.practice.truth import Chance, Truth, any_of

T = TypeVar("T")

# Counted in 1,000 published professional games under FIBA's rules, in per cent of all calls.
GOALS: Final = (20.0, 8.8)
"""Field goals of the lower and of the higher value."""
FOULS: Final[Mapping[FoulKind, float]] = {
    FoulKind.PERSONAL: 18.5,
    FoulKind.OFFENSIVE: 1.8,
    FoulKind.UNSPORTSMANLIKE: 0.3,
    FoulKind.TECHNICAL: 0.2,
}
TIMEOUTS: Final = 3.5
HELD_BALLS: Final = 0.3
MADE: Final = 13.9 / (13.9 + 4.4)
"""The share of free throws that are made."""
SHOOTING: Final = 0.41
"""The share of personal fouls that bring throws by themselves: 18.3 throws come of 18.5 fouls, two
at a time, and a part of them from the penalty."""
SUBSTITUTES: Final = 28.0 / (18.5 + 1.8 + 3.5) / 2
"""How likely substitutes enter at a dead ball. 28 of a hundred calls name one; two at a time."""
SAME_TEAM: Final = 0.6
"""How likely they are of the team on which the foul or time-out was: common practice, no source."""
UNCALLED: Final = 20.0
"""Shots missed and balls lost, which the table does not book: common practice, no source."""
CHANGES_HANDS: Final = 0.75
"""How often the other team has the ball at the next play: common practice, no source."""


class Drawing:
    """The plays of one game, with its true book."""

    def __init__(self, start: Game, level: Level, chance: Chance) -> None:
        self.truth = Truth(start, chance)
        self._level, self._chance = level, chance
        self._ball = Team.HOME
        self._now_ms = 0
        rules = start.profile
        self._near, self._far = sorted(rules.goals.field)[0], sorted(rules.goals.field)[-1]
        fouls = {kind: weight for kind, weight in FOULS.items() if kind in rules.fouls.kinds}
        self._weights: dict[Any, float] = {
            "near": GOALS[0], "far": GOALS[1], **fouls, "timeout": TIMEOUTS,
            "held": HELD_BALLS if level.substitutes else 0.0,
            "uncalled": UNCALLED if level.substitutes else 0.0,
        }  # fmt: skip

    # --- the course of the game -----------------------------------------------------------------

    def opening(self) -> tuple[Call, ...]:
        """What stands in the book before the first play: nothing, or most of a close game."""
        if not self._level.last_period:
            return ()
        rules = self.truth.game.profile
        made: list[Call] = [calls.StartPeriod()] * rules.periods.count
        # Two points apart after so many periods; a penalty is near.
        at_end = 12 * rules.periods.count
        made += [calls.SetScore(Team.HOME, at_end), calls.SetScore(Team.GUEST, at_end + 2)]
        for team in Team:
            made += [calls.Foul(team, number) for number in self.truth.court[team][:3]]
        if rules.arrow.used:
            made.append(calls.SetArrow(self._any(list(Team))))
        if rules.length_tenths(rules.periods.count) > LAST_TENTHS:
            made.append(calls.SetClock(LAST_TENTHS))
        return tuple(call for call in made if self._books(call))

    def plays(self) -> Iterator[Play]:
        """The plays, without an end."""
        yield from self._first()
        while True:
            what, team = self._drawn(self._weights), self._attacks()
            if what in ("near", "far"):
                yield self._goal(team, far=what == "far")
            elif isinstance(what, FoulKind):
                defends = what is not FoulKind.OFFENSIVE
                yield from self._foul(team.other if defends else team, what)
            elif what == "timeout" and self._has_timeout(team):
                yield from self._timeout(team)
            elif what == "held":
                yield self._stopped(Notice(kinds.HELD), calls.HeldBall())
                yield self._in_play()
            elif what == "uncalled":
                yield self._uncalled(team)

    def _attacks(self) -> Team:
        """The team that has the ball; it mostly changes hands."""
        if self._chance.random() < CHANGES_HANDS:
            self._ball = self._ball.other
        return self._ball

    def _first(self) -> Iterator[Play]:
        if self._level.last_period:
            points = {team.value: score(self.truth.game, team) for team in Team}
            yield self._play(Notice(kinds.LATE_IN_GAME, points), calls.StartClock())
            return
        team = self._any(list(Team))
        tip = (calls.Tip(team),)
        told = Notice(kinds.TIP, {"team": team})
        mine, partners = (tip, ()) if self._level.substitutes else ((), tip)
        yield self._play(told, *mine, partner=(calls.StartClock(), *partners), sound=WHISTLE)

    def _goal(self, team: Team, far: bool) -> Play:
        number = self.truth.player(team)
        ways = (
            [kinds.FAR_CORNER, kinds.FAR_TOP]
            if far
            else [kinds.NEAR_DRIVE, kinds.NEAR_JUMPER, kinds.NEAR_REBOUND]
        )
        points = self._far if far else self._near
        slots = {"team": team, "number": number, "points": points}
        return self._play(Notice(self._any(ways), slots), calls.Score(team, points, number))

    def _uncalled(self, team: Team) -> Play:
        slots = {"team": team, "number": self.truth.player(team), "other": team.other}
        return self._play(Notice(self._any([kinds.MISS, kinds.TURNOVER]), slots))

    def _foul(self, team: Team, foul: FoulKind) -> Iterator[Play]:
        number = self.truth.player(team)
        slots: dict[str, Any] = {"team": team, "number": number}
        charge = calls.Foul(team, number, foul)
        if foul is FoulKind.PERSONAL and self._chance.random() < SHOOTING:
            far = self._chance.random() < GOALS[1] / sum(GOALS)
            award = Award.THREE if far and self._far == 3 else Award.TWO
            told = Notice(kinds.FOULED_SHOOTER, {**slots, "award": award})
            yield self._stopped(told, charge, signalled=award)
        elif foul is FoulKind.PERSONAL:
            way: Kind = self._any([kinds.REACHED, kinds.BLOCKED])
            yield self._stopped(Notice(way, slots), charge)
        elif foul is FoulKind.OFFENSIVE:
            yield self._stopped(Notice(kinds.CHARGED, slots), charge)
        else:
            yield self._stopped(Notice(kinds.HARD_FOUL, {**slots, "foul": foul}), charge)
        yield from self._dead_ball(team)
        yield from self._throws()
        yield self._in_play()

    def _throws(self) -> Iterator[Play]:
        while self.truth.game.owed:
            team, made = self.truth.game.owed[0].team, self._chance.random() < MADE
            told = Notice(kinds.THROW_GOOD if made else kinds.THROW_OFF, {"team": team})
            yield self._play(told, calls.Shot(made, team), live=False)

    def _timeout(self, team: Team) -> Iterator[Play]:
        yield self._stopped(Notice(kinds.TIMEOUT, {"team": team}), calls.Timeout(team))
        yield from self._dead_ball(team)
        over = Notice(kinds.TIMEOUT_ENDS)
        if self._level.substitutes:
            yield self._play(over, calls.TimeoutOver(), sound=SIREN, live=False)
        else:
            yield self._play(over, partner=(calls.TimeoutOver(),), sound=SIREN, live=False)
        yield self._in_play()

    def _dead_ball(self, team: Team) -> Iterator[Play]:
        """Substitutes, where the user calls them; of the same team first."""
        if self._chance.random() >= SUBSTITUTES:
            return
        side = team if self._chance.random() < SAME_TEAM else team.other
        self.truth.change(side)
        if self._level.substitutes:
            told = Notice(kinds.SUB_REPORTS, {"team": side})
            yield self._play(told, calls.SubWaiting(), live=False)
            yield self._play(Notice(kinds.SUBS_ENTER), calls.SubsIn(), live=False)

    def _in_play(self) -> Play:
        start = (calls.StartClock(),)
        if self._level.clock:
            return self._play(Notice(kinds.IN_PLAY), *start)
        return self._play(Notice(kinds.IN_PLAY), partner=start)

    # --- one play ---------------------------------------------------------------------------------

    def _stopped(self, told: Notice, call: Call, signalled: Award | None = None) -> Play:
        """A whistle, and what it was for."""
        stop: tuple[Call, ...] = (calls.StopClock(),)
        mine, partner = (stop, ()) if self._level.clock else ((), stop)
        play = self._play(told, *mine, call, partner=partner, sound=WHISTLE, live=False)
        if signalled is None or any(owed.award is signalled for owed in self.truth.game.owed):
            return play
        award = calls.SetAward(signalled)
        self._books(award)
        return replace(play, calls=(*play.calls, award))

    def _play(
        self,
        told: Notice,
        *mine: Call,
        partner: tuple[Call, ...] = (),
        sound: str = "",
        live: bool = True,
    ) -> Play:
        """The play, booked in the true book; what that refuses is not called for."""
        partner = tuple(call for call in partner if self._books(call))
        wanted = tuple(call for call in mine if self._books(call))
        self._now_ms += self._level.gap_ms
        return Play(told, wanted, partner, sound, live)

    def _books(self, call: Call) -> bool:
        return self.truth.books(call, self._now_ms)

    # --- chance -----------------------------------------------------------------------------------

    def _any(self, of: Sequence[T]) -> T:
        return any_of(self._chance, of)

    def _drawn(self, weights: Mapping[Any, float]) -> Any:
        left = self._chance.random() * sum(weights.values())
        for what, weight in weights.items():
            left -= weight
            if left < 0:
                return what
        return next(iter(weights))

    def _has_timeout(self, team: Team) -> bool:
        kinds_left = self.truth.game.profile.timeouts.kinds
        return any(timeouts_of_kind(self.truth.game, team, kind) > 0 for kind in kinds_left)
