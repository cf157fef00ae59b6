"""Decisions before the first period: the start, the checklist, the starting fives."""

from __future__ import annotations

from callout.game.decisions import refusals
from callout.game.decisions.base import Decision, Refusal
from callout.game.due import due
from callout.game.events import BeforeTold, ItemChecked, StarterDropped, StartersConfirmed, TipSet
from callout.game.figures.checklist import current, is_done
from callout.game.pregame import (
    BeforeDue,
    CheckDone,
    CheckSeen,
    CheckSkip,
    ConfirmStarters,
    DropStarter,
    SetTip,
    TipIn,
)
from callout.game.state import At, Game, Phase
from callout.game.terms import CheckedAs


def set_tip(game: Game, call: SetTip, at: At) -> Decision:
    """The game is to begin at a moment that is still to come."""
    return _tip(game, call.wall_ms, at)


def tip_in(game: Game, call: TipIn, at: At) -> Decision:
    """The game is to begin in that many minutes."""
    return _tip(game, at.wall_ms + 60_000 * call.minutes, at)


def _tip(game: Game, wall_ms: int, at: At) -> Decision:
    if game.phase is not Phase.BEFORE:
        return Refusal(refusals.HAS_BEGUN)
    if wall_ms <= at.wall_ms:
        return Refusal(refusals.TIP_PAST)
    return (TipSet(wall_ms),)


def done(game: Game, call: CheckDone, at: At) -> Decision:
    """The item that is being asked is done; the person decides, whatever the program sees."""
    return _checked(game, CheckedAs.DONE, at)


def skip(game: Game, call: CheckSkip, at: At) -> Decision:
    """The item that is being asked stays open."""
    return _checked(game, CheckedAs.SKIPPED, at)


def _checked(game: Game, how: CheckedAs, at: At) -> Decision:
    if game.phase is not Phase.BEFORE:
        return Refusal(refusals.HAS_BEGUN)
    item = current(game)
    if item is None:
        return Refusal(refusals.ALL_CHECKED)
    return (ItemChecked(item, how, at.wall_ms),)


def seen(game: Game, call: CheckSeen, at: At) -> Decision:
    """The program sees that an item is done."""
    if game.phase is not Phase.BEFORE:
        return Refusal(refusals.HAS_BEGUN)
    if call.item not in game.profile.before.order or is_done(game, call.item):
        return Refusal(refusals.ALL_CHECKED)
    return (ItemChecked(call.item, CheckedAs.SEEN, at.wall_ms),)


def before_due(game: Game, call: BeforeDue, at: At) -> Decision:
    """A moment before the game is announced, if it is still due."""
    waiting = any(each.call == call for each in due(game))
    told = BeforeTold(call.of, call.item, call.left_s)
    return (told,) if waiting else Refusal(refusals.NOTHING_DUE)


def drop_starter(game: Game, call: DropStarter, at: At) -> Decision:
    """A player does not start."""
    if game.phase is not Phase.BEFORE:
        return Refusal(refusals.HAS_BEGUN)
    if call.number not in game.side(call.team).starters:
        return Refusal(refusals.NO_STARTER, slots={"team": call.team, "number": call.number})
    return (StarterDropped(call.team, call.number),)


def confirm_starters(game: Game, call: ConfirmStarters, at: At) -> Decision:
    """A team's starters are right as they were read back, be they five or fewer."""
    if game.phase is not Phase.BEFORE:
        return Refusal(refusals.HAS_BEGUN)
    numbers = game.side(call.team).starters
    if not numbers:
        return Refusal(refusals.STARTERS_UNKNOWN, slots={"team": call.team})
    return (StartersConfirmed(call.team, numbers),)
