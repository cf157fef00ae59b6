"""Random games in words with one slip in each, put right later in words, and the same games called
rightly at once, to compare with.

What is played is a plain list of events made here: who scored, who fouled. Of each event there are
the words that are right, and for one of them words that are wrong in one thing.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from random import Random
from typing import Any, Final

from callout.game.choices import Opening
from callout.game.figures.score import all_lines
from callout.game.moves import booked
from callout.game.state import BallLine
from callout.game.terms import Team
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
    """basket, foul, shot, timeout, sub, tip, held, or other."""
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
    leaving: str = ""
    """For a substitution: the player for whom `number` comes in."""

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
            case "sub":
                pair = f"{shirt(self.number)} in {shirt(self.leaving)} out"
                whole = f"{self.team} sub {pair}", ""
            case "tip":
                whole = f"tip {self.team}", ""
            case "held":
                return "held ball", "stop clock"
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

    def given_to(self, team: Team | None) -> Slip:
        """The slip, once it is known whose a held ball was."""
        return replace(self, words=f"held ball was {team.value if team else ''}")


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
    for nth in range(rules.periods.count):
        deeds.append(Deed("other", plain="start clock", seconds=90))
        if nth == 0 and Opening.JUMP in rules.arrow.openings:
            deeds.append(Deed("tip", random.choice(("home", "guest")), seconds=1))
        for _ in range(random.randint(4, 12)):
            deeds += _scene(random)
        deeds.append(Deed("other", plain="end period", seconds=9))
    return deeds


def _scene(random: Random) -> list[Deed]:
    team = random.choice(("home", "guest"))
    number, wait = random.choice(LISTS[team]), random.randint(6, 14)
    apart = random.random() < 0.3
    kinds = ("basket", "foul", "shots", "timeout", "sub", "held")
    what = random.choices(kinds, (10, 6, 4, 1, 3, 2))[0]
    if what == "basket":
        points = random.choice((2, 2, 3))
        return [Deed("basket", team, number, points, seconds=wait, apart=apart)]
    start = Deed("other", plain="start clock", seconds=9)
    if what == "held":
        return [Deed("held", seconds=wait), start]
    if what == "sub":
        stopped = Deed("other", plain="stop clock", seconds=wait)
        leaving = random.choice([each for each in LISTS[team] if each != number])
        return [stopped, Deed("sub", team, number, leaving=leaving, seconds=3), start]
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


def slip_in(random: Random, deeds: list[Deed], arrow: bool) -> Slip:
    """A random deed that was called wrongly in one thing, or a call of what never was; `arrow`:
    whether the league has one.
    """
    if random.random() < 0.2:
        return _never(random, deeds)
    kinds = ("basket", "foul", "shot", "timeout", "sub", "tip", *(("held",) if arrow else ()))
    at = random.choice([n for n, deed in enumerate(deeds[:-3]) if deed.kind in kinds])
    deed = replace(deeds[at], apart=False)
    ways = {"basket": "number team points", "foul": "number team", "shot": "number made",
            "timeout": "team", "sub": "number leaving team", "tip": "team"}  # fmt: skip
    if deed.kind == "held":
        # The arrow was turned by mistake before, and the officials gave the ball rightly.
        return Slip(at, deed, deed, "")
    way = random.choice(ways[deed.kind].split())
    wrong = _wrongly(random, deed, way)
    if deed.kind == "tip":
        return Slip(at, wrong, deed, f"tip was {deed.team}")
    named = wrong.leaving if way == "leaving" else wrong.number
    last = "timeout" if deed.kind == "timeout" else f"{deed.kind} {shirt(named)}"
    if deed.kind == "basket" and random.random() < 0.5:
        last = f"{WORTH[wrong.points]} number {shirt(wrong.number)}"
    now = {"number": _now(deed.number), "leaving": _now(deed.leaving), "team": deed.team,
           "points": WORTH.get(deed.points, ""), "made": deed.result}  # fmt: skip
    return Slip(at, wrong, deed, f"{wrong.team} {last} was {now[way]}")


def _now(number: str) -> str:
    """A number behind "was", where "three" alone means points."""
    return f"number {shirt(number)}" if number in ("1", "2", "3") else shirt(number or "0")


def _never(random: Random, deeds: list[Deed]) -> Slip:
    """A call of something that did not happen; a time-out only where the clock stands anyway."""
    stops = [n for n, deed in enumerate(deeds) if deed.plain == "stop clock"]
    fresh = [n for n, deed in enumerate(deeds[:-3]) if deed.kind == "basket"]
    team, kind = random.choice(("home", "guest")), random.choice(("basket", "foul", "shot"))
    if stops and random.random() < 0.2:
        number, leaving = random.sample(LISTS[team], 2)
        sub, words = Deed("sub", team, number, leaving=leaving, seconds=2), f"take a sub off {team}"
        held = Deed("other", plain="held ball", seconds=2)
        never = [(sub, f"{words} {shirt(number)}"), (held, "take the held ball off")]
        wrong, words = random.choice(never)
        return Slip(random.choice(stops) + 1, wrong, None, words)
    if (random.random() < 0.2 and stops) or not fresh:
        wrong = Deed("timeout", team, seconds=2)
        return Slip(random.choice(stops) + 1, wrong, None, f"take a timeout off {team}")
    number = random.choice(LISTS[team])
    wrong = Deed(kind, team, number, 2, seconds=6)
    words = f"take a {kind} off {team} {shirt(number)}"
    return Slip(random.choice(fresh) + 1, wrong, None, words)


def _wrongly(random: Random, deed: Deed, way: str) -> Deed:
    if way == "number":
        used = (deed.number, deed.leaving)
        others = [number for number in LISTS[deed.team] if number not in used]
        return replace(deed, number=random.choice(others))
    if way == "team":
        return replace(deed, team=OTHER[deed.team])
    if way == "leaving":
        used = (deed.number, deed.leaving)
        return replace(deed, leaving=random.choice([n for n in LISTS[deed.team] if n not in used]))
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
    # Whose ball a held ball was is left to the arrow: that of the right game cannot tell that the
    # officials gave it to the other team.
    moves = [replace(m, item=0, team=m.team if m.tip else None) if isinstance(m, BallLine)
             else replace(m, item=0) for m in table.game.moves]  # fmt: skip
    owed = [(o.team, o.award, o.taken, o.shooter) for o in table.game.owed]
    return {
        **shown,
        "goals": goals,
        "fouls": fouls,
        "timeouts": timeouts,
        "owed": owed,
        "moves": moves,
    }


def put_right(table: Table, slip: Slip, item: int, told: Told) -> None:
    """Say what was wrong, with its period if it is an earlier one, and answer what is asked."""
    game, period = table.game, _period(table, item)
    periods, words = game.profile.periods.count, slip.words
    if period != game.period and 1 <= period <= periods:
        unit = "half" if periods == 2 else "quarter"
        words = f"{PERIODS[period - 1]} {unit} {words}"
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


def _period(table: Table, item: int) -> int:
    """The period of a line, of a substitution, of a held ball."""
    lines = {line.item: line.period for line in all_lines(table.game) if hasattr(line, "period")}
    moved = {move.item: max(1, booked(table.game, move).period) for move in table.game.moves}
    return {**lines, **moved}[item]


def _newest(table: Table) -> int:
    """The newest line, substitution or held ball."""
    return max(each.item for each in (*all_lines(table.game), *table.game.moves))


@dataclass
class TwoTables:
    """The game called rightly and the one with the slip, with the same officials.

    They follow the arrow that the table shows. Where it is wrong they give the throw-in to the
    wrong team; who was entitled keeps the arrow then (FIBA interpretation 12-9), and so the scorer
    of the right game sets it back.
    """

    right: Table
    wrong: Table
    entitled: Team | None = None
    """Who keeps the arrow once the throw-in that is about to be taken has ended."""

    def call(self, deed: Deed) -> None:
        """Call a deed at both."""
        arrow, shown = self.right.game.arrow, self.wrong.game.arrow
        period = self.right.game.period
        for table in (self.right, self.wrong):
            call(table, deed)
        starts = deed.plain == "start clock"
        given = deed.kind == "held" or (starts and self.right.game.period > period)
        if given and None not in (arrow, shown) and arrow is not shown:
            self.entitled = arrow
        if starts and self.entitled:
            self.right.say(f"set arrow {self.entitled.value}")
            self.entitled = None


def game_with_a_slip(seed: int) -> Told:
    """One random game, called wrongly in one thing and put right some deeds later."""
    random = Random(seed)
    setup = replace(SETUP, profile=LEAGUES[seed % len(LEAGUES)])
    deeds = played(random, setup)
    slip = slip_in(random, deeds, setup.rules().arrow.used)
    noticed = random.randint(min(slip.at + 1, len(deeds) - 1), len(deeds) - 1)
    right, wrong, told = Table(setup), Table(setup), Told()
    both, item = TwoTables(right, wrong), 0
    for nth, deed in enumerate(deeds):
        if nth != slip.at:
            both.call(deed)
        elif slip.wrong.kind == "held":
            wrong.say("switch arrow")
            both.call(deed)
            item = _newest(wrong)
            both.entitled = None
            slip = slip.given_to(right.game.throw_in)
        else:
            call(wrong, slip.wrong)
            item = _newest(wrong)
            if slip.right:
                call(right, slip.right)
            else:
                right.time.set(wrong.time.wall_ms())
                both.call(deed)
        if nth == noticed:
            put_right(wrong, slip, item, told)
            both.entitled = None
            told.same = book(wrong) == book(right)
    told.same = told.same and book(wrong) == book(right)
    return told
