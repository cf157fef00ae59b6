"""What makes the table's sentences sound: several programs, asked in one way."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, Protocol

from callout.edges.voice.rendered import Rendered

LIMIT_S: Final = 30.0
"""One that is silent this long over a sentence hangs."""


class Synthesizer(Protocol):
    """Gives the sound of a sentence away, and plays none."""

    back: Callable[[], None]
    """Called when one that died by itself has been started again."""

    @property
    def key(self) -> str:
        """What the sound depends on beside the text and the speed."""

    def render(self, text: str, speed: float) -> Rendered:
        """The sound of a text; `speed` 1.2 speaks a fifth faster.

        Raises:
            ModelError: it cannot be started, or fails on this text.
        """

    def close(self) -> None:
        """Ends what it keeps running; when it is asked again, it is started again."""
