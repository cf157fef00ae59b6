"""The pages' server: who is let in, what is sent, and what a hostile client can do.

Source: RFC 9110 for the status codes, the HTML standard (9.2) for server-sent events; what each
header forbids by the Content Security Policy, level 3. The limits are our own.
"""

from __future__ import annotations

import http.client
import json
import socket
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from typing import Any

import pytest

from callout.edges.page import connections
from callout.edges.page.addresses import LOOPBACK
from callout.edges.page.answers import FILES
from callout.edges.page.app import LONGEST_BODY, LONGEST_CALL
from callout.edges.page.connections import LONGEST_HEAD, MOST_FROM_ONE
from callout.edges.page.guard import BURST, HEADERS, KNOWN, LONGEST_PATH, REQUESTS_A_SECOND, Rate
from callout.edges.page.messages import Beat, Called, Show
from tests.edges.page.server import SHOW, Served, served
from tests.patience import HANG_S


@pytest.fixture(scope="module")
def site() -> Iterator[Served]:
    with served() as made:
        yield made


@pytest.mark.parametrize("page", ["hall", "partner"])
def test_a_page_is_opened_by_its_token_alone(site: Served, page: str) -> None:
    token = {"hall": site.addresses.hall, "partner": site.addresses.partner}[page]
    other = {"partner": site.addresses.hall, "hall": site.addresses.partner}[page]
    status, headers, content = site.ask(f"/{page}/{token}")
    assert status == 200
    assert b"<!doctype html>" in content
    assert headers["content-type"].startswith("text/html")
    for wrong in (other, token[:-1], token + "A", token.swapcase(), "%00", "é".encode().hex()):
        for path in (f"/{page}/{wrong}", f"/{page}/{wrong}/events"):
            assert site.ask(path)[0] == 404, path


def test_no_page_holds_anything_of_the_game(site: Served) -> None:
    for page, token in (("hall", site.addresses.hall), ("partner", site.addresses.partner)):
        assert token.encode() not in site.ask(f"/{page}/{token}")[2]


@pytest.mark.parametrize("name", FILES)
def test_the_files_of_the_pages(site: Served, name: str) -> None:
    status, headers, content = site.ask(f"/static/{name}")
    assert status == 200
    assert headers["content-type"].startswith(FILES[name])
    assert b"http://" not in content
    assert b"https://" not in content


@pytest.mark.parametrize(
    "path",
    ["/", "/static/", "/static/../process.py", "/static/..%2fprocess.py", "/static/%2e%2e/app.py",
     "/static/hall.html", "/static/page.css/", "//etc/passwd", "/hall", "/hall/", "/events",
     "/static/page.css?x=1", "/" + "a" * LONGEST_PATH],
)  # fmt: skip
def test_no_other_path_leads_anywhere(site: Served, path: str) -> None:
    assert site.ask(path)[0] in (404, 307)
    assert b"import" not in site.ask(path)[2]


@pytest.mark.parametrize("path", ["/", "/static/page.css", "/hall/wrong"])
@pytest.mark.parametrize("host", ["", "evil.example"])
def test_every_answer_has_the_strict_headers(site: Served, path: str, host: str) -> None:
    _, headers, _ = site.ask(path, headers={"Host": host} if host else {})
    lower = {name.lower(): value for name, value in headers.items()}
    assert {name.lower(): value for name, value in HEADERS.items()}.items() <= lower.items()
    assert "set-cookie" not in lower
    assert "server" not in lower


def test_a_request_to_another_name_is_refused(site: Served) -> None:
    path, port = f"/hall/{site.addresses.hall}", site.addresses.port
    for host in (f"localhost:{port}", f"{LOOPBACK}:{port}"):
        assert site.ask(path, headers={"Host": host})[0] == 200
    for host in ("evil.example", f"evil.example:{port}", LOOPBACK, f"{LOOPBACK}:{port + 1}"):
        assert site.ask(path, headers={"Host": host})[0] == 421, host


