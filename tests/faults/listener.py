"""A listener that reads every reply of the table and collects what should not have been said.

It keeps its own score, and its own record of what was asked for and done, from the events in the
journal. It uses none of the code that words and repeats notices.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from callout.game import events
from callout.game.fold import Entry
from callout.game.state import Game, Phase
from callout.game.terms import Team
from callout.table.speech.reply import Reply, Said

ONES = re.findall(
    r"\w+",
    """zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen
    sixteen seventeen eighteen nineteen""",
)
TENS = re.findall(r"\w+", "_ _ twenty thirty forty fifty sixty seventy eighty ninety")
NUMBERS = {"nothing": 0, "none": 0} | {word: n for n, word in enumerate(ONES)}
NUMBERS |= {word: 10 * n for n, word in enumerate(TENS) if word != "_"}
WORD = "|".join((*NUMBERS, "hundred"))
NUMBER = rf"(?:(?:{WORD})(?: (?:{WORD}))*)"

SCORED = re.findall(
    r"\w+",
    """goal own_basket throw_made score_set basket_off undone_goal undone_throw changed_goal
    changed_throw tell_score period_ended game_ended""",
)
"""Kinds that end in both scores, home's first."""
SCORED_WITHIN = frozenset({"target_reached", "not_level", "level"})
"""Kinds of reply that name both scores, but not at their end."""
ALIKE = frozenset({"number_is_open", "marked_before"})
"""Kinds that name lines of the book one by one: two throws of one moment have the same words."""
APART = (
    (r"Overtime\.", r"If that is all, say end game\."),
    (r"Running\.", r"Stopped,"),
    (r"(?:One|Two|Three) shots?", r"Equal\. No shots\."),
    (r"The clock should run on\.", r"That basket stops the clock\."),
    (r"Large lead\. The clock runs on\.", r"The lead is down\."),
    (r"Arrow, home\.", r"Arrow, guest\."),
    (r"and the ball, home\.", r"and the ball, guest\."),
    (r"Bonus light, (?:home|guest)\.", r"Put the light out\."),
    (r"(?:First|Second|Third|Fourth) \w+\. (?:Home|Guest) ball\.", r"Jump ball\."),
    (r"That was home's last time-out", r"Home had no time-out left"),
    (r"That was guest's last time-out", r"Guest had no time-out left"),
)
"""Pairs of sentences that contradict each other and must not be said in one breath."""


def value(words: str) -> int:
    """The number that words stand for, by this file's own table of numbers."""
    total = 0
    for word in words.lower().split():
        total = total * 100 if word == "hundred" else total + NUMBERS[word]
    return total


def shirt(words: str) -> str:
    """The shirt number that words stand for, said as a number or by its digits."""
    if words == "double zero":
        return "00"
    digits = words.lower().split()
    by_digits = len(digits) == 2 and all(word in ONES[:10] for word in digits)
    return "".join(str(ONES.index(word)) for word in digits) if by_digits else str(value(words))


def book(entries: Sequence[Entry]) -> list[tuple[int, events.Event]]:
    """Every event that counts, with the number of its entry.

    Entries taken back are left out; those put right have the events that they were given then.
    """
    gone: set[int] = set()
    for entry in entries:
        for event in entry.events:
            if isinstance(event, events.TakenBack):
                gone.add(event.entry)
            elif isinstance(event, events.PutBackIn):
                gone.discard(event.entry)
    now = {entry.id: entry.events for entry in entries if entry.id not in gone}
    for event in [event for found in list(now.values()) for event in found]:
        if isinstance(event, events.Replaced) and event.entry in now:
            now[event.entry] = event.events
    return [(number, event) for number, found in now.items() for event in found]


def score(counted: Iterable[tuple[int, events.Event]]) -> dict[Team, int]:
    """Both teams' scores, added up goal by goal."""
    goals: dict[int, tuple[Team, int]] = {}
    given = dict.fromkeys(Team, 0)

    def now(team: Team) -> int:
        return given[team] + sum(points for whose, points in goals.values() if whose is team)

    for _, event in counted:
        match event:
            case events.Scored(item=item, team=team, points=points):
                goals[item] = team, points
            case events.FreeThrow(item=item, team=team, made=made):
                goals[item] = team, int(made)
            case events.BasketCancelled(item=item):
                goals.pop(item, None)
            case events.ThrowVoided(item=item) if item in goals:
                goals[item] = goals[item][0], 0
            case events.TeamChanged(item=item, team=team) if item in goals:
                goals[item] = team, goals[item][1]
            case events.PointsChanged(item=item, points=points) if item in goals:
                goals[item] = goals[item][0], points
            case events.ScoreSet(team=team, points=points):
                given[team] += points - now(team)
            case _:
                pass
    return {team: now(team) for team in Team}


