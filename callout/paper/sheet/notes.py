"""What stands overleaf: what is open and what was corrected; and the turns of the arrow."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import tzinfo
from typing import Any

from callout.game.figures.forfeits import official_score
from callout.game.figures.score import open_lines
from callout.game.state import Game
from callout.paper.note import Note
from callout.paper.sheet.history import Correction, History
from callout.paper.sheet.words import line_words, number_words, period_name, time_of_day, when
from callout.paper.text import waiting
from callout.table.setup.setup import Setup
from callout.words import Words


def open_notes(words: Words, game: Game, setup: Setup) -> Iterator[Note]:
    """What is open: numbers that are missing, throws to come, requests."""
    yield from numbers_missing(words, game, setup).values()
    yield from waiting(words, game, setup)


def numbers_missing(words: Words, game: Game, setup: Setup) -> dict[int, Note]:
    """The lines of the book that wait for a number, by their items."""
    told = {}
    for line in open_lines(game):
        time = when(words, game, line.period, line.left_tenths)
        number = number_words(words, line.number, line.said)
        text = f"{line_words(words, line)}, {time}, {number}"
        told[line.item] = Note(setup.team(line.team).name, text)
    return told


def doubtful(words: Words, game: Game) -> Iterator[Note]:
    """What should be looked at before the score is approved: marks, and what contradicts itself."""
    for period, left_tenths in game.marks:
        yield Note("", words("marked", when=when(words, game, period, left_tenths)))
    for entry in game.misfits:
        yield Note("", words("misfit", entry=entry))


def told(
    words: Words, game: Game, lines: Iterable[Correction], zone: tzinfo | None
) -> list[dict[str, Any]]:
    """Each correction, or what is noted: when it was called, what, by whose word, and why."""
    return [
        {
            "entry": each.entry,
            "time": time_of_day(each.wall_ms, zone, seconds=True),
            "when": when(words, game, each.period, each.left_tenths)
            if each.period
            else words("before"),
            "what": each.what,
            "by": each.by,
            "reason": each.reason,
        }
        for each in lines
    ]


def lost(words: Words, game: Game, setup: Setup) -> dict[str, Any] | None:
    """How a game that was forfeited counts, whatever was played; None for any other.

    Source: FIBA 20 and 21, NFHS 5-4, as the profile has them.
    """
    if game.forfeit is None:
        return None
    return {
        "key": "lost_by_default" if game.forfeit.default else "lost_by_forfeit",
        "by": setup.team(game.forfeit.team).name,
        "score": list(official_score(game, game.forfeit)),
    }


def arrow(words: Words, game: Game, past: History) -> dict[str, Any] | None:
    """Who had the arrow, turn by turn, and who has it now; None where there is no arrow."""
    if not game.profile.arrow.used:
        return None
    turns = [{"period": period_name(words, game.profile, max(1, period)), "side": team.value}
             for period, team in past.arrow]  # fmt: skip
    return {"turns": turns, "now": game.arrow.value if game.arrow else ""}
