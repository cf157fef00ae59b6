"""The first lesson: the ten calls that make nine tenths of a game, one after another.

It takes about three minutes. Each is told with the words to say, and asked for once more if it
does not come.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from callout.game import calls
from callout.game.calls import Call
from callout.game.kind import Kind
from callout.game.notices.kinds import Notice
from callout.game.state import Game
from callout.game.terms import Award, Team, Topic
from callout.practice import kinds
from callout.practice.levels import Level
from callout.practice.play import SIREN, WHISTLE, Play

LESSON_LEVEL: Final = Level(0, 1_000, 8_000, 12_000, clock=True)
"""Nothing is late in a lesson. Common practice, no source."""

LENGTH_MS: Final = 30 * 60 * 1000
"""It ends with its last call, however long somebody takes."""


def lesson(game: Game) -> Iterator[Play]:
    """The plays of the lesson."""
    home, guest = (game.side(team).numbers or ("5", "8") for team in Team)
    points = min(game.profile.goals.field)
    foul = {"team": Team.GUEST, "number": guest[-1]}
    award = Award.TWO
    yield Play(Notice(kinds.LESSON), settled=True)
    yield _step(kinds.LESSON_START, calls.StartClock())
    basket = calls.Score(Team.HOME, points, home[0])
    told = {"team": Team.HOME, "points": points, "number": home[0]}
    yield _step(kinds.LESSON_BASKET, basket, told)
    goal = {"team": Team.GUEST, "points": points}
    yield _step(kinds.LESSON_LATER, calls.Score(Team.GUEST, points), goal)
    yield _step(kinds.LESSON_NUMBER, calls.Number(guest[0]), {"number": guest[0]})
    yield _step(kinds.LESSON_STOP, calls.StopClock(), sound=WHISTLE)
    yield _step(kinds.LESSON_FOUL, calls.Foul(Team.GUEST, guest[-1]), foul)
    yield _step(kinds.LESSON_SHOTS, calls.SetAward(award), {"award": award})
    yield _step(kinds.LESSON_THROW, calls.Shot(True))
    yield _step(kinds.LESSON_MISS, calls.Shot(False))
    yield _step(kinds.LESSON_SUB, calls.SubWaiting())
    yield _step(kinds.LESSON_SUBS_IN, calls.SubsIn())
    yield _step(kinds.LESSON_TIMEOUT, calls.Timeout(Team.HOME), {"team": Team.HOME}, WHISTLE)
    yield _step(kinds.LESSON_TIMEOUT_OVER, calls.TimeoutOver(), sound=SIREN)
    yield _step(kinds.LESSON_SCORE, calls.Ask(Topic.SCORE))
    slip = calls.Score(Team.GUEST, points)
    undo = Notice(kinds.LESSON_UNDO, {"team": Team.GUEST, "points": points})
    yield Play(undo, (calls.Undo(),), (slip,), settled=True)
    yield Play(Notice(kinds.LESSON_END))


def _step(
    kind: Kind, call: Call, slots: Mapping[str, object] | None = None, sound: str = ""
) -> Play:
    return Play(Notice(kind, slots or {}), (call,), sound=sound, settled=True)