def apart(text: str) -> list[str]:
    """A sentence for several who wait for one horn, as a sentence for each; any other as it is."""
    joined = (
        r"(?:Time-outs? (\w+)(?:, then (\w+))?\. )?(?:Subs? (home|guest|both|waiting)\. )?Horn\."
    )
    found = re.fullmatch(joined, text)
    if not found or text == "Sub waiting. Horn.":
        return [text]
    first, second, whose = found.groups()
    sides = ["home", "guest"] if whose == "both" else [whose] if whose else []
    teams = [team.capitalize() for team in (first, second) if team]
    waiting = [f"{side.capitalize()} sub waiting. Horn." for side in sides if side != "waiting"]
    some = ["Sub waiting. Horn."] if whose == "waiting" else []
    return [f"{team} wants a time-out. Horn." for team in teams] + waiting + some


class Listener:
    """Listens to one game and collects complaints about what was said."""

    def __init__(self) -> None:
        self.complaints: list[str] = []
        self.heard = Counter[str]()
        self._new: dict[str, int] = {}
        """The newest entry that said a text for the first time."""
        self._again = Counter[str]()
        """How often a text was repeated since the ball was last live, or since it was new."""
        self._stood = True
        self.kinds: set[str] = set()
        """Every kind of reply that was said."""
        self.most_in_a_minute = 0
        """The most repetitions within any one minute."""
        self._moments: list[int] = []

    def hear(self, reply: Reply, entries: Sequence[Entry], game: Game, now_ms: int) -> None:
        """Reads one reply; `entries` and `game` are those after it."""
        self.heard["replies"] += 1
        counted = book(entries) if reply.said or reply.repeated else []
        self.kinds |= {said.kind for said in reply.said}
        self._moments = [each for each in self._moments if each > now_ms - 60_000]
        self._moments += [now_ms] * len(reply.repeated)
        self.most_in_a_minute = max(self.most_in_a_minute, len(self._moments))
        for said in reply.said:
            self._read(said, entries, counted, game)
        for entry in (*reply.entries, None):
            self._breath([said for said in reply.said if said.entry == entry])
        stands = game.ball_dead and game.phase is not Phase.RUNNING
        if stands and not self._stood:
            self._again.clear()
        self._stood = stands
        for text in reply.repeated:
            self._repeated(text, counted, game)

    def _complain(self, what: str, text: str) -> None:
        self.complaints.append(f"{what}: {text!r}")

    # --- one thing said -------------------------------------------------------------------------

    def _read(
        self,
        said: Said,
        entries: Sequence[Entry],
        counted: list[tuple[int, events.Event]],
        game: Game,
    ) -> None:
        text = said.text
        self.heard["texts"] += bool(text)
        if text and re.search(r"[0-9{}\[\]_<>]|None(?! left)|minus", text):
            self._complain("not words", text)
        if said.entry is not None:
            for part in apart(text):
                self._new[part] = said.entry
                self._again[part] = 0
            upto = [pair for pair in counted if pair[0] <= said.entry]
            newest = said.entry == (entries[-1].id if entries else 0)
        else:
            upto, newest = counted, True
        if newest and (said.kind in SCORED or said.kind in SCORED_WITHIN):
            self._score(text, score(upto), "" if said.kind in SCORED_WITHIN else "$")
        for found in re.finditer(rf"({NUMBER}) left\.", text, re.IGNORECASE):
            if "timeout" in said.kind and value(found[1]) > MOST_TIMEOUTS + game.period:
                self._complain("more time-outs than anyone has", text)
        for found in re.finditer(rf"Team(?: foul)? ({NUMBER})\b", text, re.IGNORECASE):
            charged = sum(isinstance(event, events.FoulCharged) for _, event in counted)
            if value(found[1]) > 2 * charged:
                self._complain("more team fouls than there were fouls", text)

    def _score(self, text: str, own: dict[Team, int], end: str) -> None:
        pair = rf"(?:Home )?\b({NUMBER}), (?:guest )?({NUMBER})\.{end}"
        found = re.search(pair, text, re.IGNORECASE)
        if found is None:  # At some levels it is not said.
            return
        self.heard["scores"] += 1
        if (value(found[1]), value(found[2])) != (own[Team.HOME], own[Team.GUEST]):
            self._complain(f"the score is {own[Team.HOME]}, {own[Team.GUEST]}", text)

    # --- one breath -----------------------------------------------------------------------------

    def _breath(self, said: Sequence[Said]) -> None:
        texts = [each.text for each in said if each.text]
        whole = " ".join(texts)
        once = Counter(each.text for each in said if each.text and each.kind not in ALIKE)
        twice = [text for text, count in once.items() if count > 1]
        if twice:
            self._complain("twice in one breath", whole)
        for one, other in APART:
            if re.search(one, whole) and re.search(other, whole):
                self._complain("a thing and its contrary", whole)
        if said and said[0].entry is None:
            return
        for pattern in (r"(home|guest)\b.*?({}) left\.", r"(home|guest)'?s? score ({})"):
            for team, numbers in _by_team(pattern, texts):
                if len(numbers) > 1:
                    self._complain(f"two numbers for {team}", whole)

    # --- what comes again -----------------------------------------------------------------------

    def _repeated(self, whole: str, counted: list[tuple[int, events.Event]], game: Game) -> None:
        self.heard["repeated"] += 1
        for text in apart(re.sub(r"^If (?:the ball is )?still dead: ", "", whole)):
            self._one_repeated(text, counted, game)

    def _one_repeated(self, text: str, counted: list[tuple[int, events.Event]], game: Game) -> None:
        since = self._new.get(text)
        if since is None:
            self._complain("again, and never said before", text)
            return
        self._again[text] += 1
        if self._again[text] > 1:
            self._complain("more than once more at one stop", text)
        later = [event for entry, event in counted if entry > since]
        if not game.phase.under_way:
            self._complain("again with no game on", text)
        for what in self._done(text, later, counted, game):
            self._complain(what, text)

    def _done(
        self,
        text: str,
        later: Sequence[events.Event],
        counted: Sequence[tuple[int, events.Event]],
        game: Game,
    ) -> Iterator[str]:
        """Reasons why a text should no longer have been repeated."""
        team = Team.HOME if re.search(r"\bhome\b", text, re.IGNORECASE) else Team.GUEST
        running = game.phase is Phase.RUNNING
        if text == "Clock is stopped.":
            if running:
                yield "again though the clock runs"
        elif re.search(r"stops the clock|Stop the clock|Clock is running", text):
            if not running:
                yield "again though the clock stands"
        elif "is out" in text:
            if running:
                yield "again in play"
            ends = [isinstance(e, events.PeriodEnded) for e in later]
            since = later[ends.index(True) :] if True in ends else ()
            if any(isinstance(e, events.PeriodStarted) for e in since):
                yield "again in a later period"
            if _replaced(text, team, later):
                yield "again though another came in"
        elif "must leave" in text:
            if _replaced(text, team, later):
                yield "again though another came in"
        elif "shot" in text:
            if any(isinstance(e, events.ClockStarted | events.PeriodEnded) for e in later):
                yield "again though play went on"
            if any(isinstance(e, events.Scored) for e in later):
                yield "again after a goal"
            taken = any(isinstance(e, events.FreeThrow) and e.team is team for e in later)
            if taken and not _untaken(counted, team):
                yield "again though throws were taken"
        elif "time-out" in text:
            if not _waits(counted, team, events.TimeoutAsked,
                          (events.TimeoutGranted, events.TimeoutUnasked)):  # fmt: skip
                yield "again though nobody wants one"
        elif "sub waiting" in text.lower():
            if game.phase is Phase.INTERVAL:
                yield "a horn in an interval"
            if not any(isinstance(e, events.SubReported) for _, e in counted):
                yield "again though nobody waits"
            newest = [
                e for _, e in counted if isinstance(e, events.SubReported | events.SubsEntered)
            ]
            if newest and isinstance(newest[-1], events.SubsEntered):
                yield "again though they are in"


