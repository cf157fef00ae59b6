"""Random games with one mistake in each, found when another book is compared, and how soon the
table names it.

A game is a list of what happened, possession by possession; one call of it is lost, made twice,
given to the other team, or has wrong points. What the ear would keep of each call beside the words,
a second choice with its share, is drawn at random, since nobody has recorded it at a real table:
the rates stand below, and each figure is taken without them as well.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from random import Random
from typing import Final

from callout.game import calls
from callout.game.calls import Call
from callout.game.figures.compared import Compared, booked
from callout.game.figures.score import all_lines, entry_of
from callout.game.state import Charge, Goal
from callout.game.suspect import Cause, Suspect
from callout.game.terms import Award, Figure, Team
from callout.table.setup.roster import parse_roster
from callout.table.setup.setup import Listed, Setup
from callout.table.talk.questions import Readings
from tests.table.play import Table

LISTS: Final = {
    Team.HOME: ("3", "4", "5", "10", "11", "12", "15", "20", "21", "23", "30", "32"),
    Team.GUEST: ("1", "3", "5", "11", "14", "15", "22", "24", "25", "33", "34", "42"),
}
"""A third of the numbers is worn in both teams."""
SETUP: Final = Setup(
    "nfhs-2026",
    Listed("Harbour Kites", parse_roster(" ".join(LISTS[Team.HOME]))),
    Listed("Quarry Foxes", parse_roster(" ".join(LISTS[Team.GUEST]))),
)
LEAGUES: Final = ("nfhs-2026", "fiba-2024", "fiba-2022", "ncaa-women-2026", "youth-6-minute")
CAUSES: Final = ("lost", "doubled", "other team", "points")

SECOND_CHOICE: Final = 0.25
"""So many of the right calls have a second choice of the ear; two thirds of these differ in the
number. Assumed."""
MISHEARD: Final = 0.5
"""So many of the wrong calls were misheard, with what was said as the second choice; the others
were said wrongly, and the ear knows nothing of it. Assumed."""
TRACED: Final = 0.5
"""So many of the lost calls were made and not understood, and the table said so. Assumed."""
BY_KEY: Final = 0.3
"""So many calls are made by keys, which have no second choice. Assumed."""
SHARES: Final = (0.002, 0.05)
"""The range of a second choice's share, drawn evenly by its logarithm: above it the table asks."""

TOLD: Final = ("one figure", "both teams", "and the period", "and the player")
"""What is told of the other book, each after all before it."""


@dataclass(frozen=True)
class Deed:
    """What happened: a call that tells it, and when it is made."""

    call: Call
    seconds: float
    """After the one before it."""


@dataclass(frozen=True)
class Mistake:
    """The one call that went wrong, and where in the game."""

    at: int
    cause: str
    right: Call
    wrong: Call | None
    """None for a call that was lost."""


@dataclass
class Found:
    """What came of one game."""

    mistake: Mistake
    ranks: dict[str, int | None]
    """At which place the true cause was offered, from 1, for each of `TOLD`; None if it was not."""
    said: str = ""
    """The first question, where both teams' figures were told."""


def played(random: Random, periods: int) -> list[Deed]:
    """The deeds of a whole game: possessions of 8 to 24 seconds that mostly alternate."""
    deeds: list[Deed] = []
    team = random.choice(list(Team))
    for _ in range(periods):
        deeds.append(Deed(calls.StartClock(), 60))
        for _ in range(random.randint(22, 30)):
            deeds += _possession(random, team)
            # An offensive rebound, or a ball stolen back, now and then.
            team = team.other if random.random() < 0.85 else team
        deeds += [Deed(calls.EndPeriod(), 5)]
    return deeds


