"""The checklist before a game: what is asked next, what is late, and what the program sees."""

from __future__ import annotations

from callout.game.figures.score import illegal_numbers
from callout.game.profile.before import Look
from callout.game.profile.profile import Profile
from callout.game.state import Game, Phase
from callout.game.terms import CheckedAs, Team


def current(game: Game) -> str | None:
    """The item that is asked now: the first that nobody has touched, else the one that was left
    open longest ago; None where all is done, or the game has begun.
    """
    if game.phase is not Phase.BEFORE:
        return None
    # What the program saw, and sees no longer, is asked like what nobody has touched.
    touched = [each.item for each in game.checks if each.how is not CheckedAs.SEEN]
    open_items = left(game)
    fresh = next((item for item in open_items if item not in touched), None)
    last = {item: at for at, item in enumerate(touched)}
    return fresh or min(open_items, key=lambda item: last[item], default=None)


def left(game: Game) -> tuple[str, ...]:
    """The items that are not done, in the league's order."""
    return tuple(item for item in game.profile.before.order if not is_done(game, item))


def is_done(game: Game, item: str) -> bool:
    """Whether a person said that an item is done, or the program saw it and it still is: a starter
    may have been taken off since, or the time of the start undone.
    """
    last = next((each.how for each in reversed(game.checks) if each.item == item), None)
    return last is CheckedAs.DONE or (last is CheckedAs.SEEN and is_seen(game, item))


def look_of(profile: Profile, item: str) -> Look:
    """What the program itself does for an item; nothing for one that the league does not have."""
    found = profile.before.items.get(item)
    return found.look if found else Look.NONE


def due_s(profile: Profile, item: str) -> int:
    """By how long before the start an item is to be done; 0 where there is no time for it.

    The crew comes when it is due or when the first list is, whichever is earlier. Units: seconds.
    """
    roster = profile.roster
    match look_of(profile, item):
        case Look.ARRIVAL:
            return max(profile.table.crew_before_s, roster.list_before_s, roster.starters_before_s)
        case Look.LISTS:
            return roster.list_before_s
        case Look.STARTERS:
            return roster.starters_before_s
    found = profile.before.items.get(item)
    return found.by_s if found else 0


def lacking(game: Game, item: str) -> tuple[Team, ...]:
    """The teams of which something is missing, for an item that is done team by team."""
    look = look_of(game.profile, item)
    if look is Look.LISTS:
        return tuple(team for team in Team if not game.side(team).numbers)
    if look is Look.STARTERS:
        most = game.profile.roster.on_court
        return tuple(team for team in Team if len(game.side(team).starters) < most)
    return ()


def is_met(game: Game, item: str) -> bool:
    """Whether a deadline has lost its point: what it is about is there, or a person said so."""
    look = look_of(game.profile, item)
    there = look in (Look.LISTS, Look.STARTERS) and not lacking(game, item)
    return there or is_done(game, item)


def is_seen(game: Game, item: str) -> bool:
    """Whether the program sees by itself that an item is done."""
    match look_of(game.profile, item):
        case Look.TIP:
            return game.tip_ms is not None
        case Look.LISTS:
            return not lacking(game, item)
        case Look.NUMBERS:
            listed = all(game.side(team).numbers for team in Team)
            return listed and not any(list_faults(game, team) for team in Team)
        case Look.STARTERS:
            return not lacking(game, item) and set(game.starters_read) == set(Team)
    return False


def list_faults(game: Game, team: Team) -> tuple[str, ...]:
    """The numbers that the league does not allow on a team's list, and those that are too many."""
    numbers, most = game.side(team).numbers, game.profile.roster.most
    return (*illegal_numbers(game.profile, numbers), *(numbers[most:] if most else ()))


def late(game: Game, wall_ms: int) -> tuple[str, ...]:
    """The items whose deadline has passed at that moment, and that are not done."""
    tip = game.tip_ms
    if tip is None or game.phase is not Phase.BEFORE:
        return ()
    deadlines = ((item, due_s(game.profile, item)) for item in game.profile.before.order)
    passed = (item for item, due in deadlines if due and tip - 1000 * due <= wall_ms)
    return tuple(item for item in passed if not is_met(game, item))
