"""Who calls in this game: what others say must sound more like a call to be taken for one.

Each call that was heard surely shows whose voice calls; nobody has to introduce himself, and what
is known of the voices is never written down.
"""

from __future__ import annotations

from collections import deque
from typing import Final

import numpy as np

from callout.edges.ear.own_voice.features import Array, mfcc
from callout.edges.ear.own_voice.speaker import Extractor
from callout.edges.ear.own_voice.verification import Plda
from callout.edges.ear.sound import Samples

SURE: Final = 10.0
"""A call whose margin is at least this is by a caller. Units: nats.

Three of four common calls reach it at 18 and at 12 dB, and half of them at 6. Of 640 sentences by
others at 12 dB nine reach it; eight of these are questions, which the grammar takes for no call.
"""

FEWEST: Final = 6
"""Before this number of sure calls no call gains or loses: the callers are not known yet."""

NEAREST: Final = 6
"""A call is compared with the mean of this many sure calls, those that are most like it: several
people may call, and the noise changes."""

MOST: Final = 40
"""The number of this game's sure calls that are remembered; later ones take the place of the
earliest."""

GAINED: Final = (-6.0, 2.0)
"""The most that a call loses by another voice, and the most that it gains by a caller's.

Units: nats. Measured with 16 voices, each known by its calls. Talk by other voices, 36 minutes at
12 dB, makes 108 false calls without this, 53 with the loss alone, 65 with both. Of 380 calls by the
known voices 3, 2 and 9 more are taken at 18, 12 and 6 dB, and none fewer. A gain of up to 5 nats
would take 4, 6 and 18 more, but the callers' own talk, 16 minutes, would make 11 false calls; it
makes 6 with a gain of 2, and 4 with none.
"""


class Callers:
    """The voices that call."""

    def __init__(self, extractor: Extractor, plda: Plda, learned: Array) -> None:
        """`learned` are the vectors of a voice that was learned before (n, 30); n may be 0."""
        self._extractor, self._plda = extractor, plda
        self._learned = learned
        self._heard: deque[Array] = deque(maxlen=MOST)

    def hear(self, sound: Samples, margin: float) -> float:
        """What a call gains by its voice, or loses if it is negative; a sure call is remembered.

        It is compared with the calls before it alone. `margin` is how far its score lies above the
        threshold.

        Units: nats.
        """
        vector = self._extractor.of_loud(mfcc(sound))
        gained = self._gain(vector)
        if margin >= SURE:
            self._heard.append(vector)
        return gained

    def _gain(self, vector: Array) -> float:
        known = np.concatenate([self._learned, *(each[None] for each in self._heard)])
        if len(known) < FEWEST:
            return 0.0
        voice = self._plda.nearest(vector, known, NEAREST)
        least, most = GAINED
        return min(max(self._plda.log_likelihood_ratio(vector, voice), least), most)
