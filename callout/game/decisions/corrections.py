"""Decisions that correct the book: undo, another number, team or points, additions to the lists."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from callout.game import book_lines as lines
from callout.game.calls import (
    AddPlayer,
    Correct,
    LastNumber,
    LastTeam,
    MakeNumber,
    MakePoints,
    MakeTeam,
    Mark,
    Number,
    PutBack,
    Starter,
    Undo,
)
from callout.game.decisions import refusals
from callout.game.decisions.base import Decision, Refusal, known
from callout.game.events import (
    Event,
    Marked,
    NumberGiven,
    PlayerAdded,
    PointsChanged,
    PutBackIn,
    StarterNamed,
    TakenBack,
    TeamChanged,
)
from callout.game.figures.score import completed_by, newest, unlisted
from callout.game.state import At, Charge, Game, Goal, Line, Phase, TimeoutLine
from callout.game.terms import Team

SLIP_TENTHS: Final = 600
"""A period begun by mistake is noticed before this much of it has been played; after that, "undo"
no longer means its beginning.

Source: common practice, no source.
"""


BEFORE_THE_GAME: Final = frozenset(
    {"set_tip", "tip_in", "check_done", "check_skip", "drop_starter", "confirm_starters"}
)
"""Calls that "undo" passes over once the game has begun."""


def number(game: Game, call: Number, at: At) -> Decision:
    """The newest line without a number whose team has this player gets the number."""
    line = completed_by(game, call.number)
    return _number(game, line, call.number) if line else Refusal(refusals.NOTHING_OPEN)


def make_number(game: Game, call: MakeNumber, at: At) -> Decision:
    """The newest goal or foul gets this number."""
    line = newest(game)
    if not isinstance(line, Goal | Charge):
        return Refusal(refusals.NOTHING_TO_CORRECT)
    return _number(game, line, call.number)


def last_number(game: Game, call: LastNumber, at: At) -> Decision:
    """A team's last basket or foul gets this number."""
    line = _last_basket(game, call.team) if call.entry == "basket" else _last_foul(game, call.team)
    if line is None:
        return Refusal(refusals.NOTHING_TO_CORRECT)
    return _number(game, line, call.number)


def _number(game: Game, line: Goal | Charge, number: str) -> Decision:
    if number in (line.number, line.said):
        return Refusal(refusals.NUMBER_IS_THAT, slots={"team": line.team, "number": number})
    return (NumberGiven(line.item, number, game.side(line.team).has(number)),)


def _last_basket(game: Game, team: Team) -> Goal | None:
    return next((g for g in reversed(game.goals) if g.team is team and g.made), None)


def _last_foul(game: Game, team: Team) -> Charge | None:
    return next((c for c in reversed(game.charges) if c.team is team), None)


def make_team(game: Game, call: MakeTeam, at: At) -> Decision:
    """The newest line moves to this team."""
    return _team(game, newest(game), call.team)


def last_team(game: Game, call: LastTeam, at: At) -> Decision:
    """A team's last basket moves to the other team."""
    return _team(game, _last_basket(game, call.team), call.to)


def _team(game: Game, line: Goal | Charge | TimeoutLine | None, team: Team) -> Decision:
    if line is None or line.team is None:
        return Refusal(refusals.NOTHING_TO_CORRECT)
    if isinstance(line, Charge) and line.double and line.team is not team:
        # One foul of a double foul is on each team; both on one team cannot be true.
        return Refusal(refusals.NOTHING_TO_CORRECT)
    if line.team is team:
        return Refusal(refusals.TEAM_IS_THAT, slots={"team": team})
    shirt = None if isinstance(line, TimeoutLine) else line.number or line.said
    number = known(game, team, shirt)
    return (TeamChanged(line.item, team, number),)


def make_points(game: Game, call: MakePoints, at: At) -> Decision:
    """The newest goal gets these points."""
    line = next((goal for goal in reversed(game.goals) if goal.made), None)
    if line is None:
        return Refusal(refusals.NOTHING_TO_CORRECT)
    goals = game.profile.goals
    if call.points not in (*goals.field, goals.throw):
        return Refusal(refusals.POINTS_IMPOSSIBLE, slots={"points": call.points})
    if line.points == call.points:
        return Refusal(refusals.POINTS_ARE_THAT, slots={"points": call.points})
    return (PointsChanged(line.item, call.points),)


def correct(game: Game, call: Correct, at: At) -> Decision:
    """Nothing: a line can be put right only where the entries are at hand (`put_right.py`)."""
    return Refusal(refusals.NOTHING_TO_CORRECT)


def undo(game: Game, call: Undo, at: At) -> Decision:
    """The newest entry no longer counts; starts and stops of the clock in a period are skipped."""
    for line in reversed(game.lines):
        done_before = line.call in BEFORE_THE_GAME and game.phase is not Phase.BEFORE
        if line.undoable and not done_before and not _played_on(game, line, at):
            return (TakenBack(line.entry),)
    return Refusal(refusals.NOTHING_TO_UNDO)


def _played_on(game: Game, line: Line, at: At) -> bool:
    """Whether an entry began or ended a period and play has gone on since.

    "Undo that" cannot mean such an entry any more.
    """
    if line.entry not in game.turns:
        return False
    if line.entry < max(game.live_since, game.ended):
        return True
    runs = line.entry == game.live_since
    return runs and game.starts[-1].left_tenths - at.left_tenths > SLIP_TENTHS


def put_back(game: Game, call: PutBack, at: At) -> Decision:
    """The entry that was taken back last, or the one that is named, counts again."""
    if not game.taken_back or call.entry not in (None, *game.taken_back):
        return Refusal(refusals.NOTHING_TAKEN_BACK)
    entry = call.entry or game.taken_back[-1]
    if entry in game.turns and entry < game.live_since:
        return Refusal(refusals.PLAYED_ON)
    return (PutBackIn(entry),)


def mark(game: Game, call: Mark, at: At) -> Decision:
    """The moment is marked in the book."""
    return (Marked(max(1, game.period), at.left_tenths),)


def add_player(game: Game, call: AddPlayer, at: At) -> Decision:
    """A number joins the list and gets every line that was booked for that shirt before."""
    if call.number in game.side(call.team).numbers:
        return Refusal(refusals.ON_ROSTER, slots={"team": call.team, "number": call.number})
    seen = unlisted(game, call.team, call.number)
    given = (NumberGiven(line.item, call.number) for line in seen)
    return (PlayerAdded(call.team, call.number), *given)


def starter(game: Game, call: Starter, at: At) -> Decision:
    """A player is named as one of the starters; before the game no more of them than may play.

    Once it has begun nobody can be taken off the starters any more, and one too many is told.
    """
    starters, most = game.side(call.team).starters, game.profile.roster.on_court
    if call.number in starters:
        slots = {"team": call.team, "number": call.number}
        return Refusal(refusals.ALREADY_STARTER, slots=slots)
    if game.phase is Phase.BEFORE and len(starters) >= most:
        return Refusal(refusals.STARTERS_FULL, slots={"team": call.team, "most": most})
    return (StarterNamed(call.team, call.number),)


def too_low(game: Game, found: Iterable[Event]) -> Refusal | None:
    """A correction that would leave a team with fewer points than none cannot be true."""
    lower = (each for each in found if isinstance(each, lines.Lowering))
    team = next(filter(None, (lines.below_zero(game, each) for each in lower)), None)
    return Refusal(refusals.SCORE_TOO_LOW, slots={"team": team}) if team else None
