"""The score, and lookups in the book: a line by its name, the newest, the open ones."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from callout.game.profile.profile import Profile
from callout.game.state import (
    ITEMS_PER_ENTRY,
    BookLine,
    Charge,
    Game,
    Goal,
    Owed,
    Owner,
    Phase,
    TimeoutLine,
)
from callout.game.terms import Offender, Team

# --- score ----------------------------------------------------------------------------------


def score(game: Game, team: Team, period: int | None = None) -> int:
    """A team's points, in the whole game or in one period."""
    lines = [(goal.team, goal.period, goal.counts) for goal in game.goals]
    lines += [(line.team, line.period, line.points) for line in game.adjustments]
    return sum(p for t, q, p in lines if t is team and period in (None, q))


def both_scores(game: Game) -> tuple[int, int]:
    """Home's points and guest's."""
    return score(game, Team.HOME), score(game, Team.GUEST)


def winner(game: Game) -> Team | None:
    """The team with more points, or None if the score is level."""
    home, guest = both_scores(game)
    if home == guest:
        return None
    return Team.HOME if home > guest else Team.GUEST


def deciding_scores(game: Game) -> tuple[int, int]:
    """Home's points and guest's, as far as they decide whether an overtime follows this period.

    Throws for a foul made in an interval belong to the period to come. They begin an overtime and
    do not make one needless; only where the game was not level without them do all points count.
    Source: FIBA 41.1.3, 8.7; NFHS 5-6-2, from memory.
    """
    begun = range(1, max(1, game.period) + 1)
    home, guest = (sum(score(game, team, each) for each in begun) for team in Team)
    return (home, guest) if home == guest else both_scores(game)


def is_level(game: Game) -> bool:
    """Whether an overtime must follow the last period, if that is over now."""
    home, guest = deciding_scores(game)
    return home == guest


def periods_to_come(game: Game) -> int:
    """How many of the regular periods have not begun."""
    return max(0, game.profile.periods.count - game.period)


def is_decided(game: Game) -> bool:
    """Whether the last period is over and one team leads, so that no other follows."""
    return game.phase is Phase.INTERVAL and not periods_to_come(game) and not is_level(game)


def last_period(game: Game) -> int:
    """The last period that has begun, or already has points by throws in the interval before it."""
    return max(1, game.period, *(goal.period for goal in game.goals))


# --- the book's newest lines ----------------------------------------------------------------


def entry_of(item: int) -> int:
    """The journal entry that made a line of the book."""
    return item // ITEMS_PER_ENTRY


def needs_number(line: Goal | Charge) -> bool:
    """Whether a line waits for a shirt number."""
    if line.number is not None:
        return False
    if isinstance(line, Goal):
        return not line.own_basket
    return line.on is Offender.PLAYER


def open_lines(game: Game) -> tuple[Goal | Charge, ...]:
    """The lines that wait for a shirt number, oldest first."""
    lines: list[Goal | Charge] = [*game.goals, *game.charges]
    return tuple(sorted(filter(needs_number, lines), key=lambda line: line.item))


def completed_by(game: Game, number: str) -> Goal | Charge | None:
    """The line that a number by itself belongs to.

    That is the line whose player has just been assumed, if another one is named: a throw, or a line
    that was moved to this team with the other team's number, if no newer line waits for such a
    number. Else it is the newest line without a number whose team has that player; else the newest
    of all without one.
    """
    just, waiting = _just_assumed(game), open_lines(game)
    fitting = [line for line in waiting if game.side(line.team).has(number)]
    newer = just and fitting and fitting[-1].item > just.item
    if just and not newer and game.side(just.team).has(number):
        # Who names the number that a line was moved with means that line, and no older one.
        moved = assumed_by(game, just) != entry_of(just.item)
        if moved or just.number != number:
            return just
    return next(reversed(fitting or waiting), just)


def assumed_by(game: Game, line: Goal | Charge) -> int | None:
    """The entry that last assumed a number for a line that was called with none, or with another
    team's; None if none did.
    """
    item, entry = game.assumed or (None, None)
    return entry if item == line.item else None


