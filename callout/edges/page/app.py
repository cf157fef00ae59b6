"""The pages as a web application: their files, their events, and the partner's calls."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Final

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response, StreamingResponse
from starlette.routing import Route

from callout.edges.page.addresses import Addresses
from callout.edges.page.answers import TooLongError, body_of, html, knows, nowhere, static_file
from callout.edges.page.guard import Guard, Rate
from callout.edges.page.news import MOST_CLIENTS, News
from callout.plain import plain

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
        return knows(request, self._addresses.hall if page == "hall" else self._addresses.partner)

    def page(self, name: str) -> Callable[[Request], Response]:
        """A page's HTML, which holds nothing of the game."""

        def answer(request: Request) -> Response:
            if not self._knows(request, name):
                return nowhere()
            return html(name)

        return answer

    def events(self, name: str) -> Callable[[Request], Response]:
        """The game, as events, for as long as the page is open."""

        def answer(request: Request) -> Response:
            if not self._knows(request, name):
                return nowhere()
            if self._news.clients >= MOST_CLIENTS:
                return PlainTextResponse("Too many pages are open.", 503)
            return StreamingResponse(self._news.follow(name), media_type="text/event-stream")

        return answer

    async def call(self, request: Request) -> Response:
        """Take a call of the partner's; what comes of it is in the next event."""
        if not self._knows(request, "partner"):
            return nowhere()
        if request.headers.get("content-type") != "application/json":
            return PlainTextResponse("A call is sent as JSON.", 415)
        try:
            words = _words(await body_of(request, LONGEST_BODY))
        except TooLongError:
            return PlainTextResponse("That is too long for a call.", 413)
        if words is None:
            return PlainTextResponse('Send {"say": "home two"}.', 400)
        self._called(words)
        return Response(status_code=202)


def _words(body: bytes) -> str | None:
    try:
        told = json.loads(body)
    except (ValueError, RecursionError):
        return None
    words = told.get("say") if isinstance(told, dict) else None
    if not isinstance(words, str) or not 0 < len(words.strip()) <= LONGEST_CALL:
        return None
    return words.strip() if plain(words) == words else None


def application(
    addresses: Addresses, news: News, called: Callable[[str], None], rate: Rate | None = None
) -> Guard:
    """The whole application, behind its guard."""
    pages = Pages(addresses, news, called)
    routes = [
        Route("/static/{name}", static_file),
        # Browsers ask for it by themselves.
        Route("/favicon.ico", lambda _: Response(status_code=204)),
        Route("/partner/{token}/call", pages.call, methods=["POST"]),
    ]
    for name in ("hall", "partner"):
        routes.append(Route(f"/{name}/{{token}}", pages.page(name)))
        routes.append(Route(f"/{name}/{{token}}/events", pages.events(name)))
    return Guard(Starlette(routes=routes), addresses.hosts(), rate)
