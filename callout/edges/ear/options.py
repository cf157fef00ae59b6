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
    by_words: tuple[float, ...] = (0.0, 1.0, -2.0)
    """Added to the threshold of a call of one word, of two, and of three or more: talk is seldom
    heard as a long call. Of 22 false calls in 60 minutes of talk, reading and acting at 12 dB, 2
    had three words or more; 2 nats less let 1 more in, 1 nat more keeps out 5 of those with two
    words. Of 300 strangers' calls 5 more are taken for both steps, of 144 in running talk, with
    the next row, 11."""
    beside_by_words: tuple[float, ...] = (0.0, 0.0, -2.0, -5.0)
    """The same next to other speech, next to loud sound, or led into by words; the last for four or
    more: in those 60 minutes none so long came nearer than 6.3 to its threshold there."""
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
    in_hall: bool = True
    """Whether the network is changed for a hall's noise, where there is a change for it."""
    costs: Costs = field(default_factory=Costs)
    settings: Settings = field(default_factory=Settings)


MEASURED: Final = Options()
"""The thresholds of somebody who has kept none of their own."""
