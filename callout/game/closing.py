"""Calls that close the book: the officials' approval, and what may be put right after it."""

from __future__ import annotations

from typing import Annotated, Any, Final

from pydantic import Field, PlainValidator

from callout.errors import CalloutError
from callout.game.called import CALLS, Call, called

LONGEST: Final = 200
"""Characters of a name or a reason: more would crowd the sheet on which they stand."""

Text = Annotated[str, Field(max_length=LONGEST)]


def _call(value: Any) -> Call:
    """A call within another, from the plain values that `Registry.dump` gives.

    Raises:
        ValueError: it is none, or holds a call itself.
    """
    if isinstance(value, Call):
        return value
    if not isinstance(value, dict) or value.get("call") in (None, "signed"):
        raise ValueError(f"expected a call, got {value!r:.40}")
    fields = {key: each for key, each in value.items() if key != "call"}
    try:
        return CALLS.load(value["call"], fields)
    except CalloutError as error:
        raise ValueError(str(error)) from None


@called("approve")
class Approve(Call):
    """The officials approve the final score; from then on the book is closed."""

    by: Text = ""
    """Name and role of who says so; empty where nobody is named."""


@called("signed")
class Signed(Call):
    """A correction of the closed book, with the name of who makes it, and why."""

    call: Annotated[Call, PlainValidator(_call)]
    by: Text
    reason: Text
