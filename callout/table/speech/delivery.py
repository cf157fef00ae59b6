"""The speed and loudness of the voice, and the steps of "speak slower" and the like; pure."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from callout.game.terms import Manner

# Both: common practice, no source; to be judged with people at a table.
SPEEDS: Final = (0.75, 0.85, 0.95, 1.08, 1.2, 1.35, 1.5)
"""The steps of speed. 1.0 is the voice's own speed, which is that of reading aloud."""
GAINS: Final = (0.18, 0.25, 0.35, 0.5, 0.7, 1.0)
"""The steps of loudness, about 3 dB apart, as a share of the loudest safe level."""


@dataclass(frozen=True, slots=True)
class Delivery:
    """How fast and how loud the voice speaks."""

    speed: float = 1.08
    """Relative to the voice's own speed: 1.2 is a fifth faster."""
    gain: float = 0.7
    """Share of the loudest safe level; at most 1."""


def stepped(delivery: Delivery, manner: Manner) -> Delivery:
    """One step slower, faster, softer or louder; unchanged at the last step."""
    match manner:
        case Manner.SLOWER | Manner.FASTER:
            more = 1 if manner is Manner.FASTER else -1
            return replace(delivery, speed=_step(SPEEDS, delivery.speed, more))
        case Manner.SOFTER | Manner.LOUDER:
            more = 1 if manner is Manner.LOUDER else -1
            return replace(delivery, gain=_step(GAINS, delivery.gain, more))


def _step(steps: tuple[float, ...], at: float, more: int) -> float:
    return steps[max(0, min(len(steps) - 1, steps.index(at) + more))]
