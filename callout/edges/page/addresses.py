"""Where the pages are found: the port, the names of this machine, and the tokens.

A token is the only key to a page, so it is long, random, and made anew for each game. A file of the
user's own keeps it for a day (`promised`).
"""

from __future__ import annotations

import secrets
import socket
from dataclasses import dataclass, field
from typing import Final

LOOPBACK: Final = "127.0.0.1"

PORT: Final = 8765
"""Where the pages are found if no port is named; any that is free would do."""

TOKEN_BYTES: Final = 16
"""128 bits: at the limit of requests a second it cannot be guessed in a game, or in a lifetime."""

OUTSIDE: Final = ("192.0.2.1", 9)
"""An address that nobody has; a datagram socket "connected" to it sends nothing, and knows by which
of its own addresses this machine would reach a network. Source: RFC 5737."""


def _token() -> str:
    return secrets.token_urlsafe(TOKEN_BYTES)


@dataclass(frozen=True, slots=True)
class Addresses:
    """The addresses of one game's pages."""

    port: int
    shared: str | None = None
    """This machine's address in the hall's network; None where only this machine is served."""
    hall: str = field(default_factory=_token)
    partner: str = field(default_factory=_token)
    after: str = field(default_factory=_token)
    """The tokens."""

    @property
    def host(self) -> str:
        """The address to give to others."""
        return self.shared or LOOPBACK

    def url(self, page: str) -> str:
        """The full address of a page: `hall`, `partner` or `after`, which is never shared."""
        host = LOOPBACK if page == "after" else self.host
        return f"http://{host}:{self.port}/{page}/{self.token(page)}"

    def token(self, page: str) -> str:
        """The token of a page."""
        return {"hall": self.hall, "partner": self.partner, "after": self.after}[page]

    def hosts(self) -> frozenset[str]:
        """The `Host` headers that a request to us can have; any other was sent by a trick."""
        names = (LOOPBACK, "localhost", *((self.shared,) if self.shared else ()))
        return frozenset(f"{name}:{self.port}" for name in names)


def own_address() -> str | None:
    """This machine's address in its network; None where it has none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(OUTSIDE)
        except OSError:
            return None
        address: str = probe.getsockname()[0]
    return None if address.startswith("127.") else address
