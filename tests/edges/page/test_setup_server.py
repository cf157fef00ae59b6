"""The set-up page's server: who is let in, what a list of a file gives, what is refused.

Source: RFC 9110 for the status codes. The limits are our own.
"""

from __future__ import annotations

import asyncio
import http.client
import json
import threading
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any
from xml.etree import ElementTree

import pytest
import segno

from callout.edges.ear.level import Level
from callout.edges.page.addresses import LOOPBACK
from callout.edges.page.guard import HEADERS
from callout.edges.page.lists import LONGEST_FILE
from callout.edges.page.server import Server, listening, new_server
from callout.edges.page.setup_app import LONGEST_FORM, Entered, Tools, setup_application
from callout.errors import DeviceError, JournalError
from callout.table.setup.form import Checked, Remark
from tests.patience import HANG_S

TOKEN = "t" * 22
TEAM = {"name": "Kites", "players": "4 5", "starters": [], "coach": "", "colour": "",
        "nickname": "", "captain": "", "staff": "", "assistant": ""}  # fmt: skip
FORM: dict[str, Any] = {
    "profile": "fiba-2024", "home": TEAM, "guest": TEAM, "duty": "both", "wake": "", "keys": [],
    "pedal": "", "ear": "open", "microphone": "", "place": "", "competition": "", "officials": "",
    "share": False, "language": "en",
}  # fmt: skip
JSON = {"Content-Type": "application/json"}


@dataclass
class Site:
    """A server that runs, and what it was asked to do."""

    port: int = 0
    server: Server | None = None
    written: list[Entered] = field(default_factory=list)
    shares: bool = False

    def check(self, entered: Entered) -> tuple[Checked, list[Remark]]:
        return Checked(("profile: x",)), [Remark("keys", "press the key", 1)]

    def write(self, entered: Entered) -> Mapping[str, Any]:
        if entered.profile == "bad":
            raise JournalError("a.setup: cannot be written")
        self.written.append(entered)
        return {"files": ["a.setup"]}

    def levels(self, microphone: str) -> Iterator[Level]:
        if microphone == "absent":
            raise DeviceError("absent: cannot be opened")
        yield Level("Headset", -20.5, -18.0)
        yield Level("Headset", -3.0, -3.0, "Headset: is too loud")

    def code(self, page: str) -> str | None:
        return f"http://10.0.0.1:8765/{page}/{page}-token" if self.shares else None

    def end(self) -> None:
        assert self.server is not None
        self.server.should_exit = True

    def ask(
        self, path: str, body: bytes | None = None, token: str = TOKEN, **headers: str
    ) -> tuple[int, Mapping[str, str], bytes]:
        connection = http.client.HTTPConnection(LOOPBACK, self.port, timeout=HANG_S)
        try:
            connection.request("GET" if body is None else "POST", f"/setup/{token}{path}", body,
                               headers)  # fmt: skip
            answer = connection.getresponse()
            return answer.status, dict(answer.getheaders()), answer.read()
        finally:
            connection.close()

    def send(self, path: str, body: object, **headers: str) -> tuple[int, Any]:
        status, _, content = self.ask(path, json.dumps(body).encode(), **{**JSON, **headers})
        try:
            return status, json.loads(content)
        except ValueError:
            return status, content.decode()


@pytest.fixture(scope="module")
def site() -> Iterator[Site]:
    made, listener = Site(), listening(None, 0)
    made.port = listener.getsockname()[1]
    tools = Tools(lambda: {"leagues": []}, made.check, made.write, made.levels, made.code, made.end)
    app = setup_application(TOKEN, frozenset({f"{LOOPBACK}:{made.port}"}), tools)
    made.server = new_server(app)
    run = threading.Thread(target=lambda: asyncio.run(made.server.serve(sockets=[listener])))  # type: ignore[union-attr]
    run.start()
    while not made.server.started:
        run.join(0.01)
    yield made
    assert made.ask("/end", b"{}")[0] == 202
    run.join(HANG_S)
    listener.close()
    assert not run.is_alive(), "it ends when the page says so"


@pytest.mark.parametrize("path", ["", "/facts", "/check", "/list", "/write", "/microphone", "/end"])
def test_nothing_is_to_be_had_without_the_token(site: Site, path: str) -> None:
    body = None if path in ("", "/facts") else json.dumps(FORM).encode()
    for wrong in (TOKEN[:-1], TOKEN + "t", TOKEN.upper(), "%00"):
        status, headers, _ = site.ask(path, body, wrong, **JSON)
        assert status == 404, (path, wrong)
        assert headers["content-security-policy"] == HEADERS["Content-Security-Policy"]


@pytest.mark.parametrize("path", ["/check", "/list", "/write", "/microphone", "/end"])
def test_another_site_s_page_cannot_ask(site: Site, path: str) -> None:
    before = len(site.written)
    for headers in ({"Origin": "http://evil.example"}, {"Host": "evil.example"}):
        assert site.ask(path, json.dumps(FORM).encode(), **{**JSON, **headers})[0] in (403, 421)
    assert len(site.written) == before


