"""What a request must be before any page sees it, and the headers of every answer.

A browser in the hall may be hostile, and so may any page that is open on the scorer's own machine:
a foreign page can send requests to this server, by another name of ours, too.
"""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Callable
from typing import Final

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from callout.edges.page.addresses import LOOPBACK
from callout.edges.page.answers import TOO_MANY

HEADERS: Final = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; "
                               "connect-src 'self'; img-src 'self'; base-uri 'none'; "
                               "form-action 'none'; frame-ancestors 'none'",
    "Cache-Control": "no-store",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}  # fmt: skip
"""Of every answer. The address holds the token: it goes into no cache and to no other site."""

OPENER: Final = {"Cross-Origin-Opener-Policy": "same-origin"}
"""Of what this machine itself asks: elsewhere a browser ignores it without encryption, and
complains of it. Source: HTML standard, cross-origin opener policies."""

LONGEST_PATH: Final = 200
"""Units: bytes."""

REQUESTS_A_SECOND: Final = 50.0
BURST: Final = 400.0
"""What one address may ask: a page needs five requests to open and one for each call, and a whole
hall may stand behind one address."""

KNOWN: Final = 2_000
"""The machines that are remembered; the one longest unheard of is forgotten first."""


class Rate:
    """A bucket of requests for each machine, which fills at a steady rate."""

    def __init__(self, now_s: Callable[[], float] = time.monotonic) -> None:
        self._now_s = now_s
        self._buckets: OrderedDict[str, tuple[float, float]] = OrderedDict()

    def allows(self, client: str) -> bool:
        """Whether one more request from there is answered."""
        now = self._now_s()
        left, since = self._buckets.pop(client, (BURST, now))
        left = min(BURST, left + (now - since) * REQUESTS_A_SECOND)
        allowed = left >= 1.0
        self._buckets[client] = (left - 1.0 if allowed else left, now)
        if len(self._buckets) > KNOWN:
            self._buckets.popitem(last=False)
        return allowed


def _is_here(scope: Scope) -> bool:
    """Whether a request is to this machine's own names, which a browser trusts."""
    name = Headers(scope=scope).get("host", "").rpartition(":")[0]
    return name in (LOOPBACK, "localhost")


class Guard:
    """Answers what is not a plain request to this server, and adds the headers to every answer."""

    def __init__(self, app: ASGIApp, hosts: frozenset[str], rate: Rate | None = None) -> None:
        self._app, self._hosts, self._rate = app, hosts, rate or Rate()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one request."""
        if scope["type"] != "http":
            return  # no websocket: nothing of ours uses one

        async def send_safely(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in (HEADERS | (OPENER if _is_here(scope) else {})).items():
                    headers[name] = value
            await send(message)

        refused = self._refused(scope)
        if refused is None:
            await self._app(scope, receive, send_safely)
        else:
            await PlainTextResponse(refused[1], refused[0])(scope, receive, send_safely)

    def _refused(self, scope: Scope) -> tuple[int, str] | None:
        headers = Headers(scope=scope)
        client = scope["client"][0] if scope.get("client") else ""
        if headers.get("host", "") not in self._hosts:
            return 421, "This is not the address of the game."
        # A browser names the page that sends a request; ours have our own address.
        origin = headers.get("origin")
        if origin is not None and origin.removeprefix("http://") not in self._hosts:
            return 403, "Only the game's own pages may ask."
        # A link that was sent to somebody may be followed; nothing else may come from elsewhere.
        follows = scope["method"] == "GET" and headers.get("sec-fetch-mode") == "navigate"
        if not follows and headers.get("sec-fetch-site", "none") not in ("none", "same-origin"):
            return 403, "Only the game's own pages may ask."
        if len(scope.get("raw_path") or b"") > LONGEST_PATH or scope.get("query_string"):
            return 404, "There is no such page."
        if not self._rate.allows(client):
            return 429, TOO_MANY
        return None
