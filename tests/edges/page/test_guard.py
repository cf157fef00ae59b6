"""The headers of an answer, by the address that was asked.

Source: HTML standard, cross-origin opener policies: a browser ignores the header, and complains of
it in its console, where the address is neither encrypted nor this machine's own.
"""

from __future__ import annotations

from callout.edges.page.guard import HEADERS, OPENER
from tests.edges.page.server import served

SHARED = "127.0.0.2"
"""In the place of an address in the hall's network. Source: RFC 5735, 127.0.0.0/8 is here."""


def test_only_this_machine_s_own_pages_have_what_a_browser_trusts_there() -> None:
    with served(SHARED) as site:
        port = site.addresses.port
        own = site.ask("/static/page.css", headers={"Host": f"localhost:{port}"})
        other = site.ask("/static/page.css", headers={"Host": f"{SHARED}:{port}"}, to=SHARED)
        assert (own[0], other[0]) == (200, 200)
        assert {name.lower(): value for name, value in own[1].items()}.items() >= {
            name.lower(): value for name, value in (HEADERS | OPENER).items()
        }.items()
        names = {name.lower() for name in other[1]}
        assert {name.lower() for name in HEADERS} <= names
        assert {name.lower() for name in OPENER}.isdisjoint(names)
