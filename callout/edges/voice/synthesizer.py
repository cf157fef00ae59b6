"""The interface of speech synthesizers."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, Protocol

from callout.edges.voice.rendered import Rendered

LIMIT_S: Final = 30.0
"""A synthesizer that gives no sound for a sentence within this time hangs."""


class Synthesizer(Protocol):
    """Renders sentences to samples; it plays nothing itself."""

    back: Callable[[], None]
    """Called when a process that died between two sentences has been replaced."""

    @property
    def name(self) -> str:
        """What a person knows it by."""

    @property
    def key(self) -> str:
        """All that the sound depends on besides the text and the speed."""

    def render(self, text: str, speed: float) -> Rendered:
        """The sound of a text; `speed` 1.2 speaks a fifth faster.

        Raises:
            ModelError: it cannot be started, or fails on this text.
        """

    def close(self) -> None:
        """Ends its process; it is started again when the next sentence is rendered."""
