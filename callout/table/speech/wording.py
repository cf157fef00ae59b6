"""Finds notices and puts them into words, without ever raising an error.

The call is in the book by then, so a mistake here must not end the game. What has no words is said
at a level that says less, and at last only by a tone.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Final

from callout.game import calls
from callout.game.figures.score import open_lines
from callout.game.fold import Entry
from callout.game.kind import Kind
from callout.game.notices.after_entry import Notice, notices
from callout.game.notices.answers import answers
from callout.game.notices.book_echoes import marked, numbers_open
from callout.game.state import Game, Phase
from callout.game.terms import Topic
from callout.language.replies import Level, Replies
from callout.table.speech.kinds import APPROVAL_DUE, BOOKED, STILL_OPEN
from callout.table.talk.questions import QUIET

_LOG: Final = logging.getLogger(__name__)

LONG: Final = (Phase.TIMEOUT, Phase.INTERVAL)
"""When there is time to look for a number."""

NAMED: Final = 3
"""The most lines without a number that are named one by one when the game ends: three sentences of
four seconds. More are counted, and `callout close` asks for each."""


def words_of(replies: Replies, notice: Notice, level: Level) -> str:
    """A notice in words; where that fails, in those of a level that says less."""
    levels = list(Level)
    for each in reversed(levels[: levels.index(level) + 1]):
        try:
            return replies.say(notice.kind, notice.slots, each)
        except Exception as error:
            _LOG.error("no words for %s %s: %r", notice.kind, dict(notice.slots), error)
    return ""


def found_of(kind: Kind, find: Callable[[], Iterable[Notice]]) -> tuple[Notice, ...]:
    """The notices that `find` returns; where it fails, one notice of that kind."""
    try:
        return tuple(find())
    except Exception as error:
        _LOG.error("no notices, %s instead: %r", kind, error)
        return (Notice(kind),)


def due_of(before: Game, entry: Entry, after: Game) -> Sequence[Notice]:
    """The notices of an entry; as a time-out or interval begins, or the game ends, also of what is
    still open.
    """
    if isinstance(entry.call, calls.SetClock) and entry.source in QUIET:
        return ()
    return found_of(BOOKED, lambda: _due(before, entry, after))


def _due(before: Game, entry: Entry, after: Game) -> Iterator[Notice]:
    yield from notices(before, entry, after)
    if after.phase is Phase.OVER and before.phase is not Phase.OVER:
        yield from _open(after, entry, NAMED)
        yield from marked(after)
        yield Notice(APPROVAL_DUE)
    elif after.phase in LONG and before.phase not in LONG:
        yield from _open(after, entry)
        yield from marked(after, after.period) if after.phase is Phase.INTERVAL else ()


def _open(game: Game, entry: Entry, named: int = 0) -> Iterator[Notice]:
    """Lines without a number: each of them where there are at most `named`, else how many."""
    count = len(open_lines(game))
    if 0 < count <= named:
        yield from numbers_open(game)
    elif count:
        (waiting,) = answers(game, calls.Ask(Topic.OPEN), entry.at)
        yield Notice(STILL_OPEN, waiting.slots)
