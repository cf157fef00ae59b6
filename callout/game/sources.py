"""Where a call came from: the journal keeps it with each entry."""

from __future__ import annotations

from typing import Final

SPOKEN: Final = "voice"
"""By ear."""
KEY: Final = "key"
"""By a key or pedal, or typed."""
CLOCK: Final = "clock"
"""Due by itself."""
SCRIPT: Final = "script"
"""From a script, or from the program itself in a practice: the partner at the clock, and what came
before the first play."""

QUIET: Final = frozenset({CLOCK, SCRIPT})
"""Sources without a person who could answer: their calls are never asked about."""
