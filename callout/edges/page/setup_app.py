"""The set-up page as a web application: what is entered, checked, tried and written.

The page keeps what is entered; the server keeps nothing but the file that it wrote.
"""

from __future__ import annotations

import json
import threading
from collections.abc import Callable, Iterator, Mapping
from dataclasses import asdict, dataclass
from typing import Annotated, Any, Final, Literal, TypeVar

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, Response, StreamingResponse
from starlette.routing import Route

from callout.edges.page.answers import TooLongError, body_of, html, knows, nowhere, static_file
from callout.edges.page.codes import svg
from callout.edges.page.guard import Guard, Rate
from callout.edges.page.lists import LONGEST_FILE, read_upload
from callout.errors import CalloutError
from callout.language.shipped import languages
from callout.table.hands.written_keys import OwnKey
from callout.table.setup.form import Checked, Form, Remark, TeamForm
from callout.table.setup.list_file import ReadList
from callout.table.setup.roster import Player, say_roster

LONGEST_FORM: Final = 100_000
"""Units: bytes; two lists of 40 long names have some ten thousand."""

MOST_KEYS: Final = 200
"""More keys of a person's own than any keyboard and pedal have."""

TOO_LONG: Final = "That is too long."
BEING_TRIED: Final = "a microphone is being tried already"


def _ours(language: str) -> str:
    """The code of a language that comes with the program: any other would name a folder.

    Raises:
        ValueError: it is another text.
    """
    if language not in languages():
        raise ValueError(f"expected one of {', '.join(languages())}, got {language!r}")
    return language


class _Body(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True)


class _Team(_Body):
    name: str
    players: str
    starters: list[str]
    coach: str
    colour: str
    nickname: str
    captain: str
    staff: str
    assistant: str


class _Key(_Body):
    table: Literal["keys", "everywhere", "pedal"]
    key: str
    says: str


class Entered(_Body):
    """All that is entered on the page."""

    language: Annotated[str, AfterValidator(_ours)]
    profile: str
    home: _Team
    guest: _Team
    duty: str
    wake: str
    place: str
    competition: str
    officials: str
    share: bool
    keys: list[_Key] = Field(max_length=MOST_KEYS)
    pedal: str
    ear: Literal["open", "hold", "tap", "off"]
    microphone: str

    def form(self) -> Form:
        """What the setup file is made of."""
        home, guest = (
            TeamForm(**{**dict(team), "starters": tuple(team.starters)})
            for team in (self.home, self.guest)
        )
        return Form(
            self.profile, home, guest, self.duty, self.language, self.wake, self.place,
            self.competition, self.officials,
        )  # fmt: skip

    def own_keys(self) -> list[OwnKey]:
        """What the file of keys is made of."""
        return [OwnKey(each.table, each.key, each.says) for each in self.keys]


class Try(_Body):
    """Which microphone is tried."""

    microphone: str


@dataclass(frozen=True, slots=True)
class Tools:
    """What the page can do on this machine."""

    facts: Callable[[], Mapping[str, Any]]
    """Leagues, microphones, pedals and keys to choose from."""
    check: Callable[[Entered], tuple[Checked, list[Remark]]]
    """What comes of the form, and what is wrong with the keys."""
    write: Callable[[Entered], Mapping[str, Any]]
    """Writes the files; what was written, and what to do next."""
    levels: Callable[[str], Iterator[Any]]
    """The levels of a microphone for a while; each tells what the page shows of it."""
    code: Callable[[str], str | None]
    """The address of a page of the game, `hall` or `partner`, that a code leads to; None where the
    game is not shared."""
    end: Callable[[], None]
    """The page is done with."""


B = TypeVar("B", bound=BaseModel)