def _replaced(text: str, team: Team, later: Sequence[events.Event]) -> bool:
    """Whether the player whom the text names has been replaced since."""
    found = re.match(r"(?:home|guest) (.+?) (?:is out|must leave)", text, re.IGNORECASE)
    subs = [each for each in later if isinstance(each, events.Substituted)]
    number = shirt(found[1]) if found else ""
    return (team, number) in [(each.team, each.leaving) for each in subs]


MOST_TIMEOUTS = 7
"""NBA 5-VI grants the most time-outs of all leagues; an overtime may add one (NFHS 5-11)."""


def _by_team(pattern: str, texts: Sequence[str]) -> Iterator[tuple[str, set[int]]]:
    found: dict[str, set[int]] = {}
    for text in texts:
        for team, number in re.findall(pattern.format(NUMBER), text, re.IGNORECASE):
            found.setdefault(team.lower(), set()).add(value(number))
    yield from found.items()


@dataclass
class _Award:
    team: Team
    throws: int
    taken: int = 0


def _untaken(counted: Sequence[tuple[int, events.Event]], team: Team) -> bool:
    """Whether a team has an award with no throw taken yet; throws count for its oldest award."""
    awards: dict[int, _Award] = {}
    for _, event in counted:
        match event:
            case events.ClockStarted() | events.PeriodEnded():
                awards.clear()
            case events.ThrowsAwarded(item=item, team=whose, award=award):
                awards[item] = _Award(whose, award.throws)
            case events.PenaltiesCancelled(item=item, by=by):
                awards = {i: each for i, each in awards.items() if i not in (item, by)}
            case events.TeamChanged(item=item, team=whose) if item in awards:
                awards[item].team = whose.other
            case events.FreeThrow(team=whose):
                mine = [a for a in awards.values() if a.team is whose and a.taken < a.throws]
                for first in mine[:1]:
                    first.taken += 1
            case _:
                pass
    return any(a.team is team and not a.taken and a.throws for a in awards.values())


def _waits(
    counted: Sequence[tuple[int, events.Event]],
    team: Team,
    begins: type[events.TimeoutAsked],
    ends: tuple[type[events.TimeoutGranted], type[events.TimeoutUnasked]],
) -> bool:
    waits = False
    for _, event in counted:
        if isinstance(event, begins) and event.team is team:
            waits = True
        elif isinstance(event, ends) and event.team is team:
            waits = False
    return waits
