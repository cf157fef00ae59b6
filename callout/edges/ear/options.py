"""What the ear trusts: its thresholds, as they were measured."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

from callout.edges.ear.grammar_fst import Costs, Settings


@dataclass(frozen=True, slots=True)
class Options:
    """What the ear trusts."""

    # Each is of the likelihood ratio to open speech, less the call's own surprise; measured on 216
    # calls and 40 minutes of talk near the microphone, at 12 dB in made noise and in babble.
    least_score: float = -1.6
    """A call that explains its sound no better is ignored: at 6 dB 7 of 205 true ones."""
    more_when_clear: float = 2.1
    """So much more where the hall lies far below the call, for a true one shows more then: at 12 dB
    two of 213 show less, and 81 of 93 false ones."""
    clear_db: tuple[float, float] = (11.0, 13.0)
    """Nothing is added where it lies no further below than the first, and all from the second on;
    in halls of 6, 12 and 18 dB by the largest energies it is 10, 15 and 20 by this measure."""
    least_beside: float = 7.0
    """The same of a call beside other speech, or beside which it is as loud; with the one below it
    took away, by the published network, 53 of 64 calls heard at 12 dB in 375 things said in the
    words of calls, ten of 109 true ones in running talk, and two elsewhere, both at 6 dB."""
    least_cut: float = 15.0
    """The same where other words lead over into it or on from it: it may be a piece of talk."""
    least_when_meant: float = -8.0
    """The same of all that is said while the key to talk is down: it is meant for the table."""
    least_word_score: float = -3.2
    """The same of a single word: it has little to show, and is heard only while one asks."""
    widest_gap: float = 6.0
    """A reading this much worse than the best one is not told."""
    longest_word_s: float = 1.5
    """A longer word is noise that was taken for one."""
    alternatives: int = 12
    in_hall: bool = True
    """Whether the network is changed for a hall's noise, where there is a change for it."""
    costs: Costs = field(default_factory=Costs)
    settings: Settings = field(default_factory=Settings)


MEASURED: Final = Options()
"""The thresholds of somebody who has kept none of their own."""
