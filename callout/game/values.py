"""The plain values of calls and events, with their ranges."""

from __future__ import annotations

from typing import Annotated, Final

from pydantic import Field, StringConstraints

ShirtNumber = Annotated[str, StringConstraints(pattern=r"^(0|00|[1-9][0-9]?)$")]
"""A shirt number as printed: "0" and "00" are different numbers."""

SHIRTS: Final = ("0", "00", *map(str, range(1, 100)))
"""Every possible shirt number."""

Points = Annotated[int, Field(ge=1, le=3)]
"""Points of one goal: 1 for a free throw, 2 or 3 for a field goal."""

ItemName = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z-]{0,30}$")]
"""The name of an item of the checklist."""

LeftS = Annotated[int, Field(ge=0, le=7_200)]
"""How long it is to a moment, in whole seconds."""

WallMs = Annotated[int, Field(ge=0, le=10_000_000_000_000)]
"""A moment of the machine's clock, in milliseconds since 1970."""

Tenths = Annotated[int, Field(ge=0, le=72_000)]
"""Time left on the game clock, in tenths of a second."""
