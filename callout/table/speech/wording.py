"""Finds notices and puts them into words, without ever raising an error.

The call is in the book by then, so a mistake here must not end the game. What has no words is said
at a level that says less, and at last only by a tone.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable, Sequence
from typing import Final

from callout.game import calls
from callout.game.figures.score import open_lines
from callout.game.fold import Entry
from callout.game.kind import Kind
from callout.game.notices.after_entry import Notice, notices
from callout.game.notices.answers import answers
from callout.game.state import Game, Phase
from callout.game.terms import Topic
from callout.language.replies import Level, Replies
from callout.table.speech.kinds import BOOKED, STILL_OPEN
from callout.table.talk.questions import QUIET

_LOG: Final = logging.getLogger(__name__)


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
    """The notices of an entry; as a time-out or interval begins, also of numbers still open."""
    if isinstance(entry.call, calls.SetClock) and entry.source in QUIET:
        return ()
    return found_of(BOOKED, lambda: _due(before, entry, after))


def _due(before: Game, entry: Entry, after: Game) -> Iterable[Notice]:
    found = notices(before, entry, after)
    long = (Phase.TIMEOUT, Phase.INTERVAL)
    if after.phase not in long or before.phase in long or not open_lines(after):
        return found
    (waiting,) = answers(after, calls.Ask(Topic.OPEN), entry.at)
    return (*found, Notice(STILL_OPEN, waiting.slots))