class SetupPage:
    """Answers the requests that the guard lets through."""

    def __init__(self, token: str, tools: Tools) -> None:
        self._token, self._tools = token, tools
        self._tries = threading.Lock()
        """Held while a microphone is tried."""

    def page(self, request: Request) -> Response:
        """The page itself."""
        return html("setup") if knows(request, self._token) else nowhere()

    def facts(self, request: Request) -> Response:
        """What there is to choose from."""
        return JSONResponse(self._tools.facts()) if knows(request, self._token) else nowhere()

    async def check(self, request: Request) -> Response:
        """What is wrong, and the file as it would be."""
        entered = await self._read(request, Entered, LONGEST_FORM)
        if isinstance(entered, Response):
            return entered
        checked, keys = await run_in_threadpool(self._tools.check, entered)
        return JSONResponse({**asdict(checked), "mistakes": _told([*checked.mistakes, *keys])})

    async def write(self, request: Request) -> Response:
        """Write the files; 409 where they cannot be written."""
        entered = await self._read(request, Entered, LONGEST_FORM)
        if isinstance(entered, Response):
            return entered
        try:
            return JSONResponse(await run_in_threadpool(self._tools.write, entered))
        except CalloutError as error:
            return PlainTextResponse(str(error), 409)

    async def list(self, request: Request) -> Response:
        """The players of a file, for a preview; nothing is kept of it."""
        if not knows(request, self._token):
            return nowhere()
        try:
            data = await body_of(request, LONGEST_FILE)
        except TooLongError:
            return PlainTextResponse(f"expected a file of at most {LONGEST_FILE:,} bytes", 413)
        read = await run_in_threadpool(read_upload, data)
        return JSONResponse(_list(read))

    async def microphone(self, request: Request) -> Response:
        """The levels of a microphone, a line of JSON each, for as long as they are read."""
        wanted = await self._read(request, Try, 1_000)
        if isinstance(wanted, Response):
            return wanted
        return StreamingResponse(self._levels(wanted.microphone), media_type="text/plain")

    def _levels(self, microphone: str) -> Iterator[bytes]:
        if not self._tries.acquire(blocking=False):
            yield json.dumps({"error": BEING_TRIED}).encode() + b"\n"
            return
        try:
            for level in self._tools.levels(microphone):
                yield json.dumps(level.told()).encode() + b"\n"
        except CalloutError as error:
            yield json.dumps({"error": str(error)}).encode() + b"\n"
        finally:
            self._tries.release()

    def code(self, request: Request) -> Response:
        """The picture of a code for telephones: of the hall's page, or of the partner's."""
        page = str(request.path_params["page"])
        if not knows(request, self._token) or page not in ("hall", "partner"):
            return nowhere()
        url = self._tools.code(page)
        return nowhere() if url is None else Response(svg(url), media_type="image/svg+xml")

    def end(self, request: Request) -> Response:
        """Serve no more."""
        if not knows(request, self._token):
            return nowhere()
        self._tools.end()
        return Response(status_code=202)

    async def _read(self, request: Request, kind: type[B], most: int) -> B | Response:
        if not knows(request, self._token):
            return nowhere()
        if request.headers.get("content-type") != "application/json":
            return PlainTextResponse("A form is sent as JSON.", 415)
        try:
            return kind.model_validate_json(await body_of(request, most))
        except TooLongError:
            return PlainTextResponse(TOO_LONG, 413)
        except ValidationError:
            return PlainTextResponse("Expected what the page sends.", 400)


def _told(remarks: list[Remark]) -> list[dict[str, Any]]:
    return [asdict(each) for each in remarks]


def _list(read: ReadList) -> dict[str, Any]:
    """A list as the page shows it, and as the lines that its text box takes."""
    lines = [say_roster([Player(p.number, p.name)]).rstrip(",") for p in read.players]
    return {
        "players": [asdict(each) for each in read.players],
        "lines": lines,
        "mistakes": [each._asdict() for each in read.mistakes],
        "notes": [each._asdict() for each in read.notes],
    }


def setup_application(
    token: str, hosts: frozenset[str], tools: Tools, rate: Rate | None = None
) -> Guard:
    """The whole application, behind its guard."""
    page = SetupPage(token, tools)
    at = "/setup/{token}"
    return Guard(Starlette(routes=[
        Route("/static/{name}", static_file),
        Route("/favicon.ico", lambda _: Response(status_code=204)),
        Route(at, page.page),
        Route(f"{at}/facts", page.facts),
        Route(f"{at}/check", page.check, methods=["POST"]),
        Route(f"{at}/list", page.list, methods=["POST"]),
        Route(f"{at}/write", page.write, methods=["POST"]),
        Route(f"{at}/microphone", page.microphone, methods=["POST"]),
        Route(f"{at}/codes/{{page}}.svg", page.code),
        Route(f"{at}/end", page.end, methods=["POST"]),
    ]), hosts, rate)  # fmt: skip
