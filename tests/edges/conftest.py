"""What the tests of the edges share."""

from __future__ import annotations

from tests.devices import (
    _voice_ends,
    display,
    ear,
    game,
    model,
    models,
    nameless,
    parser,
    pulse,
    screen,
)

__all__ = [
    "_voice_ends",
    "display",
    "ear",
    "game",
    "model",
    "models",
    "nameless",
    "parser",
    "pulse",
    "screen",
]
