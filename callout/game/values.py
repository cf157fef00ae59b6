"""Plain values that calls and events share, with their limits."""

from __future__ import annotations

from typing import Annotated, Final

from pydantic import Field, StringConstraints

ShirtNumber = Annotated[str, StringConstraints(pattern=r"^(0|00|[1-9][0-9]?)$")]
"""A shirt number as printed: "0" is not "00"."""

SHIRTS: Final = ("0", "00", *map(str, range(1, 100)))
"""Every shirt number there can be."""

Points = Annotated[int, Field(ge=1, le=3)]
"""Points of one goal: a free throw 1, a field goal 2 or 3."""

Tenths = Annotated[int, Field(ge=0, le=72_000)]
"""Time left in tenths of a second."""
