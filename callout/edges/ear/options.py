"""What the ear trusts: its thresholds, as they were measured."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

from callout.edges.ear.grammar_fst import Costs, Settings


@dataclass(frozen=True, slots=True)
class Options:
    """What the ear trusts."""

    # The thresholds apply to the score: the log-likelihood ratio of a call to open speech, less
    # the call's surprise. They were measured on 216 calls and 40 minutes of talk near the
    # microphone, at a signal-to-noise ratio of 12 dB, in synthetic noise and in babble.
    least_score: float = 0.5
    """Threshold for a call. Measured on 14 minutes of people reading and acting, at 12 dB: 8 false
    calls at 0.5, and 10 at -0.1. At 0.5 one more of a hundred true calls in noise is lost."""
    sure_margin: float = 10.0
    """A lone call of several words whose margin is less is scored by its own sound. At 18, 12 and 6
    dB that took 6 of strangers' 574 true calls and gave 6 others; of 30 false ones in 52 minutes of
    reading and acting it took 19, and gave 4. Three of them had a larger margin."""
    more_when_clear: float = 2.1
    """Added to the threshold in a clean signal, where true calls score higher: at 12 dB it rejects
    two of 213 true calls and 81 of 93 false ones."""
    by_words: tuple[float, float] = (1.0, -2.0)
    """Added to `least_score`, in nats, for a call of two words, and for a longer one. Talk is
    seldom heard as a long call: of 22 false calls in 60 minutes of talk, reading and acting at 12
    dB, 20 had two words. Adding 1 for two words removes 5 false calls, and adding -2 for longer
    calls lets in 1. Both together take 5 more of 300 calls by strangers. A single word has
    `least_word_score` instead."""
    beside_by_words: tuple[float, ...] = (0.0, 0.0, -2.0, -5.0)
    """Added to `least_beside` and `least_cut`, in nats, for a call of one, two, three, and four or
    more words. In those 60 minutes of talk no call of four or more words came closer than 6.3 to
    either threshold. With `by_words` this takes 11 more of 144 calls in running talk."""
    clear_db: tuple[float, float] = (11.0, 13.0)
    """Signal-to-noise ratios by `nearby_speech.clear_db`: up to the first nothing is added, from
    the second on all. Halls of 6, 12 and 18 dB by the largest energies have 10, 15, 20 here."""
    least_beside: float = 7.0
    """Threshold for a call next to other speech or to sound as loud as itself. Together with
    `least_cut` it rejected, with the published network, 53 of 64 false accepts at 12 dB in 375
    utterances in the words of calls, ten of 109 true calls in running talk, and two other true
    ones, both at 6 dB."""
    talk_below: float = 0.0
    """Where several calls are heard in one utterance, one that scores less is other speech, and the
    calls next to it have the thresholds for that. In 75 minutes of talk at 12 dB 10 false calls in
    place of 15; of 72 calls in running talk none was lost, of 360 said two in one breath 1 was lost
    and 1 won."""
    least_cut: float = 15.0
    """Threshold for a call that other words lead into or out of: it may be a piece of talk."""
    least_when_meant: float = -8.0
    """Threshold while the key to talk is down: what is said is meant for the table."""
    least_word_score: float = -3.2
    """Threshold for a single word, which has little evidence and is heard only while a question is
    open."""
    widest_gap: float = 6.0
    """An alternative this much less likely than the best hypothesis is dropped."""
    longest_word_s: float = 1.5
    """A longer word is noise taken for a word."""
    alternatives: int = 12
    """The length of the n-best list."""
    voice: str = ""
    """The file of a learned voice; empty for any voice."""
    by_caller: bool = True
    """Whether a call counts for more in the voice of a caller, and for less in another."""
    in_hall: bool = True
    """Whether the network is changed for a hall's noise, where there is a change for it."""
    costs: Costs = field(default_factory=Costs)
    settings: Settings = field(default_factory=Settings)


MEASURED: Final = Options()
"""The thresholds of somebody who has kept none of their own."""