def _possession(random: Random, team: Team) -> list[Deed]:
    wait, number = random.uniform(8, 24), random.choice(LISTS[team])
    fouler = random.choice(LISTS[team.other])
    what = random.choices(("basket", "nothing", "shots", "foul"), (45, 32, 12, 11))[0]
    if what == "basket":
        return [Deed(calls.Score(team, random.choice((2, 2, 2, 3)), number), wait)]
    if what == "nothing":
        return [Deed(calls.Mark(), wait)] if random.random() < 0.02 else []
    stopped = [Deed(calls.Foul(team.other, fouler), wait), Deed(calls.StopClock(), 1)]
    start = Deed(calls.StartClock(), 10)
    if what == "foul":
        return [*stopped, start]
    shots = [Deed(calls.Shot(random.random() < 0.7, team, number), 7) for _ in range(2)]
    return [*stopped, Deed(calls.SetAward(Award.TWO), 2), *shots, start]


def mistake_in(random: Random, deeds: list[Deed], cause: str) -> Mistake:
    """A random call that goes wrong in that way."""
    kinds = (calls.Score,) if cause == "points" else (calls.Score, calls.Shot, calls.Foul)
    at = random.choice([
        nth
        for nth, deed in enumerate(deeds[:-2])
        if isinstance(deed.call, kinds) and getattr(deed.call, "made", True)
    ])  # fmt: skip
    right = deeds[at].call
    if cause == "lost":
        return Mistake(at, cause, right, None)
    if cause == "doubled":
        return Mistake(at, cause, right, right)
    if cause == "points":
        assert isinstance(right, calls.Score)
        return Mistake(at, cause, right, replace(right, points=5 - right.points))
    assert isinstance(right, calls.Score | calls.Shot | calls.Foul)
    assert right.team is not None
    return Mistake(at, cause, right, replace(right, team=right.team.other))


def other_readings(random: Random, call: Call, truth: Call | None, heard: bool) -> Readings:
    """The second choice of the ear: of a wrong call that was misheard, what was said."""
    low, high = SHARES
    share = low * (high / low) ** random.random()
    if truth is not None:
        return ((truth, share),) if heard and random.random() < MISHEARD else ()
    if not heard or random.random() > SECOND_CHOICE:
        return ()
    if not isinstance(call, calls.Score | calls.Foul) or call.number is None:
        return ()
    if random.random() < 2 / 3:
        return ((replace(call, number=random.choice(LISTS[call.team])), share),)
    if isinstance(call, calls.Score) and random.random() < 0.5:
        return ((replace(call, points=5 - call.points), share),)
    return ((replace(call, team=call.team.other), share),)


def game_with_a_mistake(seed: int, heard: bool = True) -> Found:
    """One random game, kept with one mistake until another book is compared."""
    random = Random(seed)
    table = Table(replace(SETUP, profile=LEAGUES[seed % len(LEAGUES)]))
    deeds = played(random, table.game.profile.periods.count)
    mistake = mistake_in(random, deeds, CAUSES[seed % len(CAUSES)])
    compared_at = random.randint(mistake.at + 1, min(len(deeds) - 1, mistake.at + 120))
    item = period = 0
    for nth, deed in enumerate(deeds[: compared_at + 1]):
        wrong = nth == mistake.at
        period = table.game.period if wrong else period
        call = mistake.wrong if wrong and mistake.cause != "doubled" else deed.call
        time_passes(table, deed.seconds)
        if call is None:
            if heard and random.random() < TRACED:
                table.session.not_heard("voice")
            continue
        truth = deed.call if call != deed.call else None
        call_made(table, random, call, other_readings(random, call, truth, heard))
        if wrong and mistake.cause == "doubled":
            time_passes(table, random.choice((1.0, 1.5, 2.0, 3.0, 3.5, 5.0, 7.0, 9.0, 14.0, 18.0)))
            call_made(table, random, call, (), source="key")
        if wrong:
            item = max(line.item for line in all_lines(table.game))
    return _compared(table, random, mistake, item, period)


def time_passes(table: Table, seconds: float) -> None:
    table.time.set(table.time.wall_ms() + round(1000 * seconds))
    table.session.tick()


def call_made(table: Table, random: Random, call: Call, others: Readings, source: str = "") -> None:
    """Make a call; whatever is asked about it is answered with yes."""
    source = source or ("key" if random.random() < BY_KEY else "voice")
    table.session.take(call, source, None, None, others if source == "voice" else ())
    while table.session.dialogue.question is not None:
        table.session.take(calls.Yes(), "key")


