"""Random games in words with one slip in each, put right later in words, and the same games called
rightly at once, to compare with.

What is played is a plain list of events made here: who scored, who fouled. Of each event there are
the words that are right, and for one of them words that are wrong in one thing.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from random import Random
from typing import Any, Final

from callout.game.figures.score import all_lines
from callout.table.setup.setup import Setup
from callout.table.speech.reply import Sort
from callout.table.view import view
from tests.english import english_grammar
from tests.table.play import GUEST, HOME, SETUP, Table

LISTS: Final = {"home": HOME, "guest": GUEST}
OTHER: Final = {"home": "guest", "guest": "home"}
LEAGUES: Final = ("nfhs-2026", "fiba-2024", "fiba-2022", "ncaa-men-2026", "ncaa-women-2026",
                  "nba-2026", "nfhs-halves", "youth-6-minute", "rec-running-clock")  # fmt: skip
WORTH: Final = {2: "two", 3: "three"}
PERIODS: Final = ("first", "second", "third", "fourth")
MOST_ANSWERS: Final = 3
"""An entry counts as found that is named within so many answers: the aim of this table."""

_WORDS = english_grammar().words


def shirt(number: str) -> str:
    """The words for a shirt number."""
    return _WORDS.shirt(number)


@dataclass(frozen=True)
class Deed:
    """Something that happened at one moment, as one call says it."""

    kind: str
    """basket, foul, shot, timeout, or other."""
    team: str = ""
    number: str = ""
    points: int = 0
    made: bool = True
    plain: str = ""
    """The words of a deed of another kind."""
    seconds: int = 0
    """How long after the one before it is called."""
    named: bool = True
    """For a shot: whether the call names the team."""
    apart: bool = False
    """Whether the number is said after the call."""

    @property
    def said(self) -> tuple[str, ...]:
        """The words of the call."""
        number = f"number {shirt(self.number)}" if self.number else ""
        match self.kind:
            case "basket":
                whole = f"{self.team} {WORTH[self.points]}", number
            case "foul":
                whole = f"{self.team} foul", number
            case "shot":
                whole = f"{self.team if self.named else ''} shot {self.result}", number
            case "timeout":
                whole = f"{self.team} timeout", ""
            case _:
                whole = self.plain, ""
        return tuple(filter(None, whole)) if self.apart else (" ".join(" ".join(whole).split()),)

    @property
    def result(self) -> str:
        """The word for made or missed."""
        return "good" if self.made else "missed"


@dataclass(frozen=True)
class Slip:
    """A deed that was called wrongly, or never happened, and the words that put it right."""

    at: int
    """Which deed of the game, or the one before which the call of nothing was made."""
    wrong: Deed
    right: Deed | None
    """None where nothing had happened at all."""
    words: str
    """The correction, without the period."""


@dataclass
class Told:
    """What came of one game with a slip."""

    answers: int = 0
    """Answers until the entry was named."""
    found: bool = False
    same: bool = False
    """Whether the book is that of the game which was called rightly at once."""
    said: list[str] = field(default_factory=list)
    """The correction, what was asked and answered."""


def played(random: Random, setup: Setup) -> list[Deed]:
    """The deeds of a game of some minutes in each period."""
    rules = setup.rules()
    deeds: list[Deed] = []
    for _ in range(rules.periods.count):
        deeds.append(Deed("other", plain="start clock", seconds=90))
        for _ in range(random.randint(4, 12)):
            deeds += _scene(random)
        deeds.append(Deed("other", plain="end period", seconds=9))
    return deeds


def _scene(random: Random) -> list[Deed]:
    team = random.choice(("home", "guest"))
    number, wait = random.choice(LISTS[team]), random.randint(6, 14)
    apart = random.random() < 0.3
    what = random.choices(("basket", "foul", "shots", "timeout"), (10, 6, 4, 1))[0]
    if what == "basket":
        points = random.choice((2, 2, 3))
        return [Deed("basket", team, number, points, seconds=wait, apart=apart)]
    start = Deed("other", plain="start clock", seconds=9)
    foul = Deed("foul", team, number, seconds=wait, apart=apart)
    stop = Deed("other", plain="stop clock", seconds=1)
    if what == "foul":
        return [foul, stop, start]
    if what == "timeout":
        asked = Deed("timeout", team, seconds=wait)
        return [asked, Deed("other", plain="timeout over", seconds=9), start]
    shooter, named = random.choice(LISTS[OTHER[team]]), random.random() < 0.5
    shots = [
        Deed("shot", OTHER[team], shooter, made=random.random() < 0.7, seconds=7, named=named)
        for _ in range(2)
    ]
    return [foul, stop, Deed("other", plain="two shots", seconds=1), *shots, start]


def slip_in(random: Random, deeds: list[Deed]) -> Slip:
    """A random deed that was called wrongly in one thing, or a call of what never was."""
    if random.random() < 0.2:
        return _never(random, deeds)
    kinds = ("basket", "foul", "shot", "timeout")
    at = random.choice([n for n, deed in enumerate(deeds[:-3]) if deed.kind in kinds])
    deed = replace(deeds[at], apart=False)
    ways = {"basket": "number team points", "foul": "number team", "shot": "number made",
            "timeout": "team"}  # fmt: skip
    way = random.choice(ways[deed.kind].split())
    wrong = _wrongly(random, deed, way)
    last = "timeout" if deed.kind == "timeout" else f"{deed.kind} {shirt(wrong.number)}"
    if deed.kind == "basket" and random.random() < 0.5:
        last = f"{WORTH[wrong.points]} number {shirt(wrong.number)}"
    number_now = f"number {shirt(deed.number)}" if deed.number in ("1", "2", "3") else ""
    now = {"number": number_now or shirt(deed.number or "0"), "team": deed.team,
           "points": WORTH.get(deed.points, ""), "made": deed.result}  # fmt: skip
    return Slip(at, wrong, deed, f"{wrong.team} {last} was {now[way]}")


def _never(random: Random, deeds: list[Deed]) -> Slip:
    """A call of something that did not happen; a time-out only where the clock stands anyway."""
    stops = [n for n, deed in enumerate(deeds) if deed.plain == "stop clock"]
    fresh = [n for n, deed in enumerate(deeds[:-3]) if deed.kind == "basket"]
    team, kind = random.choice(("home", "guest")), random.choice(("basket", "foul", "shot"))
    if (random.random() < 0.2 and stops) or not fresh:
        wrong = Deed("timeout", team, seconds=2)
        return Slip(random.choice(stops) + 1, wrong, None, f"take a timeout off {team}")
    number = random.choice(LISTS[team])
    wrong = Deed(kind, team, number, 2, seconds=6)
    words = f"take a {kind} off {team} {shirt(number)}"
    return Slip(random.choice(fresh) + 1, wrong, None, words)


def _wrongly(random: Random, deed: Deed, way: str) -> Deed:
    if way == "number":
        others = [number for number in LISTS[deed.team] if number != deed.number]
        return replace(deed, number=random.choice(others))
    if way == "team":
        return replace(deed, team=OTHER[deed.team])
    if way == "points":
        return replace(deed, points=5 - deed.points)
    return replace(deed, made=not deed.made)


def call(table: Table, deed: Deed) -> None:
    """Call a deed, and answer what is asked about it as the scorer knows it."""
    table.time.set(table.time.wall_ms() + 1000 * deed.seconds)
    table.session.tick()
    for words in deed.said:
        table.say(words)
        question = table.session.dialogue.question
        if question is not None:
            table.say(f"make that {deed.team}" if question.wants == "team" else "yes")


def book(table: Table) -> dict[str, Any]:
    """All that the book shows, and each of its lines, without the numbers of entries."""
    shown = view(table.game, table.session.now().left_tenths)
    del shown["entries"], shown["undone"]
    goals = [(g.team, g.points, g.number, g.said, g.period, g.left_tenths, g.free_throw, g.made)
             for g in table.game.goals]  # fmt: skip
    fouls = [(c.team, c.number, c.said, c.foul, c.on, c.period, c.left_tenths)
             for c in table.game.charges]  # fmt: skip
    timeouts = [(t.team, t.kind, t.period, t.left_tenths) for t in table.game.timeouts]
    owed = [(o.team, o.award, o.taken, o.shooter) for o in table.game.owed]
    return {**shown, "goals": goals, "fouls": fouls, "timeouts": timeouts, "owed": owed}


def put_right(table: Table, slip: Slip, item: int, told: Told) -> None:
    """Say what was wrong, with its period if it is an earlier one, and answer what is asked."""
    game, line = table.game, _line(table, item)
    periods, words = game.profile.periods.count, slip.words
    if line.period != game.period and 1 <= line.period <= periods:
        unit = "half" if periods == 2 else "quarter"
        words = f"{PERIODS[line.period - 1]} {unit} {words}"
    reply = table.say(words)
    told.said += [words, reply.text]
    while (question := table.session.dialogue.question) is not None:
        right = getattr(question.choices[question.at], "item", None) == item
        told.answers += 1
        reply = table.say(answer := "yes" if right else "no")
        told.said += [answer, reply.text]
        if told.answers > 40:
            break
    newest = table.session.entries[-1].call
    told.found = getattr(newest, "item", None) == item and not reply.of(Sort.REFUSAL)


def _line(table: Table, item: int) -> Any:
    return next(line for line in all_lines(table.game) if line.item == item)


def game_with_a_slip(seed: int) -> Told:
    """One random game, called wrongly in one thing and put right some deeds later."""
    random = Random(seed)
    setup = replace(SETUP, profile=LEAGUES[seed % len(LEAGUES)])
    deeds = played(random, setup)
    slip = slip_in(random, deeds)
    noticed = random.randint(min(slip.at + 1, len(deeds) - 1), len(deeds) - 1)
    right, wrong, told = Table(setup), Table(setup), Told()
    item = 0
    for nth, deed in enumerate(deeds):
        if nth == slip.at:
            call(wrong, slip.wrong)
            item = max(line.item for line in all_lines(wrong.game))
            if slip.right:
                call(right, slip.right)
            else:
                right.time.set(wrong.time.wall_ms())
                call(right, deed)
                call(wrong, deed)
        else:
            call(right, deed)
            call(wrong, deed)
        if nth == noticed:
            put_right(wrong, slip, item, told)
            told.same = book(wrong) == book(right)
    told.same = told.same and book(wrong) == book(right)
    return told