def _just_assumed(game: Game) -> Goal | Charge | None:
    """The line whose number was assumed just now: since then nothing was called that "undo" would
    take back, and the clock was not started.
    """
    item, entry = game.assumed or (0, 0)
    calls = (x.entry for x in reversed(game.lines) if x.undoable or x.call == "start_clock")
    line = find(game, item)
    return line if next(calls, 0) == entry and isinstance(line, Goal | Charge) else None


def unlisted(game: Game, team: Team, number: str) -> tuple[Goal | Charge, ...]:
    """The open lines that were called for this shirt, which is not on the team's list."""
    return tuple(x for x in open_lines(game) if (x.team, x.said) == (team, number))


def called_ms(game: Game, entry: int) -> int | None:
    """When an entry was called; None if it was taken back.

    Units: milliseconds since 1970.
    """
    return next((line.wall_ms for line in reversed(game.lines) if line.entry == entry), None)


def find(game: Game, item: int) -> BookLine | None:
    """The line with that name, if it is still in the book."""
    book: list[Sequence[BookLine]] = [game.goals, game.charges, game.adjustments, game.timeouts]
    for lines in book:
        # Each tuple is in ascending order, and the line wanted is mostly a recent one.
        nearest = next((line for line in reversed(lines) if line.item <= item), None)
        if nearest and nearest.item == item:
            return nearest
    return None


def fresh_goal(game: Game) -> Goal | None:
    """The field goal since which nothing has happened, not even a whistle."""
    line = None if game.fresh_goal is None else find(game, game.fresh_goal)
    return line if isinstance(line, Goal) else None


def goal_by(game: Game) -> Team | None:
    """The team of that goal, which may have been corrected after it was booked."""
    goal = fresh_goal(game)
    return goal.team if goal else None


def newest_field_goal(game: Game) -> Goal | None:
    """The field goal booked last."""
    return next((goal for goal in reversed(game.goals) if not goal.free_throw), None)


def lines_of(game: Game, entry: int) -> tuple[BookLine, ...]:
    """The lines made by one journal entry."""
    return tuple(line for line in all_lines(game) if entry_of(line.item) == entry)


def newest_charge(game: Game) -> Charge | None:
    """The foul booked last."""
    return max(game.charges, key=lambda charge: charge.item, default=None)


def owed_to(game: Game, team: Team) -> Owed | None:
    """The first award of a team that has throws left."""
    return next((owed for owed in game.owed if owed.team is team), None)


def newest(game: Game) -> Goal | Charge | TimeoutLine | None:
    """The newest line that "make that …" may change."""
    lines = [line for line in all_lines(game) if isinstance(line, Goal | Charge | TimeoutLine)]
    return max(lines, key=lambda line: line.item, default=None)


def all_lines(game: Game) -> Iterator[BookLine]:
    """Every line of the book, kind by kind."""
    yield from game.goals
    yield from game.charges
    yield from game.adjustments
    yield from game.timeouts


# --- periods ----------------------------------------------------------------------------------


def is_overtime(game: Game, period: int | None = None) -> bool:
    """Whether a period, by default the present one, is an overtime."""
    return game.profile.is_overtime(game.period if period is None else period)


def illegal_numbers(profile: Profile, numbers: Sequence[str]) -> tuple[str, ...]:
    """The numbers that the league does not allow; 00 beside 0, where it allows only one of them."""
    legal = frozenset(profile.legal_numbers())
    both = not profile.roster.zeros_together and {"0", "00"} <= set(numbers)
    return tuple(n for n in numbers if n not in legal or (both and n == "00"))


def shown(game: Game, left_tenths: int) -> int | None:
    """The time as a slot of a notice: None in a game for which the table keeps no clock."""
    return None if game.owner is Owner.NONE else left_tenths


def score_slots(game: Game) -> dict[str, object]:
    """The score as slots of a notice."""
    home, guest = both_scores(game)
    return {"home": home, "guest": guest}


def period_slots(game: Game, period: int) -> dict[str, object]:
    """A period's name as slots of a notice: first quarter, second half, first overtime."""
    count = game.profile.periods.count
    if period > count:
        return {"nth": period - count, "unit": "overtime"}
    return {"nth": period, "unit": {1: "period", 2: "half"}.get(count, "quarter")}
