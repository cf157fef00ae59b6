"""Connections to the pages: how many one machine may hold, and how long one may ask nothing."""

from __future__ import annotations

import asyncio
from collections import Counter
from typing import Final

from uvicorn.protocols.http.h11_impl import H11Protocol

ASKS_S: Final = 10.0
"""A connection that has asked nothing within this time is closed."""

MOST_FROM_ONE: Final = 400
"""Connections that one address may hold. A whole hall may stand behind one address, and a page
holds one connection; with six of these addresses the server is full."""


class Crowd:
    """The open connections, by the address from which they come."""

    def __init__(self) -> None:
        self._open: Counter[str] = Counter()

    def enters(self, address: str) -> bool:
        """Count one more; False, and not counted, where that address holds too many already."""
        if self._open[address] >= MOST_FROM_ONE:
            return False
        self._open[address] += 1
        return True

    def leaves(self, address: str) -> None:
        """One that was counted is closed."""
        self._open[address] -= 1
        if not self._open[address]:
            del self._open[address]


class PatientProtocol(H11Protocol):
    """HTTP/1.1 that closes a connection that is one too many, or on which nothing is asked."""

    crowd: Crowd
    _from: str | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Count the connection, and begin to count its seconds."""
        super().connection_made(transport)
        address = str((transport.get_extra_info("peername") or ("",))[0])
        if not self.crowd.enters(address):
            transport.abort()
            return
        self._from = address
        self.loop.call_later(ASKS_S, self._close_if_it_asked_nothing)

    def connection_lost(self, exc: Exception | None) -> None:
        """Count it no more."""
        super().connection_lost(exc)
        if self._from is not None:
            self.crowd.leaves(self._from)
            self._from = None

    def _close_if_it_asked_nothing(self) -> None:
        if self.cycle is None and not self.transport.is_closing():
            self.transport.close()


def patient(crowd: Crowd) -> type[PatientProtocol]:
    """The protocol of one server, whose connections are counted together."""
    return type("Patient", (PatientProtocol,), {"crowd": crowd})
