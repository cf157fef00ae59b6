"""Whole games by random keys in every league; a listener checks every reply."""

from __future__ import annotations

import logging
import sys
from pathlib import Path

from callout.game.notices.kinds import KINDS
from callout.game.profile.file import profile_names
from tests.faults.listener import Listener
from tests.faults.result import Result
from tests.faults.scorer import Scorer


class Unworded(logging.Handler):
    """Collects the log's lines on notices that could not be put into words."""

    def __init__(self) -> None:
        super().__init__()
        self.told: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        """Collect one line."""
        self.told.append(record.getMessage())


def talk(folder: Path, minutes: int) -> Result:
    """Plays `minutes` of game clock in every league."""
    told: list[str] = []
    heard, played_s, nagging = Listener(), 0.0, 0
    unworded = Unworded()
    logging.getLogger("callout").addHandler(unworded)
    for profile in profile_names():
        game_s, seed = 0.0, 0
        while game_s < 60 * minutes:
            scorer, listener = Scorer(profile, seed), Listener()
            for reply in scorer.replies(60 * minutes - game_s):
                listener.hear(reply, scorer.session.entries, scorer.game, scorer.time.wall_ms())
            told += [f"{profile} {seed}: {each}" for each in listener.complaints]
            heard.heard += listener.heard
            heard.kinds |= listener.kinds
            nagging = max(nagging, listener.most_in_a_minute)
            game_s, seed = game_s + scorer.played_s, seed + 1
        played_s += game_s
    logging.getLogger("callout").removeHandler(unworded)
    told += unworded.told
    print("never said:", *sorted(KINDS.keys() - heard.kinds), file=sys.stderr)
    for each in told:
        print(each, file=sys.stderr)
    counts = {**heard.heard, "kinds of notice": len(heard.kinds & KINDS.keys()),
              "minutes of game clock": round(played_s / 60)}  # fmt: skip
    most = {"repeated in one minute": nagging}
    return Result("talk", heard.heard["replies"], len(told), counts=counts, most=most)
