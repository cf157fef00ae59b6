"""What every application of pages answers alike: files, bodies, and what is nowhere."""

from __future__ import annotations

import hmac
from pathlib import Path
from typing import Final

from starlette.requests import Request
from starlette.responses import FileResponse, PlainTextResponse, Response

STATIC: Final = Path(__file__).parent / "static"

FILES: Final = {
    "page.css": "text/css",
    "setup.css": "text/css",
    "page.js": "text/javascript",
    "hall.js": "text/javascript",
    "partner.js": "text/javascript",
    "setup.js": "text/javascript",
    "after.js": "text/javascript",
    "approval.js": "text/javascript",
    "texts.js": "text/javascript",
    "calls.js": "text/javascript",
}


NO_PAGE: Final = "There is no such page: the game is another one, or a day old. Open its new code."
TOO_LONG: Final = "That is too long for a call."
NOT_READ: Final = "It cannot be read: write it with plain letters and signs."
TOO_MANY: Final = "Too many requests. Wait a moment."
NO_PAPERS: Final = "Sheet and lists cannot be made from the game's file:"
"""The program's own line, which is English, follows below."""

TOLD: Final = (NO_PAGE, TOO_LONG, NOT_READ, TOO_MANY, NO_PAPERS)
"""What a page of a game may be answered, and shows in that game's language."""


class TooLongError(Exception):
    """A body with more bytes than are taken."""


def nowhere() -> Response:
    """There is no such page, or its token is wrong."""
    return PlainTextResponse(NO_PAGE, 404)


def knows(request: Request, token: str) -> bool:
    """Whether a request has that token in its address."""
    given = str(request.path_params["token"])
    return hmac.compare_digest(given.encode(), token.encode())


def static_file(request: Request) -> Response:
    """A style sheet or a script."""
    name = str(request.path_params["name"])
    if name not in FILES:
        return nowhere()
    return FileResponse(STATIC / name, media_type=FILES[name])


def html(name: str) -> Response:
    """A page's HTML, which holds nothing of a game."""
    return FileResponse(STATIC / f"{name}.html", media_type="text/html")


async def body_of(request: Request, most: int) -> bytes:
    """The body of a request, which is read no further than `most` bytes.

    Raises:
        TooLongError: it has more.
    """
    told = request.headers.get("content-length", "")
    if told.isdecimal() and int(told) > most:
        raise TooLongError
    body = bytearray()
    async for part in request.stream():
        body += part
        if len(body) > most:
            raise TooLongError
    return bytes(body)