def test_another_site_s_page_cannot_ask(site: Served) -> None:
    ours = f"http://{LOOPBACK}:{site.addresses.port}"
    assert site.call("home two", Origin=ours) == 202
    assert site.told.events.get(timeout=HANG_S) == Called("home two")
    for origin in ("http://evil.example", "null", "https://evil.example"):
        assert site.call("home two", Origin=origin) == 403, origin
    assert site.call("home two", **{"Sec-Fetch-Site": "cross-site"}) == 403
    # A link in a message may be followed.
    follows = {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate"}
    assert site.ask(f"/hall/{site.addresses.hall}", headers=follows)[0] == 200
    assert site.call("home two", **follows) == 403
    assert site.told.events.empty()


def test_a_call_comes_to_the_table_in_its_words(site: Served) -> None:
    assert site.call("  guest foul number 8 ") == 202
    assert site.told.events.get(timeout=HANG_S) == Called("guest foul number 8")
    assert site.call("x" * LONGEST_CALL) == 202
    assert site.told.events.get(timeout=HANG_S) == Called("x" * LONGEST_CALL)


@pytest.mark.parametrize(
    "words",
    ["", "   ", "x" * (LONGEST_CALL + 1), 7, None, ["home two"], {"say": "home two"},
     "home\ntwo", "home \x1b[2J two", "home \u202e two"],
)  # fmt: skip
def test_what_is_no_call_is_refused(site: Served, words: object) -> None:
    assert site.call(words) == 400
    assert site.told.events.empty()


@pytest.mark.parametrize(
    ("body", "status"),
    [(b"", 400), (b"{", 400), (b"[]", 400), (b'"home two"', 400), (b"\xff\xfe", 400),
     (b"[" * 900, 400), (b" " * (LONGEST_BODY + 1), 413), (b"x" * 1_000_000, 413)],
)  # fmt: skip
def test_a_bad_body_is_refused(site: Served, body: bytes, status: int) -> None:
    path = f"/partner/{site.addresses.partner}/call"
    try:
        assert site.ask(path, body, {"Content-Type": "application/json"})[0] == status
    except (BrokenPipeError, ConnectionResetError):
        assert status == 413  # it was refused before all of it was sent
    assert site.told.events.empty()


def test_a_call_needs_the_partner_s_token_its_method_and_its_type(site: Served) -> None:
    assert site.call("home two", token=site.addresses.hall) == 404
    path, body = f"/partner/{site.addresses.partner}/call", b'{"say": "home two"}'
    assert site.ask(path)[0] == 405
    for kind in ("text/plain", "application/x-www-form-urlencoded", ""):
        assert site.ask(path, body, {"Content-Type": kind})[0] == 415
    assert site.ask(f"/hall/{site.addresses.hall}/call", body)[0] == 404
    assert site.told.events.empty()


def test_a_page_gets_the_game_and_what_changes(site: Served) -> None:
    with site.follow("hall") as hall, site.follow("partner") as partner:
        name, game = next(hall)
        assert (name, game["score"]) == ("show", {"home": 2, "guest": 0})
        assert "latest" not in game, "the hall is told nothing of the partner's"
        assert next(partner)[1]["latest"] == []
        assert next(hall) == ("beat", {"left_tenths": 6_000, "running": False})
        next(partner)
        site.do(Show({"score": {"home": 4, "guest": 0}}, {"latest": ["x"], "question": "?"}))
        assert next(hall)[1]["score"] == {"home": 4, "guest": 0}
        assert next(partner)[1]["question"] == "?"
        site.do(Beat(5_980, True))
        assert next(hall) == ("beat", {"left_tenths": 5_980, "running": True})
    site.do(SHOW)
    site.do(Beat(6_000, False))


def test_a_page_that_opens_late_gets_only_the_newest() -> None:
    with served() as site:
        for score in range(50):
            site.do(Show({"score": score}, {}))
        with site.follow("hall") as first:
            while next(first)[1].get("score") != 49:
                pass
        with site.follow("hall") as late:
            assert next(late)[1]["score"] == 49


def test_names_are_sent_as_they_are_and_never_as_markup(site: Served) -> None:
    name = '<img src=x onerror="alert(1)">\u2028</script>'
    site.do(Show({"names": {"home": name}}, {}))
    with site.follow("hall") as hall:
        while (event := next(hall))[1].get("names") is None:
            pass
        assert event[1]["names"]["home"] == name
    site.do(SHOW)


def test_the_scripts_put_text_and_never_markup(site: Served) -> None:
    for script in (name for name in FILES if name.endswith(".js")):
        content = site.ask(f"/static/{script}")[2].decode()
        for forbidden in ("innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "eval"):
            assert forbidden not in content, (script, forbidden)


def test_garbage_and_broken_connections_change_nothing(site: Served) -> None:
    for data in (b"\x00" * 100, b"GET / HTTP/9.9\r\n\r\n", b"A" * 70_000, b"POST / HTTP/1.1\r\n",
                 b"GET / HTTP/1.1\r\nHost: a\r\nContent-Length: -1\r\n\r\n"):  # fmt: skip
        with socket.create_connection((LOOPBACK, site.addresses.port), timeout=HANG_S) as client:
            client.sendall(data)
    assert site.ask(f"/hall/{site.addresses.hall}")[0] == 200
    assert site.told.events.empty()


def test_a_request_in_pieces_is_answered_and_one_without_an_end_is_closed(site: Served) -> None:
    """Source: RFC 9112, 2.1: an empty line ends the head; RFC 6585, 5: it may be too long."""
    head = f"GET /static/page.css HTTP/1.1\r\nHost: {LOOPBACK}:{site.addresses.port}\r\n\r\n"
    with socket.create_connection((LOOPBACK, site.addresses.port), timeout=HANG_S) as client:
        for piece in (head[:3], head[3:30], head[30:-1], head[-1:]):
            client.sendall(piece.encode())
            time.sleep(0.01)
        assert client.recv(100).startswith(b"HTTP/1.1 200")
    endless = socket.create_connection((LOOPBACK, site.addresses.port), timeout=HANG_S)
    with endless, suppress(ConnectionError):
        endless.sendall(head[:-2].encode() + b"A: b\r\n" * LONGEST_HEAD)
        assert endless.recv(100) == b""
    assert site.ask("/static/page.css")[0] == 200


def test_who_never_ends_a_request_is_closed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(connections, "ASKS_S", 0.05)
    with served() as site:
        for begun in (b"", b"GET /hall/x HTTP/1.1\r\nHost:"):
            with socket.create_connection((LOOPBACK, site.addresses.port), timeout=HANG_S) as held:
                held.sendall(begun)
                with suppress(ConnectionError):
                    assert held.recv(100) == b"", "closed without an answer"
        # Who has asked is left alone: a page reads events for hours.
        with asked_in_time(site) as hall:
            time.sleep(0.2)
            site.do(Show({"score": 7}, {}))
            while next(hall)[1].get("score") != 7:
                pass


@contextmanager
def asked_in_time(site: Served) -> Iterator[Iterator[tuple[str, Any]]]:
    """The events of the hall's page: on a busy machine a connection may be closed, rightly, before
    this thread comes to ask; then it asks on another.
    """
    with ExitStack() as stack:
        for last in (*[False] * 50, True):
            try:
                hall = stack.enter_context(site.follow("hall"))
                next(hall)
                break
            except ConnectionError:
                if last:
                    raise
        yield hall


def test_one_address_may_ask_so_much_and_no_more() -> None:
    now = [0.0]
    rate = Rate(lambda: now[0])
    assert all(rate.allows("10.0.0.9") for _ in range(int(BURST)))
    assert not rate.allows("10.0.0.9")
    assert rate.allows("10.0.0.8"), "another is not blamed"
    now[0] += 1.0
    allowed = sum(rate.allows("10.0.0.9") for _ in range(int(BURST)))
    assert allowed == int(REQUESTS_A_SECOND)


def test_the_machines_that_are_remembered_are_limited() -> None:
    rate = Rate(lambda: 0.0)
    for number in range(3 * KNOWN):
        rate.allows(f"client {number}")
    assert len(rate._buckets) == KNOWN


def test_one_address_cannot_take_the_places_of_the_others(site: Served) -> None:
    held = []
    try:
        for _ in range(MOST_FROM_ONE + 20):
            held.append(socket.create_connection((LOOPBACK, site.addresses.port), timeout=HANG_S))
        with pytest.raises((ConnectionError, http.client.HTTPException)):
            site.ask("/static/page.css")
        # Source: RFC 5735, all of 127.0.0.0/8 is this machine.
        assert site.ask("/static/page.css", of="127.0.0.2")[0] == 200
    finally:
        for each in held:
            each.close()
    # Their places are free again.
    end = time.monotonic() + HANG_S
    while time.monotonic() < end:
        with suppress(ConnectionError, http.client.HTTPException):
            assert site.ask("/static/page.css")[0] == 200
            return
    pytest.fail("no place came free")


def test_the_events_hold_one_line_of_data_each(site: Served) -> None:
    site.do(Show({"names": {"home": "a\nb\rc\u2028d"}}, {}))
    with site.follow("hall") as hall:
        while (event := next(hall))[1].get("names") is None:
            pass
    assert json.dumps(event[1]["names"]["home"]) == '"a\\nb\\rc\\u2028d"'
    site.do(SHOW)
