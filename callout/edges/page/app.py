"""The pages as a web application: their files, their events, and the partner's calls."""

from __future__ import annotations

import json
from collections.abc import Awaitable, Callable, Mapping, Sequence
from typing import Any, Final

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response, StreamingResponse
from starlette.routing import Route

from callout.edges.page.addresses import LOOPBACK, Addresses
from callout.edges.page.answers import (
    NO_PAPERS,
    NOT_READ,
    TOO_LONG,
    TooLongError,
    body_of,
    html,
    knows,
    nowhere,
    static_file,
)
from callout.edges.page.guard import Guard, Rate
from callout.edges.page.messages import Approved, Called, Done, Numbered, Signed
from callout.edges.page.news import MOST_CLIENTS, News
from callout.edges.page.papers import Papers
from callout.errors import CalloutError
from callout.game.values import SHIRTS
from callout.plain import plain

LONGEST_BODY: Final = 2_000
"""Units: bytes; a signed correction has at most 440 characters."""

LONGEST_CALL: Final = 120
LONGEST_NAME: Final = 60
LONGEST_REASON: Final = 200
"""Units: characters, as the page's fields have them."""

Read = Callable[[Mapping[str, Any]], Done]
"""Reads what a page sends; raises ValueError or KeyError where it is none of it."""


class Pages:
    """Answers the requests that the guard lets through."""

    def __init__(
        self, addresses: Addresses, news: News, did: Callable[[Done], None], papers: Papers
    ) -> None:
        """`did` gets what is done on a page."""
        self._addresses, self._news, self._did = addresses, news, did
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

    def takes(self, page: str, read: Read) -> Callable[[Request], Awaitable[Response]]:
        """Take what is done on a page, as `read` reads it; the next event tells what came of it."""

        async def answer(request: Request) -> Response:
            return await self._take(request, read) if self._knows(request, page) else nowhere()

        return answer

    def paper(self, request: Request) -> Response:
        """The sheet, a table, or what is open, as the game's file now is."""
        if not self._knows(request, "after"):
            return nowhere()
        try:
            mark = str(request.path_params.get("mark", ""))
            made = self._papers.make(str(request.path_params["name"]), mark)
        except CalloutError as error:
            return PlainTextResponse(f"{NO_PAPERS}\n{error}", 409)
        if made is None:
            return nowhere()
        headers = (
            {} if made.shown else {"Content-Disposition": f'attachment; filename="{made.name}"'}
        )
        return Response(made.content, media_type=made.media_type, headers=headers)

    async def _take(self, request: Request, read: Read) -> Response:
        if request.headers.get("content-type") != "application/json":
            return PlainTextResponse("A call is sent as JSON.", 415)
        try:
            done = _done(await body_of(request, LONGEST_BODY), read)
        except TooLongError:
            return PlainTextResponse(TOO_LONG, 413)
        if done is None:
            return PlainTextResponse(NOT_READ, 400)
        self._did(done)
        return Response(status_code=202)


def _here(request: Request) -> bool:
    """Whether a request comes from this machine: the sheet has names, which may be children's."""
    return request.client is not None and request.client.host == LOOPBACK


def _done(body: bytes, read: Read) -> Done | None:
    """What a body says was done; None where it is none of it."""
    try:
        told = json.loads(body)
        return read(told) if isinstance(told, dict) else None
    except (ValueError, RecursionError, KeyError):
        return None


def _text(told: Mapping[str, Any], name: str, most: int) -> str:
    """A text that a person wrote, without the spaces around it.

    Raises:
        ValueError: it is none, is empty or too long, or holds what no terminal may get.
        KeyError: there is none.
    """
    words = told[name]
    if not isinstance(words, str) or not 0 < len(words.strip()) <= most or plain(words) != words:
        raise ValueError(name)
    return words.strip()


def _called(told: Mapping[str, Any]) -> Done:
    return Called(_text(told, "say", LONGEST_CALL))


def _numbered(told: Mapping[str, Any]) -> Done:
    item, number = told["item"], told["number"]
    if type(item) is not int or number not in SHIRTS:
        raise ValueError("number")
    return Numbered(item, number)


def _approved(told: Mapping[str, Any]) -> Done:
    name, role = _text(told, "name", LONGEST_NAME), _text(told, "role", LONGEST_NAME)
    return Approved(f"{name}, {role}")


def _signed(told: Mapping[str, Any]) -> Done:
    words, reason = _text(told, "say", LONGEST_CALL), _text(told, "reason", LONGEST_REASON)
    return Signed(words, _text(told, "name", LONGEST_NAME), reason)


_DEEDS: Final[Sequence[tuple[str, str, Read]]] = (
    ("partner", "call", _called), ("after", "call", _called), ("after", "number", _numbered),
    ("after", "approve", _approved), ("after", "sign", _signed),
)  # fmt: skip
"""What can be done: on which page, by which address, and how it is read."""


def application(
    addresses: Addresses,
    news: News,
    did: Callable[[Done], None],
    papers: Papers,
    rate: Rate | None = None,
) -> Guard:
    """The whole application, behind its guard."""
    pages = Pages(addresses, news, did, papers)
    routes = [
        Route("/static/{name}", static_file),
        # Browsers ask for it by themselves.
        Route("/favicon.ico", lambda _: Response(status_code=204)),
        Route("/after/{token}/papers/{name}", pages.paper),
        # The book's mark makes another address of each sheet: a browser shows a picture that the
        # page had already without asking for it again, whatever the headers say.
        Route("/after/{token}/papers/{mark}/{name}", pages.paper),
    ]
    for page, deed, read in _DEEDS:
        answer = pages.takes(page, read)
        routes.append(Route(f"/{page}/{{token}}/{deed}", answer, methods=["POST"]))
    for name in ("hall", "partner", "after"):
        routes.append(Route(f"/{name}/{{token}}", pages.page(name)))
        routes.append(Route(f"/{name}/{{token}}/events", pages.events(name)))
    return Guard(Starlette(routes=routes), addresses.hosts(), rate)
