"""Who calls in this game: what others say must sound more like a call to be taken for one.

Each call that was heard surely shows whose voice calls; nobody has to introduce himself, and what
is known of the voices is never written down.
"""

from __future__ import annotations

from collections import deque
from typing import Final

import numpy as np

from callout.edges.ear.own_voice.features import Array, mfcc
from callout.edges.ear.own_voice.speaker import Speaker
from callout.edges.ear.own_voice.verification import Speakers
from callout.edges.ear.sound import Samples

SURE: Final = 10.0
"""A call whose margin is at least this, in nats, is by a caller. So are three of four common calls
at 18 and 12 dB, half of them at 6, and of 640 things said by others at 12 dB nine, eight of which
are questions that the grammar knows to be none."""

FEWEST: Final = 6
"""Nothing is gained or lost before so many sure calls."""

NEAREST: Final = 6
"""A call is compared with so many of the sure calls, those that are most like it: several people
may call, and the noise changes."""

MOST: Final = 40
"""The number of this game's sure calls that are remembered; later ones take the place of the
earliest."""

GAINED: Final = (-6.0, 2.0)
"""What a call loses at most by another voice, and gains at most by a caller's, in nats.

Measured with 16 voices, each known by its calls: talk by other voices, 36 minutes, is a false call
108 times without it at 12 dB, 53 with a loss alone, 65 with both. Of 380 calls by the known voices
3, 2 and 9 more are taken at 18, 12 and 6 dB, and none fewer. With a gain of 5 it is 4, 6 and 18,
but the callers' own talk, 16 minutes, has 11 false calls; with 2 it has 6, without any 4.
"""


class Callers:
    """The voices that call."""

    def __init__(self, speaker: Speaker, speakers: Speakers, learned: Array) -> None:
        """`learned` are the vectors of a voice that was learned before (n, 30); n may be 0."""
        self._speaker, self._speakers = speaker, speakers
        self._learned = learned
        self._heard: deque[Array] = deque(maxlen=MOST)

    def gain(self, sound: Samples, margin: float) -> float:
        """What a call gains by its voice, in nats, or loses if it is negative.

        `margin` is how much its score is above the threshold; a sure one is remembered.
        """
        vector = self._speaker.of_loud(mfcc(sound))
        gained = self._gain(vector)
        if margin >= SURE:
            self._heard.append(vector)
        return gained

    def _gain(self, vector: Array) -> float:
        known = np.concatenate([self._learned, *(each[None] for each in self._heard)])
        if len(known) < FEWEST:
            return 0.0
        voice = self._speakers.nearest(vector, known, NEAREST)
        least, most = GAINED
        return min(max(self._speakers.log_likelihood_ratio(vector, voice), least), most)
