"""How fast and how loud the voice speaks: the steps that "speak slower" and the like take; pure."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from callout.game.terms import Manner

# Both: common practice, no source; to be judged with people at a table.
SPEEDS: Final = (0.75, 0.85, 0.95, 1.08, 1.2, 1.35, 1.5)
"""The steps of speed; 1.0 is the voice's own, made for reading aloud."""
GAINS: Final = (0.18, 0.25, 0.35, 0.5, 0.7, 1.0)
"""The steps of loudness, some 3 dB each, as a part of the loudest that is safe."""


@dataclass(frozen=True, slots=True)
class Delivery:
    """How the voice is to speak from now on."""

    speed: float = 1.08
    """1.2 speaks a fifth faster than the voice's own."""
    gain: float = 0.7
    """A part of the loudest that is safe; never more than 1."""


def stepped(delivery: Delivery, manner: Manner) -> Delivery:
    """One step slower, faster, softer or louder; the same where it goes no further."""
    match manner:
        case Manner.SLOWER | Manner.FASTER:
            more = 1 if manner is Manner.FASTER else -1
            return replace(delivery, speed=_step(SPEEDS, delivery.speed, more))
        case Manner.SOFTER | Manner.LOUDER:
            more = 1 if manner is Manner.LOUDER else -1
            return replace(delivery, gain=_step(GAINS, delivery.gain, more))


def _step(steps: tuple[float, ...], at: float, more: int) -> float:
    return steps[max(0, min(len(steps) - 1, steps.index(at) + more))]