def test_the_page_and_its_facts(site: Site) -> None:
    status, headers, content = site.ask("")
    assert (status, b"A new game" in content) == (200, True)
    assert headers["content-type"].startswith("text/html")
    assert json.loads(site.ask("/facts")[2]) == {"leagues": []}


def test_a_form_is_checked_and_written(site: Site) -> None:
    status, told = site.send("/check", FORM)
    assert status == 200
    assert told["rows"] == ["profile: x"]
    assert [each["what"] for each in told["mistakes"]] == ["press the key"]
    assert site.send("/write", FORM) == (200, {"files": ["a.setup"]})
    assert site.written[-1].form().home.name == "Kites"
    assert site.send("/write", {**FORM, "profile": "bad"}) == (409, "a.setup: cannot be written")


@pytest.mark.parametrize(
    "body",
    [{}, [], None, "x", {**FORM, "more": 1}, {**FORM, "home": "x"}, {**FORM, "ear": "; rm"},
     {**FORM, "keys": [{"table": "x", "key": "a", "says": "b"}]}, {**FORM, "profile": 7},
     {**FORM, "keys": [{"table": "keys", "key": "a", "says": "b"}] * 201}],
)  # fmt: skip
@pytest.mark.parametrize("path", ["/check", "/write"])
def test_what_is_no_form_is_refused(site: Site, path: str, body: object) -> None:
    before = len(site.written)
    assert site.send(path, body)[0] == 400
    assert len(site.written) == before


def test_a_form_has_a_type_and_a_size(site: Site) -> None:
    body = json.dumps(FORM).encode()
    assert site.ask("/write", body, **{"Content-Type": "text/plain"})[0] == 415
    assert site.send("/write", {**FORM, "wake": "x" * LONGEST_FORM})[0] == 413


def test_a_list_is_shown_before_it_is_taken(site: Site) -> None:
    data = "Nr.;Name;Starter\n4;Ada Moss;x\n5;;\n".encode("utf-8-sig")
    status, _, content = site.ask("/list", data)
    told = json.loads(content)
    assert (status, told["lines"]) == (200, ["4 Ada Moss", "5"])
    assert told["players"][0] == {"number": "4", "name": "Ada Moss", "starter": True}
    told = json.loads(site.ask("/list", b"No.,Name\n4,Ada\n4,Bo\n104,Cy\n")[2])
    assert (told["players"], told["lines"]) == ([], [])
    assert [(each["row"], each["column"]) for each in told["mistakes"]] == [(3, "A"), (4, "A")]


def test_a_file_of_50_megabytes_is_refused_and_not_read(site: Site) -> None:
    connection = http.client.HTTPConnection(LOOPBACK, site.port, timeout=HANG_S)
    connection.putrequest("POST", f"/setup/{TOKEN}/list")
    connection.putheader("Content-Length", "50000000")
    connection.endheaders()
    answer = connection.getresponse()  # none of it was sent
    assert answer.status == 413
    assert answer.read().decode() == f"expected a file of at most {LONGEST_FILE:,} bytes"
    connection.close()
    with suppress(BrokenPipeError, ConnectionResetError):  # refused before all of it was sent
        assert site.ask("/list", b"4" * (LONGEST_FILE + 1))[0] == 413


def test_a_microphone_s_levels_are_lines(site: Site) -> None:
    for _ in range(2):  # the first try ends before the second begins
        status, _, content = site.ask("/microphone", b'{"microphone": ""}', **JSON)
        assert status == 200
        first, second = map(json.loads, content.decode().splitlines())
        assert first == {
            "level_db": -20.5,
            "verdict": "good",
            "told": ["Headset: -18 dB, ", "good"],
        }
        assert second["told"] == ["Headset: is too loud"]
    absent = site.ask("/microphone", b'{"microphone": "absent"}', **JSON)[2]
    assert json.loads(absent) == {"error": "absent: cannot be opened"}


def test_a_code_is_a_picture_that_holds_its_page_s_address_alone(site: Site) -> None:
    """Source: SVG 2 for the picture; that it is the address, by segno itself (ISO 18004)."""
    for page in ("hall", "partner"):
        assert site.ask(f"/codes/{page}.svg")[0] == 404, "nothing is shared yet"
    site.shares = True
    pictures = {}
    for page in ("hall", "partner"):
        status, headers, pictures[page] = site.ask(f"/codes/{page}.svg")
        assert (status, headers["content-type"]) == (200, "image/svg+xml")
        assert headers["content-security-policy"] == HEADERS["Content-Security-Policy"]
        root = ElementTree.fromstring(pictures[page])
        assert {each.tag.rpartition("}")[2] for each in root.iter()} <= {"svg", "g", "path"}
        modules = segno.make(f"http://10.0.0.1:8765/{page}/{page}-token", micro=False)
        assert f'width="{modules.symbol_size(scale=6)[0]}"'.encode() in pictures[page]
    assert pictures["hall"] != pictures["partner"]
    assert site.ask("/codes/after.svg")[0] == 404
    assert site.ask("/codes/hall.svg", token="x" * 22)[0] == 404
    site.shares = False
