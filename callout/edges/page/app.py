"""The pages as a web application: their files, their events, and the partner's calls."""

from __future__ import annotations

import json
from collections.abc import Awaitable, Callable
from typing import Final

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response, StreamingResponse
from starlette.routing import Route

from callout.edges.page.addresses import LOOPBACK, Addresses
from callout.edges.page.answers import TooLongError, body_of, html, knows, nowhere, static_file
from callout.edges.page.guard import Guard, Rate
from callout.edges.page.news import MOST_CLIENTS, News
from callout.edges.page.papers import Papers
from callout.errors import CalloutError
from callout.plain import plain

LONGEST_BODY: Final = 1_000
"""Units: bytes; a call has at most some hundred."""

LONGEST_CALL: Final = 120
"""Units: characters."""


class Pages:
    """Answers the requests that the guard lets through."""

    def __init__(
        self, addresses: Addresses, news: News, called: Callable[[str], None], papers: Papers
    ) -> None:
        """`called` gets the words of each call that is made on a page."""
        self._addresses, self._news, self._called = addresses, news, called
        self._papers = papers

    def _knows(self, request: Request, page: str) -> bool:
        return knows(request, self._addresses.token(page)) and (page != "after" or _here(request))

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
            # After the game the partner's state is needed: what is open, and the last calls.
            told = "hall" if name == "hall" else "partner"
            return StreamingResponse(self._news.follow(told), media_type="text/event-stream")

        return answer

    def call(self, page: str) -> Callable[[Request], Awaitable[Response]]:
        """Take a call that is made on a page; what comes of it is in the next event."""

        async def answer(request: Request) -> Response:
            return await self._call(request) if self._knows(request, page) else nowhere()

        return answer

    def paper(self, request: Request) -> Response:
        """The sheet, a table, or what is open, as the game's file now is."""
        if not self._knows(request, "after"):
            return nowhere()
        try:
            made = self._papers.make(str(request.path_params["name"]))
        except CalloutError as error:
            return PlainTextResponse(str(error), 409)
        if made is None:
            return nowhere()
        headers = (
            {} if made.shown else {"Content-Disposition": f'attachment; filename="{made.name}"'}
        )
        return Response(made.content, media_type=made.media_type, headers=headers)

    async def _call(self, request: Request) -> Response:
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


def _here(request: Request) -> bool:
    """Whether a request comes from this machine: the sheet has names, which may be children's."""
    return request.client is not None and request.client.host == LOOPBACK


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
    addresses: Addresses,
    news: News,
    called: Callable[[str], None],
    papers: Papers,
    rate: Rate | None = None,
) -> Guard:
    """The whole application, behind its guard."""
    pages = Pages(addresses, news, called, papers)
    routes = [
        Route("/static/{name}", static_file),
        # Browsers ask for it by themselves.
        Route("/favicon.ico", lambda _: Response(status_code=204)),
        Route("/after/{token}/papers/{name}", pages.paper),
    ]
    for name in ("partner", "after"):
        routes.append(Route(f"/{name}/{{token}}/call", pages.call(name), methods=["POST"]))
    for name in ("hall", "partner", "after"):
        routes.append(Route(f"/{name}/{{token}}", pages.page(name)))
        routes.append(Route(f"/{name}/{{token}}/events", pages.events(name)))
    return Guard(Starlette(routes=routes), addresses.hosts(), rate)
