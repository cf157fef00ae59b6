"""Three ears: one hears always, one while a key is held, one for one call after a tap.

Each takes samples and gives utterances.
"""

from __future__ import annotations

from collections import deque
from dataclasses import replace
from typing import Final

import numpy as np

from callout.edges.ear.messages import Utterance
from callout.edges.ear.recognizer import Models
from callout.edges.ear.sound import FRAME, RATE_HZ, Samples, levels
from callout.edges.ear.utterance import Stretch
from callout.edges.ear.verdict import NEVER

CHUNK: Final = RATE_HZ // 10
"""Samples decoded at a time."""

LEAD_S: Final = 0.2
"""Each utterance begins with this much of the sound before it: the model needs silence first."""

BACK_S: Final = 0.5
"""The window of a key reaches back this far: people begin to speak before the key is down."""

QUIET_S: Final = 0.25
"""It closes after this much quiet once the key is up: people let go before they have ended."""

LATEST_S: Final = 0.6
"""It closes at the latest this long after the key is up."""

ARMED_S: Final = 4.0
"""After a tap one must begin to speak within this time."""

LONGEST_CALL_S: Final = 6.0
"""The additional time for a call that began in time."""

LONGEST_S: Final = 30.0
"""A window is closed after this time though the key is down: it may be stuck."""

PATIENCE_S: Final = 0.3
"""The additional silence awaited where a call may go on: "home two", "number five"."""

FILE_PATIENCE_S: Final = 0.4
"""In a file nobody waits for an answer: a call may go on after a longer pause."""

EARLY_S: Final = 0.3
"""A call that no longer call extends is accepted once the partial result is stable for this time.

Of 94 such calls in nine voices, half of them at 12 dB, one more was right than at the pause, and
the latency was 0.38 s less: p50 0.29 s after the last word, p95 0.57 s.
"""

PAUSE_S: Final = 0.7
"""The longest pause within a call of the open ear."""

HELD_PAUSE_S: Final = 2.0
"""The same while a key is held: one may look for the number in the midst of a call."""

QUIET_RATIO: Final = 3.0
"""A frame is quiet up to this many times the amplitude of the hall's quietest frames."""

QUIETEST: Final = 10
"""The hall's quietest frames: this percentile of the last `HALL_FRAMES`. Units: per cent."""

HALL_FRAMES: Final = 5 * RATE_HZ // FRAME
"""The frames of the last five seconds."""

LEAST_QUIET: Final = 30.0
"""A frame is always quiet up to this amplitude: the quietest may be zeros, and no multiple of them.

Units: steps of 16-bit sound.
"""


class Ear:
    """Samples in, utterances out; `network` is the name of the network in use."""

    def __init__(self, models: Models, network: str) -> None:
        self.models = models
        self.network = network
        self._stretch: Stretch | None = None
        self.at = 0
        """How many samples have been taken."""

    def feed(self, samples: Samples) -> list[Utterance]:
        """The utterances that these samples complete."""
        found = []
        for start in range(0, len(samples), CHUNK):
            found += self._chunk(samples[start : start + CHUNK])
        return found

    def hear_by(self, network: str) -> None:
        """Hear by that network from now on, and decode the open utterance by it from the start."""
        self.network = network
        if self._stretch is not None:
            self._stretch = self._stretch.again(network)

    def _chunk(self, chunk: Samples) -> list[Utterance]:
        raise NotImplementedError

    def flush(self) -> list[Utterance]:
        """The utterance that is still open, ended here."""
        raise NotImplementedError


class OpenEar(Ear):
    """Listens always; an utterance ends where the speaker pauses."""

    def __init__(self, models: Models, network: str, patience_s: float = PATIENCE_S) -> None:
        super().__init__(models, network)
        self._patience = int(patience_s * RATE_HZ)
        self._paused = 0
        self._callers = models.callers()
        self._stretch: Stretch = self._next(0)
        self._tail = np.zeros(0, dtype=np.int16)
        self._before: Utterance | None = None

    def _chunk(self, chunk: Samples) -> list[Utterance]:
        pause = self._stretch.feed(chunk)
        self._paused = self._paused + len(chunk) if pause else 0
        self.at += len(chunk)
        self._tail = np.concatenate([self._tail, chunk])[-int(LEAD_S * RATE_HZ) :]
        if self._stretch.stood_still_s >= EARLY_S and self._stretch.is_whole():
            return self.flush()
        waits = self._paused < self._patience and self._stretch.may_go_on()
        return self.flush() if pause and not waits else []

    def flush(self) -> list[Utterance]:
        """The utterance that is still open, ended here."""
        utterance = self._stretch.end()
        self._stretch = self._next(self.at - len(self._tail))
        self._stretch.feed(self._tail)
        self._paused = 0
        if utterance is None:
            return []
        before, self._before = self._before, utterance
        return [without_echo(utterance, before)]

    def _next(self, start: int) -> Stretch:
        return Stretch(self.models, self.network, start, PAUSE_S, callers=self._callers)


