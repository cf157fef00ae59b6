"""A league's pages: who is let in, what is escaped, and that nothing can be done but read.

Source: RFC 9110 for the status codes; HTML, section "Tabular data", for `scope` and `caption`.
"""

from __future__ import annotations

import http.client
import re
import threading
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

import pytest

from callout.edges.page.addresses import LOOPBACK
from callout.edges.page.guard import HEADERS
from callout.edges.page.league_app import Shown, league_application
from callout.edges.page.server import listening, new_server, serve_until_ended
from callout.errors import CalloutError
from tests.patience import HANG_S

TOKEN = "t" * 22
ODD = "<script>alert('1')</script> & \"Foxes\" $title"


@dataclass
class Site:
    """A server that runs, and what it was asked."""

    port: int = 0
    asked: list[tuple[str, str]] = field(default_factory=list)

    def shown(self, word: str, about: str) -> Shown:
        self.asked.append((word, about))
        if word == "missing":
            raise CalloutError(f"{ODD} cannot be reached")
        if word == "live":
            return Shown("Live", ("home",), ())
        return Shown(ODD, ("rank", "team"), [["1", ODD]], frozenset({0}), 1, ODD, [ODD])

    def ask(
        self, path: str = "", token: str = TOKEN, method: str = "GET", **headers: str
    ) -> tuple[int, Mapping[str, str], str]:
        connection = http.client.HTTPConnection(LOOPBACK, self.port, timeout=HANG_S)
        try:
            connection.request(method, f"/league/{token}{path}", headers=headers)
            answer = connection.getresponse()
            names = {name.lower(): value for name, value in answer.getheaders()}
            return answer.status, names, answer.read().decode()
        finally:
            connection.close()


@pytest.fixture(scope="module")
def site() -> Iterator[Site]:
    made, listener = Site(), listening(None, 0)
    made.port = listener.getsockname()[1]
    words = {"table": (), "leaders": ("points", "threes"), "missing": (), "live": ()}
    hosts = frozenset({f"{LOOPBACK}:{made.port}"})
    server = new_server(league_application(TOKEN, hosts, words, made.shown), complains=False)
    run = threading.Thread(target=serve_until_ended, args=(server, listener))
    run.start()
    yield made
    server.should_exit = True
    run.join(HANG_S)
    listener.close()
    assert not run.is_alive()


def test_a_name_is_text_and_never_markup(site: Site) -> None:
    status, _, page = site.ask()
    assert status == 200
    assert "<script" not in page
    escaped = "&lt;script&gt;alert(&#x27;1&#x27;)&lt;/script&gt; &amp; &quot;Foxes&quot; $title"
    # The window's title, the league twice, the heading, the note, the region, the caption, a cell.
    assert page.count(escaped) == 8


def test_an_answer_is_a_table_with_heads_for_its_columns_and_rows(site: Site) -> None:
    page = site.ask("/table")[2]
    assert re.findall(r'<th scope="col"[^>]*>(\w+)</th>', page) == ["Rank", "Team"]
    assert page.count('<th scope="row">') == 1
    assert "<caption" in page
    assert '<td class="number"><bdi>1</bdi></td>' in page
    assert re.findall(r"aria-current=page>(\w+)<", page) == ["Table"]
    assert "There is nothing to show." in site.ask("/live")[2]


def test_what_may_be_asked_is_asked_and_nothing_else(site: Site) -> None:
    site.asked.clear()
    for path in ("", "/table", "/leaders", "/leaders/threes"):
        assert site.ask(path)[0] == 200
    assert site.asked == [("table", ""), ("table", ""), ("leaders", "points"),
                          ("leaders", "threes")]  # fmt: skip
    for path in ("/luck", "/leaders/luck", "/table/points", "/table/", "/migrate", "/table?x=1",
                 "/../../etc/passwd", "/leaders/points/x"):  # fmt: skip
        assert site.ask(path)[0] in (404, 307), path
    for token in (TOKEN[:-1], TOKEN.upper(), "%00"):
        assert site.ask("/table", token)[0] == 404
    assert len(site.asked) == 4


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "PATCH", "OPTIONS"])
def test_it_can_only_be_read(site: Site, method: str) -> None:
    site.asked.clear()
    status, headers, _ = site.ask("/table", method=method)
    assert (status, sorted(headers["allow"].split(", "))) == (405, ["GET", "HEAD"])
    assert site.asked == []


def test_every_answer_has_the_strict_headers_and_a_foreign_page_gets_none(site: Site) -> None:
    for path in ("/table", "/missing", "/luck"):
        headers = site.ask(path)[1]
        assert {name: headers[name.lower()] for name in HEADERS} == HEADERS
    for told in ({"Host": "evil.example"}, {"Origin": "http://evil.example"},
                 {"Sec-Fetch-Site": "cross-site"}):  # fmt: skip
        assert site.ask("/table", **told)[0] in (403, 421)


def test_a_server_that_cannot_be_asked_is_told_on_the_page(site: Site) -> None:
    status, _, page = site.ask("/missing")
    assert status == 503
    assert "&quot;Foxes&quot; $title cannot be reached" in page
    assert "<table" not in page
    assert page.count('href="/league/') >= 4, "the other answers can still be asked for"
