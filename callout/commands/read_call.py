"""A call that was read out, and what the ear made of it."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from callout.edges.ear.sound import Samples
from callout.language.parser import Parsed, Parser


@dataclass(frozen=True, slots=True)
class ReadCall:
    """One call that was read out."""

    text: str
    heard: str
    """The words that were recognized; empty for none."""
    level_db: float
    """Its loudest frame, in dB of full scale."""
    score: float | None
    """Its log-likelihood ratio to open speech; None if it was not heard as said."""
    sound: Samples = field(default_factory=lambda: np.zeros(0, np.int16), compare=False)
    """The call's own sound, with little around it."""

    @property
    def right(self) -> bool:
        """Whether it was heard as said."""
        return self.score is not None


def mean_the_same(parser: Parser, text: str, other: str) -> bool:
    """Whether two texts are the same calls, in whatever words."""
    one, two = parser.parse(text), parser.parse(other)
    return isinstance(one, Parsed) and isinstance(two, Parsed) and one.calls == two.calls