def without_echo(utterance: Utterance, before: Utterance | None) -> Utterance:
    """An utterance without the call that ended the one before it.

    An utterance that is cut in the midst of a call may guess the rest of the call, and the next one
    begins with the same sound.
    """
    ended = before.calls[-1] if before and before.calls else None
    if ended is None or not ended.is_trusted:
        return utterance
    end_s = ended.words[-1].end_s
    calls = tuple(
        replace(call, margin=NEVER)
        if call.said == ended.said and call.words[0].start_s < end_s
        else call
        for call in utterance.calls
    )
    return replace(utterance, calls=calls)


class TappedEar(OpenEar):
    """Listens always, and gives the first call after a tap."""

    def __init__(self, models: Models, network: str, patience_s: float = PATIENCE_S) -> None:
        super().__init__(models, network, patience_s)
        self._tapped: int | None = None

    @property
    def is_open(self) -> bool:
        """Whether it is armed."""
        return self._tapped is not None

    def tap(self, late_s: float = 0.0) -> None:
        """Arm it; another tap gives the whole time again.

        The sound of this moment will come `late_s` later.
        """
        self._tapped = self.at + int(late_s * RATE_HZ)

    def _chunk(self, chunk: Samples) -> list[Utterance]:
        found = super()._chunk(chunk)
        if self._tapped is None or self.at < self._tapped + int(ARMED_S * RATE_HZ):
            return found
        # A call that began in time may still be going on; noise may go on for ever.
        over = self.at >= self._tapped + int((ARMED_S + LONGEST_CALL_S) * RATE_HZ)
        if self._stretch.has_words and not over:
            return found
        start_s, end_s = round(self._tapped / RATE_HZ, 2), round(self.at / RATE_HZ, 2)
        self._tapped = None
        return [*found, Utterance(start_s, end_s, "")]

    def flush(self) -> list[Utterance]:
        """The utterance that is still open, ended here, if it has the call that the tap was for."""
        found = super().flush()
        if self._tapped is None:
            return []
        first_s = self._tapped / RATE_HZ - BACK_S
        last_s = self._tapped / RATE_HZ + ARMED_S
        # Talk in the stands is no call, and leaves it armed.
        calls = [
            each
            for each in found
            if first_s <= each.start_s <= last_s and any(call.is_trusted for call in each.calls)
        ]
        if calls:
            self._tapped = None
        return calls


class HeldEar(Ear):
    """Listens while a key is held, and a little before and after."""

    def __init__(self, models: Models, network: str, longest_s: float = LONGEST_S) -> None:
        super().__init__(models, network)
        self._longest = int(longest_s * RATE_HZ)
        self._before = np.zeros(0, dtype=np.int16)
        self._released: int | None = None
        self._quiet = Quiet()

    @property
    def is_open(self) -> bool:
        """Whether the window is open."""
        return self._stretch is not None

    def press(self) -> None:
        """The key goes down."""
        self._released = None
        if self._stretch is None:
            start = self.at - len(self._before)
            self._stretch = Stretch(self.models, self.network, start, HELD_PAUSE_S, meant=True)
            self._stretch.feed(self._before)

    def release(self, late_s: float = 0.0) -> None:
        """The key comes up; the sound of this moment will come `late_s` later."""
        if self._stretch is not None and self._released is None:
            self._released = self.at + int(late_s * RATE_HZ)

    def _chunk(self, chunk: Samples) -> list[Utterance]:
        self._quiet.feed(chunk)
        self._before = np.concatenate([self._before, chunk])[-int(BACK_S * RATE_HZ) :]
        self.at += len(chunk)
        if self._stretch is None:
            return []
        self._stretch.feed(chunk)
        return self.flush() if self._may_close(self._stretch.start) else []

    def _may_close(self, start: int) -> bool:
        if self._released is None:
            return self.at - start >= self._longest
        since_s = (self.at - self._released) / RATE_HZ
        return since_s >= LATEST_S or min(since_s, self._quiet.lasting_s) >= QUIET_S

    def flush(self) -> list[Utterance]:
        """Closes the window; its utterance, which may be empty."""
        stretch, self._stretch, self._released = self._stretch, None, None
        if stretch is None:
            return []
        start_s, end_s = round(stretch.start / RATE_HZ, 2), round(self.at / RATE_HZ, 2)
        return [stretch.end() or Utterance(start_s, end_s, "")]


class Quiet:
    """Measures for how long it has been quiet, relative to the hall's own noise."""

    def __init__(self) -> None:
        self._levels: deque[float] = deque(maxlen=HALL_FRAMES)
        self.lasting_s = 0.0
        """Seconds since the last frame that was louder."""

    def feed(self, samples: Samples) -> None:
        """Take more sound."""
        new = levels(samples)
        if not len(new):
            return
        self._levels.extend(map(float, new))
        floor = float(np.percentile(self._levels, QUIETEST))
        for quiet in new <= max(QUIET_RATIO * floor, LEAST_QUIET):
            self.lasting_s = self.lasting_s + FRAME / RATE_HZ if quiet else 0.0
