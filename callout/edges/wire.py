"""The messages between the table and a child process: one JSON object a line, each a dataclass.

Both ends use the same dataclasses. The reading end validates them, for what it reads was written by
another process, which may die in the midst of a line or share its output with a library that
prints.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict
from functools import cached_property
from typing import Any, Generic, TypeVar

from pydantic import TypeAdapter

M = TypeVar("M")


class Wire(Generic[M]):
    """One direction of a pipe: the kinds of message that it carries, each under its name."""

    def __init__(self, tag: str, kinds: Mapping[str, type[M]]) -> None:
        """`tag` is the key under which a line has the name of its kind."""
        self._tag = tag
        self.kinds = kinds
        self._names = {kind: name for name, kind in kinds.items()}

    @cached_property
    def _readers(self) -> dict[str, TypeAdapter[M]]:
        """Made by the reading end alone: each takes some milliseconds."""
        return {name: TypeAdapter(kind) for name, kind in self.kinds.items()}

    def write(self, message: M) -> str:
        """The message as a line without its end, in ASCII: file names may hold any bytes."""
        fields: dict[str, object] = asdict(message)  # type: ignore[call-overload]
        return json.dumps({self._tag: self._names[type(message)], **fields})

    def read(self, line: str) -> M:
        """The message that a line holds.

        Raises:
            ValueError: it holds none.
        """
        try:
            told: Any = json.loads(line)
        except RecursionError:
            raise ValueError("nested too deep") from None
        name = told.pop(self._tag, None) if isinstance(told, dict) else None
        reader = self._readers.get(name) if isinstance(name, str) else None
        if reader is None:
            raise ValueError(f"expected a message with its {self._tag!r}, got {line[:80]!r}")
        return reader.validate_python(told)
