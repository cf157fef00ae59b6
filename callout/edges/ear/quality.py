"""What is wrong with the sound of a microphone, by its samples alone; pure."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray

from callout.edges.ear.sound import Samples

WINDOW_S: Final = 0.5
"""The length of the pieces in which sound is judged."""

BAD_WINDOWS: Final = 2
"""This many of the last `OF_WINDOWS` pieces must be bad: one shout is nothing to report."""

OF_WINDOWS: Final = 3
"""The number of latest pieces that are judged together."""

FULL: Final = 32_700
"""A sample this large is at the end of its scale."""

CLIPPED: Final = 0.01
"""A piece with this share of such samples is clipped; unclipped loud speech has none."""

HEARD: Final = 300.0
"""The spectrum of a piece is judged only if the piece is this loud (root mean square)."""

TELEPHONE_HZ: Final = (300.0, 3_400.0)
"""The pass band of a telephone. Source: ITU-T G.712, channels of 4 kHz."""

ABOVE_HZ: Final = (4_200.0, 7_000.0)

TELEPHONE: Final = 1e-5
"""With less than this share of energy above the pass band the sound is a telephone's. The least
share in any half second of 120 recordings of people and nine synthetic voices was 2e-5."""


class Quality:
    """Watches one microphone's sound, at the rate of the device."""

    def __init__(self, rate_hz: int) -> None:
        self._window = int(WINDOW_S * rate_hz)
        self._pitches = np.fft.rfftfreq(self._window, 1 / rate_hz)
        self._sound = np.zeros(0, dtype=np.int16)
        self._bad: dict[str, list[bool]] = {"clipped": [], "telephone": []}
        self._told: set[str] = set()

    def feed(self, samples: Samples) -> list[str]:
        """The new faults: `clipped` or `telephone`.

        Each is reported once, and again only if it had gone in between.
        """
        self._sound = np.concatenate([self._sound, samples])
        found = []
        while len(self._sound) >= self._window:
            piece, self._sound = self._sound[: self._window], self._sound[self._window :]
            for kind, bad in self._judged(piece):
                found += self._note(kind, bad)
        return found

    def _judged(self, piece: Samples) -> Iterator[tuple[str, bool]]:
        loud = np.abs(piece.astype(np.int32))
        yield "clipped", float((loud >= FULL).mean()) >= CLIPPED
        if float(np.sqrt((loud.astype(np.float64) ** 2).mean())) >= HEARD:
            yield "telephone", self._share_above(piece) < TELEPHONE

    def _share_above(self, piece: Samples) -> float:
        """The energy above a telephone's pass band, relative to that within."""
        if self._pitches[-1] <= ABOVE_HZ[0]:
            return 0.0
        # Without a window function the piece's edges would look like energy at all frequencies.
        power = np.abs(np.fft.rfft(piece * np.hanning(len(piece)))) ** 2
        return self._within(power, ABOVE_HZ) / max(self._within(power, TELEPHONE_HZ), 1e-9)

    def _within(self, power: NDArray[np.float64], band_hz: tuple[float, float]) -> float:
        low, high = band_hz
        return float(power[(self._pitches >= low) & (self._pitches < high)].mean())

    def _note(self, kind: str, bad: bool) -> list[str]:
        last = self._bad[kind] = [*self._bad[kind], bad][-OF_WINDOWS:]
        if sum(last) >= BAD_WINDOWS:
            fresh = kind not in self._told
            self._told.add(kind)
            return [kind] if fresh else []
        if not any(last):
            self._told.discard(kind)
        return []
