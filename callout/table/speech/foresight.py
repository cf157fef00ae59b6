"""Replies that will probably be needed next, found by trying likely calls on the game.

The voice renders them while nobody calls anything, so that the reply to a call is ready at once.
Pure: the game is not changed, and nothing is recorded.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import partial
from typing import Final

from callout.game import calls
from callout.game.calls import Call
from callout.game.decide import Refusal, decide
from callout.game.fold import Entry, advance
from callout.game.notices.after_entry import KINDS, Notice, notices
from callout.game.notices.answers import answers
from callout.game.sources import SPOKEN
from callout.game.state import At, Game
from callout.game.terms import Award, FoulKind, Offender, Team, Topic
from callout.language.replies import Level, Replies
from callout.table.speech.kinds import BOOKED
from callout.table.speech.wording import found_of, words_of

ASKED: Final = (Topic.SCORE, Topic.TEAM_FOULS, Topic.TIMEOUTS, Topic.ARROW, Topic.OPEN)
"""Topics that are often asked about and need no further value."""

TECHNICAL: Final = FoulKind.TECHNICAL


def foreseen(
    start: Game, entries: Sequence[Entry], game: Game, moment: At, replies: Replies, level: Level
) -> Iterator[str]:
    """The replies to the calls that are likely now, the likeliest first.

    Then come the answers to `ASKED`, and all notices that have no values.
    """
    for call in likely(game):
        decision = decide(game, call, moment)
        if isinstance(decision, Refusal):
            continue
        entry = Entry(game.entry + 1, call, SPOKEN, moment, decision)
        brought = partial(_brought, start, entries, game, entry)
        yield from _said(found_of(BOOKED, brought), replies, level)
    asked = (each for topic in ASKED for each in answers(game, calls.Ask(topic), moment))
    yield from _said(asked, replies, level)
    same = (Notice(kind) for kind in KINDS.values() if not kind.slots)
    yield from _said(same, replies, level)


def _brought(start: Game, entries: Sequence[Entry], game: Game, entry: Entry) -> tuple[Notice, ...]:
    return notices(game, entry, advance(start, entries, game, entry))


def _said(found: Iterable[Notice], replies: Replies, level: Level) -> Iterator[str]:
    for notice in found:
        text = words_of(replies, notice, level)
        if text:
            yield text


def likely(game: Game) -> Iterator[Call]:
    """The most common calls of a game; some of them may be refused now."""
    yield from (calls.StartClock(), calls.StopClock(), calls.Undo())
    for made in (True, False):
        yield from (calls.Shot(made, team) for team in Team)
    for team in Team:
        yield from (calls.Score(team, 2), calls.Foul(team), calls.Score(team, 3))
    yield from (calls.SetAward(award) for award in Award)
    # The teams take turns, so that neither has to wait for the whole list of the other.
    for team, number in _shirts(game):
        yield from (calls.Score(team, 2, number), calls.Foul(team, number))
    for number in dict.fromkeys(number for _, number in _shirts(game)):
        yield calls.Number(number)
    for team, number in _shirts(game):
        yield from (calls.Score(team, 3, number), *_thrown(game, team, number))
    for team in Team:
        yield from (calls.Timeout(team), calls.Timeout(team, "thirty"), calls.Tip(team))
        yield from (calls.SubWaiting(team), calls.Foul(team, on=Offender.COACH, foul=TECHNICAL))
    yield from (calls.HeldBall(), calls.SwitchArrow(), calls.SubWaiting(), calls.SubsIn())
    yield from (calls.OfficialTimeout(), calls.EndPeriod(), calls.StartPeriod(), calls.EndGame())


def _shirts(game: Game) -> list[tuple[Team, str]]:
    """The numbers on court, or all listed ones where that is not known; the teams take turns."""
    sides = {team: list(dict(game.on_court).get(team) or game.side(team).numbers) for team in Team}
    most = max(len(numbers) for numbers in sides.values())
    return [(t, sides[t][nth]) for nth in range(most) for t in Team if nth < len(sides[t])]


def _thrown(game: Game, team: Team, number: str) -> tuple[Call, ...]:
    owed = any(each.team is team for each in game.owed)
    return tuple(calls.Shot(made, team, number) for made in (True, False)) if owed else ()
