"""A whole evening in a real browser: set-up from an empty folder, a game, a correction by the
partner, and the sheet.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from tests.edges.page.browser import chromium, opened, shows
from tests.edges.page.test_browser import live_game
from tests.edges.page.test_setup_browser import fill, setup_page
from tests.patience import HANG_S

pytestmark = pytest.mark.thorough


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as found:
        yield found


def test_from_an_empty_folder_to_the_sheet(browser: Browser, tmp_path: Path) -> None:
    errors: list[str] = []
    with setup_page(tmp_path, "s.setup") as url:
        page = opened(browser, url, errors)
        fill(page)
        page.get_by_role("button", name="Write the file").click()
        shows(page, "#written", "Written: s.setup")
    with live_game(tmp_path) as game:
        partner = opened(browser, game.urls["partner"], errors)
        hall = opened(browser, game.urls["hall"], errors)
        after = opened(browser, game.urls["after"], errors)
        for call in ("start clock", "tip home", "home two number four", "guest three"):
            game.type(call)
        shows(hall, "#guest-score", "3")
        expect(after.locator("#open-told")).to_contain_text("The game is not over.")
        expect(after.locator("#open li")).to_have_count(1)
        expect(after.locator("#open li")).to_contain_text("Foxes")
        # The partner saw who it was, and that the basket before was another's.
        partner.fill("#words", "number eleven")
        partner.keyboard.press("Enter")
        expect(after.locator("#open li")).to_have_count(0)
        partner.fill("#words", "home two number four was number five")
        partner.keyboard.press("Enter")
        expect(partner.get_by_role("row", name="Number 5: calls 2 0").first).to_be_visible()
        for words in ("stop clock", "end game"):
            after.fill("#words", words)
            after.keyboard.press("Enter")
            expect(after.locator("#latest .said").first).to_have_text(words)
        # FIBA plays four quarters, so the table asks.
        after.get_by_role("button", name="Yes").click()
        shows(after, "#open-told", "Nothing is open.")
        shows(after, "#state", "final")
        picture = after.locator("#pages img").first
        expect(picture).to_be_visible()
        assert picture.evaluate("each => each.decode().then(() => each.naturalWidth)") > 1_000
        files = {}
        for name in ("Score sheet, PDF", "Game, JSON", "Players, CSV"):
            with after.expect_download() as saved:
                after.get_by_role("link", name=name).click()
            files[name] = Path(saved.value.path()).read_bytes()
            assert saved.value.suggested_filename.startswith("saturday-")
    assert errors == []
    assert files["Score sheet, PDF"].startswith(b"%PDF")
    book = json.loads(files["Game, JSON"])["book"]
    assert book["score"] == {"home": 2, "guest": 3}
    assert book["players"]["home"]["5"]["points"] == 2
    assert book["players"]["guest"]["11"]["points"] == 3
    kept = subprocess.run(
        [sys.executable, "-m", "callout", "sheet", str(game.path), "--json"],
        capture_output=True, text=True, check=True, timeout=HANG_S,
    )  # fmt: skip
    assert json.loads(kept.stdout) == json.loads(files["Game, JSON"]), "the page says what is kept"
