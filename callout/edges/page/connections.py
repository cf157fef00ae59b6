"""Connections to the pages: how many one machine may hold, and how long one may ask nothing.

Whoever floods the server costs it little: what reads HTTP is made only once the whole head of a
request has come, so that a connection too many, or one that never asks, is an accept and a close.
"""

from __future__ import annotations

import asyncio
from collections import Counter
from typing import Any, Final

from uvicorn.protocols.http.h11_impl import H11Protocol

ASKS_S: Final = 10.0
"""A connection that has asked nothing within this time is closed."""

MOST_FROM_ONE: Final = 400
"""Connections that one address may hold. A whole hall may stand behind one address, and a page
holds one connection; with six of these addresses the server is full."""

LONGEST_HEAD: Final = 16_384
"""Units: bytes; a browser sends some hundred before the body of a request."""

END: Final = b"\r\n\r\n"
"""What ends the head of a request. Source: RFC 9112, 2.1."""


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


class Door(asyncio.Protocol):
    """Takes a connection, and hands it to HTTP once a request has come; closes it otherwise."""

    crowd: Crowd

    def __init__(self, **serves: Any) -> None:
        """`serves` is what the server gives to what reads HTTP."""
        self._serves = serves
        self._open: set[Any] = serves["server_state"].connections
        """What the server counts, and closes when it ends."""
        self._transport: asyncio.Transport | None = None
        self._http: H11Protocol | None = None
        self._head = b""
        self._from: str | None = None
        self._timer: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """Count the connection, and begin to count its seconds."""
        assert isinstance(transport, asyncio.Transport)
        address = str((transport.get_extra_info("peername") or ("",))[0])
        if not self.crowd.enters(address):
            transport.abort()
            return
        self._transport, self._from = transport, address
        self._open.add(self)
        self._timer = asyncio.get_running_loop().call_later(ASKS_S, transport.abort)

    def data_received(self, data: bytes) -> None:
        """Wait for a whole head, then hand on all that comes."""
        if self._http is not None:
            self._http.data_received(data)
            return
        self._head += data
        if self._transport is None:
            return
        if END in self._head:
            self._hand_over(self._transport)
        elif len(self._head) > LONGEST_HEAD:
            self._transport.abort()

    def _hand_over(self, transport: asyncio.Transport) -> None:
        self._waits_no_more()
        self._http, head, self._head = H11Protocol(**self._serves), self._head, b""
        self._http.connection_made(transport)
        self._http.data_received(head)

    def _waits_no_more(self) -> None:
        self._open.discard(self)
        if self._timer is not None:
            self._timer.cancel()

    def shutdown(self) -> None:
        """The server ends."""
        if self._transport is not None:
            self._transport.close()

    def eof_received(self) -> None:
        """Nothing more comes."""
        if self._http is not None:
            self._http.eof_received()

    def pause_writing(self) -> None:
        """The other end reads too slowly."""
        if self._http is not None:
            self._http.pause_writing()

    def resume_writing(self) -> None:
        """It reads again."""
        if self._http is not None:
            self._http.resume_writing()

    def connection_lost(self, exc: Exception | None) -> None:
        """Count it no more."""
        self._waits_no_more()
        if self._http is not None:
            self._http.connection_lost(exc)
        if self._from is not None:
            self.crowd.leaves(self._from)
            self._from = None


def door(crowd: Crowd) -> type[Door]:
    """The door of one server, whose connections are counted together."""
    return type("OneDoor", (Door,), {"crowd": crowd})
