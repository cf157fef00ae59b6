"""A page that lost the table: it comes back by itself, and says so where it never can.

Source: HTML standard, 9.2: after a lost connection an EventSource connects again, and never after
an answer other than 200. The rest is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Route, expect

from tests.edges.page.browser import chromium, opened, shows
from tests.edges.page.server import free_port
from tests.edges.page.test_browser import live_game

pytestmark = pytest.mark.thorough


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as found:
        yield found


def test_a_page_that_was_refused_once_comes_back(browser: Browser, tmp_path: Path) -> None:
    """So it is where too many pages are open for a moment: 503, or too many requests: 429."""
    refused: list[str] = []

    def busy(route: Route) -> None:
        if refused:
            route.continue_()
        else:
            refused.append(route.request.url)
            route.fulfill(status=503, body="Too many pages are open.")

    with live_game(tmp_path) as game:
        page = browser.new_page()
        page.route("**/events", busy)
        page.goto(game.urls["hall"])
        shows(page, "#home-score", "0")
        expect(page.locator("#stale")).to_be_hidden()
    assert len(refused) == 1


def test_after_a_new_start_a_page_is_there_again_or_tells_that_its_address_is_another(
    browser: Browser, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Only the addresses of hall and partner are kept: the papers' one is new at each start."""
    port = free_port()
    monkeypatch.setattr("tests.edges.page.test_browser.free_port", lambda: port)
    with live_game(tmp_path) as game:
        game.type("start clock", "tip home", "home two number 5", "stop clock")
        hall, after = (opened(browser, game.urls[name], []) for name in ("hall", "after"))
        for page in (hall, after):
            shows(page, "#home-score", "2")
    with live_game(tmp_path) as game:
        told = "This address leads nowhere now. Open the new one that the table has."
        shows(after, "#stale", told)
        game.type("home two number 7")
        shows(hall, "#home-score", "4")
        expect(hall.locator("#stale")).to_be_hidden()


def test_a_call_that_was_not_sent_stays_in_its_field(browser: Browser, tmp_path: Path) -> None:
    with live_game(tmp_path) as game, browser.new_context() as context:
        page = context.new_page()
        page.goto(game.urls["partner"])
        shows(page, "#home-score", "0")
        context.set_offline(True)
        page.fill("#words", "home two number seven")
        page.keyboard.press("Enter")
        shows(page, "#sent", "Not sent, no connection: home two number seven")
        expect(page.locator("#words")).to_have_value("home two number seven")
        context.set_offline(False)
        page.keyboard.press("Enter")
        shows(page, "#home-score", "2")
        expect(page.locator("#words")).to_have_value("")