# --- what the other book has ----------------------------------------------------------------------


def _compared(table: Table, random: Random, mistake: Mistake, item: int, period: int) -> Found:
    """Tell the other book's figures, one more each time, and look where the true cause stands."""
    right = mistake.right
    assert isinstance(right, calls.Score | calls.Shot | calls.Foul)
    assert right.team is not None
    foul, team = isinstance(right, calls.Foul), right.team
    player = Compared(team, Figure.FOULS if foul else Figure.POINTS, right.number)
    if mistake.cause == "other team" and random.random() < 0.5 and not foul:
        team = team.other
    whole, other = Compared(team), Compared(team.other)
    if foul:
        whole = other = player
    ranks: dict[str, int | None] = {TOLD[0]: _rank(table, whole, mistake, item)}
    if not foul:
        _tell(table, other, mistake)
        ranks[TOLD[1]] = _rank(table, whole, mistake, item)
        _tell(table, whole, mistake)
        of_period = replace(whole, period=period)
        ranks[TOLD[2]] = _rank(table, of_period, mistake, item)
        _tell(table, of_period, mistake)
        ranks[TOLD[3]] = _rank(table, player, mistake, item)
    said = table.session.take(_comparison(whole, _theirs(table, whole, mistake)), "voice").text
    return Found(mistake, ranks, said)


def _tell(table: Table, what: Compared, mistake: Mistake) -> None:
    table.session.take(_comparison(what, _theirs(table, what, mistake)), "clock")


def _comparison(what: Compared, count: int) -> calls.CompareBook:
    return calls.CompareBook(what.team, count, what.figure, what.number, what.period)


def _theirs(table: Table, what: Compared, mistake: Mistake) -> int:
    """The other book's figure: ours, and what the mistake has changed in it."""
    ours = booked(table.game, what, table.session.now().left_tenths)
    right, wrong = mistake.right, mistake.wrong
    worth: int = getattr(right, "points", 1)
    own = getattr(right, "team", None) is what.team
    match mistake.cause:
        case "points":
            return ours + (worth - getattr(wrong, "points", 0) if own else 0)
        case "other team":
            return ours + (worth if own else -worth)
        case "lost":
            return ours + (worth if own else 0)
    return ours - (worth if own else 0)


def _rank(table: Table, what: Compared, mistake: Mistake, item: int) -> int | None:
    """The place of the true cause among what the table would offer, from 1."""
    call = _comparison(what, _theirs(table, what, mistake))
    found = table.session.book.decisions.explained(call, table.session.now())
    for place, suspect in enumerate(found, 1):
        if is_true(table, suspect, mistake, item):
            return place
    return None


def is_true(table: Table, suspect: Suspect, mistake: Mistake, item: int) -> bool:
    """Whether a suspect is what really went wrong."""
    if mistake.cause == "lost":
        lost = suspect.cause in (Cause.LOST, Cause.UNTAKEN)
        return lost and type(suspect.call) is type(mistake.right)
    causes = {"doubled": Cause.EXTRA, "other team": Cause.TEAM, "points": Cause.POINTS}
    if suspect.cause is not causes[mistake.cause]:
        return False
    if suspect.entry == entry_of(item):
        return True
    # Of equal lines called one after another any may be taken off: the book is the same then.
    first, second = (_line(table, each) for each in (suspect.line.item, item))
    close = suspect.entry is not None and abs(entry_of(item) - suspect.entry) <= 3
    return mistake.cause == "doubled" and close and _same(first, second)


def _line(table: Table, item: int) -> Goal | Charge | None:
    found = next((each for each in all_lines(table.game) if each.item == item), None)
    return found if isinstance(found, Goal | Charge) else None


def _same(one: Goal | Charge | None, other: Goal | Charge | None) -> bool:
    if one is None or other is None:
        return False
    made = [getattr(each, "made", True) for each in (one, other)]
    return made[0] is made[1] and (one.team, one.number) == (other.team, other.number)
