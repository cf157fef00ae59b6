"""What can be said in one game, and the cost of unlikely shirt numbers and phrasings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from typing import Final

from callout.game.terms import FoulKind, Team

ILLEGAL_MORE: Final = 2.0
"""The further cost of a number that the rules forbid, in nats, beside `RARE`."""

RARE: Final = 4.0
"""The cost of a shirt number that is on neither list, in nats.

Without such numbers in the network, each was heard as the number of some player; at no cost, the
numbers of players were heard as such numbers.
"""

SELDOM: Final = 3.0
"""The cost of a phrasing that few people use (`seldom` in a call file), in nats.

Measured on the demo's 191 calls at 12 dB, four renderings of one voice (right of 764 / wrong):
before these ways existed 723 / 2; with them, at no cost, 342 of 382 right and 3 wrong (two
renderings); at 3.0 714 / 2, and of 382 357; at 4.0 of these 358.
"""


RARELY: Final = 5.0
"""The cost of a phrasing for which one person in a hundred has a use (`rarely`), in nats."""

DECOY: Final = 3.0
"""The cost of words that sound like a call and are none (`decoys` in a call file), in nats."""

PRICES: Final = {"seldom": SELDOM, "rarely": RARELY, "decoys": DECOY}
"""What the sentences under each key of a call file cost; those under any other cost nothing."""


class Sentences(Enum):
    """Which sentences of a language are meant."""

    CALLS = "calls"
    """Those that may be said at any time."""
    ANSWERS = "answers"
    """Those that may be said only while a question is open."""
    BOTH = "calls and answers"
    """All that may be said while a question is open."""


@dataclass(frozen=True, slots=True)
class Scope:
    """What can be said in one game; its mappings are never changed, so it may be hashed."""

    rosters: Mapping[Team, tuple[str, ...]] = field(default_factory=dict, hash=False)
    legal: tuple[str, ...] = ()
    """Every legal shirt number; those on no roster have a cost."""
    foul_kinds: frozenset[FoulKind] = frozenset(FoulKind)
    """The league's kinds of foul. Others have a cost, and the game refuses them aloud: if they
    could not be heard, "flagrant foul guest" would be heard as "foul guest"."""
    team_words: Mapping[Team, tuple[str, ...]] = field(default_factory=dict, hash=False)
    """Colours and nicknames of this game."""
    wake: tuple[str, ...] = ()
    """Words before every call; an answer to an open question needs none."""
    illegal: tuple[str, ...] = ()
    """The numbers that the rules forbid: at a higher cost, because such shirts are worn."""

    def cost(self, kind: FoulKind) -> float:
        """What it costs to say a kind of foul, in nats."""
        return 0.0 if kind in self.foul_kinds else RARE

    def players(self, *teams: Team) -> frozenset[str]:
        """The numbers on these teams' lists."""
        return frozenset(n for team in teams for n in self.rosters.get(team, ()))

    def shirts(self, *teams: Team) -> Mapping[str, float]:
        """Every number that may be said of these teams, with its cost."""
        players = self.players(*teams)
        other = RARE if players else 0.0
        return {
            **dict.fromkeys(self.illegal, other + ILLEGAL_MORE),
            **dict.fromkeys(self.legal, other),
            **dict.fromkeys(sorted(players), 0.0),
        }
