"""The pages as a web application: their files, their events, and the partner's calls."""

from __future__ import annotations

import hmac
import json
from collections.abc import Callable
from pathlib import Path
from typing import Final

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import FileResponse, PlainTextResponse, Response, StreamingResponse
from starlette.routing import Route

from callout.edges.page.addresses import Addresses
from callout.edges.page.guard import Guard, Rate
from callout.edges.page.news import MOST_CLIENTS, News
from callout.plain import plain

STATIC: Final = Path(__file__).parent / "static"

FILES: Final = {
    "page.css": "text/css",
    "page.js": "text/javascript",
    "hall.js": "text/javascript",
    "partner.js": "text/javascript",
}

LONGEST_BODY: Final = 1_000
"""Units: bytes; a call has at most some hundred."""

LONGEST_CALL: Final = 120
"""Units: characters."""


class Pages:
    """Answers the requests that the guard lets through."""

    def __init__(self, addresses: Addresses, news: News, called: Callable[[str], None]) -> None:
        """`called` gets the words of each call that the partner makes."""
        self._addresses, self._news, self._called = addresses, news, called

    def _knows(self, request: Request, page: str) -> bool:
        expected = self._addresses.hall if page == "hall" else self._addresses.partner
        given = str(request.path_params["token"])
        return hmac.compare_digest(given.encode(), expected.encode())

    def page(self, name: str) -> Callable[[Request], Response]:
        """A page's HTML, which holds nothing of the game."""

        def answer(request: Request) -> Response:
            if not self._knows(request, name):
                return _nowhere()
            return FileResponse(STATIC / f"{name}.html", media_type="text/html")

        return answer

    def events(self, name: str) -> Callable[[Request], Response]:
        """The game, as events, for as long as the page is open."""

        def answer(request: Request) -> Response:
            if not self._knows(request, name):
                return _nowhere()
            if self._news.clients >= MOST_CLIENTS:
                return PlainTextResponse("Too many pages are open.", 503)
            return StreamingResponse(self._news.follow(name), media_type="text/event-stream")

        return answer

    async def call(self, request: Request) -> Response:
        """Take a call of the partner's; what comes of it is in the next event."""
        if not self._knows(request, "partner"):
            return _nowhere()
        if request.headers.get("content-type") != "application/json":
            return PlainTextResponse("A call is sent as JSON.", 415)
        body = bytearray()
        async for part in request.stream():
            body += part
            if len(body) > LONGEST_BODY:
                return PlainTextResponse("That is too long for a call.", 413)
        words = _words(bytes(body))
        if words is None:
            return PlainTextResponse('Send {"say": "home two"}.', 400)
        self._called(words)
        return Response(status_code=202)

    @staticmethod
    def file(request: Request) -> Response:
        """A style sheet or a script."""
        name = str(request.path_params["name"])
        if name not in FILES:
            return _nowhere()
        return FileResponse(STATIC / name, media_type=FILES[name])


def _words(body: bytes) -> str | None:
    try:
        told = json.loads(body)
    except (ValueError, RecursionError):
        return None
    words = told.get("say") if isinstance(told, dict) else None
    if not isinstance(words, str) or not 0 < len(words.strip()) <= LONGEST_CALL:
        return None
    return words.strip() if plain(words) == words else None


def _nowhere() -> Response:
    return PlainTextResponse("There is no such page. A new game has new addresses.", 404)


def application(
    addresses: Addresses, news: News, called: Callable[[str], None], rate: Rate | None = None
) -> Guard:
    """The whole application, behind its guard."""
    pages = Pages(addresses, news, called)
    routes = [
        Route("/static/{name}", pages.file),
        # Browsers ask for it by themselves.
        Route("/favicon.ico", lambda _: Response(status_code=204)),
        Route("/partner/{token}/call", pages.call, methods=["POST"]),
    ]
    for name in ("hall", "partner"):
        routes.append(Route(f"/{name}/{{token}}", pages.page(name)))
        routes.append(Route(f"/{name}/{{token}}/events", pages.events(name)))
    return Guard(Starlette(routes=routes), addresses.hosts(), rate)
