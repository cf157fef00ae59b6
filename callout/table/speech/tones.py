"""Which tone the table gives, and when: for an entry, and at ten seconds left in a period; pure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from callout.game import calls
from callout.game.fold import Entry
from callout.game.kind import Rank
from callout.game.sources import QUIET
from callout.game.state import Game
from callout.table.clock import shows_ms
from callout.table.speech.announcer import Utterance
from callout.table.speech.pending_notices import LAST_TENTHS

HORN: Final = "horn"
"""The table's horn."""
LAST_SECONDS: Final = "last_seconds"
"""The tone at ten seconds left."""


def tone_of(entry: Entry, said: Sequence[Utterance]) -> str:
    """The tone before the words of an entry: for an act that is due, or for what the clock did.

    Empty where the words alone confirm it.
    """
    if any(one.text and one.rank is Rank.ACT for one in said):
        return "attention"
    if isinstance(entry.call, calls.StartClock):
        return "clock_started"
    if isinstance(entry.call, calls.StopClock):
        return "clock_stopped"
    # Where nothing is said, or several notices come before the echo, a tone confirms the call.
    texts = [one for one in said if one.text]
    late = sum(one.rank is Rank.TELL for one in texts) > 1
    return "" if entry.source in QUIET or (texts and not late) else "accepted"


def last_seconds_ms(game: Game, sounded_ms: int | None) -> int | None:
    """When the running clock comes to its last ten seconds; None where no tone is to sound.

    None sounds twice for one moment, `sounded_ms`, nor where the clock starts at ten seconds.

    Units: milliseconds since 1970.
    """
    moment = shows_ms(game, LAST_TENTHS)
    return None if moment in (sounded_ms, game.clock.since_ms) else moment
