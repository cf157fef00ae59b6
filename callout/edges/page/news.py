"""The newest state of the game, and everybody who waits for the next."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator
from typing import Final

from callout.edges.page.messages import Beat, Command, Show

MOST_CLIENTS: Final = 600
"""Open pages; each costs some 50 kB. More are told to come back."""


def as_event(name: str, data: object) -> bytes:
    """One server-sent event. Source: HTML standard, 9.2.6."""
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"))
    return f"event: {name}\ndata: {text}\n\n".encode()


class News:
    """Keeps only the newest state: a slow page skips what it missed, and nothing piles up."""

    def __init__(self) -> None:
        self._texts = {"hall": b"", "partner": b""}
        self._beat = b""
        self._show_nr = self._beat_nr = 0
        self._changed = asyncio.Condition()
        self.clients = 0

    async def take(self, command: Command) -> None:
        """What the table told."""
        match command:
            case Show(hall, partner):
                self._show_nr += 1
                number = {"number": self._show_nr}
                self._texts = {
                    "hall": as_event("show", {**hall, **number}),
                    "partner": as_event("show", {**hall, **partner, **number}),
                }
            case Beat(left_tenths, running):
                self._beat_nr += 1
                self._beat = as_event("beat", {"left_tenths": left_tenths, "running": running})
        async with self._changed:
            self._changed.notify_all()

    async def follow(self, page: str) -> AsyncIterator[bytes]:
        """What one page is sent: the game as it is, then every change and beat."""
        self.clients += 1
        try:
            shown = beat = 0
            while True:
                if shown != self._show_nr:
                    shown = self._show_nr
                    yield self._texts[page]
                if beat != self._beat_nr:
                    beat = self._beat_nr
                    yield self._beat
                async with self._changed:
                    if shown == self._show_nr and beat == self._beat_nr:
                        await self._changed.wait()
        finally:
            self.clients -= 1
