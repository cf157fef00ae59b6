"""`callout league page`, in a real browser and against a real server.

Source: WCAG 2.2 AA by the rules of axe-core; the sizes and themes are the ones people have.
"""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from playwright.sync_api import Browser, expect

from callout.commands.league_page import Source, league_page
from callout.edges.league.results import catch_up
from callout.edges.league.server import LeagueError, connected
from callout.edges.league.setting_up import add_fixtures
from callout.errors import CalloutError
from callout.league.fixtures import Fixture
from callout.league.parcel import parcel_of
from tests.edges.league.conftest import League, ended, table_of
from tests.edges.league.conftest import league as league
from tests.edges.league.conftest import server as server
from tests.edges.league.conftest import tables as tables
from tests.edges.page.browser import THEMES, check_nothing_bars_anybody, chromium, opened
from tests.patience import HANG_S

pytestmark = pytest.mark.thorough

CALLS = ("home two number five", "guest three number fourteen", "guest technical number five")
LONG = "<b>Mill & Dune</b> Basketball Community of the Northern Shore"


@pytest.fixture
def played(league: League) -> League:
    """The league after a game, and with another that is missing."""
    with connected(league.address("secretary")) as secretary:
        add_fixtures(secretary, league.season, [Fixture("G2", LONG, "Harbour Kites")])
        league.sql("UPDATE callout.fixture SET starts = '2026-11-01 18:00' WHERE key = 'G2'")
        league.send(parcel_of(ended(table_of(*CALLS)).journal))
        catch_up(secretary)
    return league


@contextmanager
def page_of(league: League, role: str = "reader") -> Iterator[str]:
    """The address of the page that the real program serves."""
    process = subprocess.Popen(
        [sys.executable, "-m", "callout", "league", "page", "--on", league.address(role)],
        stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert process.stdout is not None
    found = re.search(r"http\S+", process.stdout.readline())
    assert found is not None
    try:
        yield found[0]
    finally:
        process.terminate()
        process.communicate(timeout=HANG_S)


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as found:
        yield found


def test_each_answer_is_shown_and_reached_by_keyboard(browser: Browser, played: League) -> None:
    errors: list[str] = []
    with page_of(played) as url:
        page = opened(browser, url, errors)
        expect(page.get_by_role("heading", level=1)).to_have_text("Table")
        rows = page.locator("tbody tr").all_inner_texts()
        assert [row.split("\t")[:2] for row in rows] == [
            ["1", "Quarry Foxes"], ["2", "Harbour Kites"], ["3", LONG],
        ]  # fmt: skip
        expect(page.get_by_role("rowheader", name="Quarry Foxes")).to_be_visible()
        expect(page.get_by_role("columnheader", name="Points")).to_be_visible()
        reached = []
        for _ in range(6):
            page.keyboard.press("Tab")
            reached.append(page.evaluate("document.activeElement.textContent.trim().slice(0, 10)"))
        assert reached[:5] == ["Table", "Leaders", "Discipline", "Missing", "Live"]
        page.get_by_role("link", name="Leaders").focus()
        page.keyboard.press("Enter")
        expect(page.get_by_role("heading", level=1)).to_have_text("Leaders, points")
        page.get_by_role("link", name="Threes").click()
        expect(page.get_by_role("heading", level=1)).to_have_text("Leaders, threes")
        assert page.locator("tbody tr").all_inner_texts() == ["Quarry Foxes\t14\t1\t1\t1.0"]
        page.get_by_role("link", name="Discipline").click()
        expect(page.locator("tbody")).to_contain_text("technical")
        page.get_by_role("link", name="Missing").click()
        expect(page.get_by_role("heading", level=1)).to_have_text("Missing")
        assert [row.split("\t")[3] for row in page.locator("tbody tr").all_inner_texts()] == [
            "no game", "no signature",
        ]  # fmt: skip
        page.get_by_role("link", name="Live").click()
        expect(page.locator("main")).to_contain_text("There is nothing to show.")
        expect(page.get_by_role("status")).to_contain_text("Asked at")
    assert errors == []


@pytest.mark.parametrize("theme", THEMES)
def test_nothing_bars_anybody(browser: Browser, played: League, theme: str) -> None:
    with page_of(played) as url:
        page = opened(browser, url, [], color_scheme=theme)
        for word in ("Table", "Leaders", "Discipline", "Missing", "Live"):
            page.get_by_role("link", name=word, exact=True).click()
            expect(page.get_by_role("heading", level=1)).to_contain_text(word)
            check_nothing_bars_anybody(page)


def test_what_is_not_counted_is_said_and_a_server_that_is_gone(
    browser: Browser, played: League
) -> None:
    table = table_of("home two number five")
    played.sql("UPDATE callout.fixture SET starts = NULL")
    with page_of(played) as url:
        page = opened(browser, url, [])
        expect(page.get_by_role("status")).not_to_contain_text("Not counted yet")
        played.send(parcel_of(table.journal))
        page.reload()
        expect(page.get_by_role("status")).to_contain_text("Not counted yet: 1 book with")
        played.server.kill()
        try:
            page.get_by_role("link", name="Live").click()
            expect(page.get_by_role("status")).to_contain_text("127.0.0.1 cannot be reached")
        finally:
            played.server.start()
        page.reload()
        expect(page.get_by_role("status")).to_contain_text("Asked at")


def test_the_page_can_change_nothing_whoever_asks(played: League) -> None:
    """Source: PostgreSQL, "SET TRANSACTION": a read-only transaction refuses what writes."""
    with pytest.raises(LeagueError, match="read-only transaction"), \
            connected(played.address("secretary"), reads=True) as connection:  # fmt: skip
        connection.execute("DELETE FROM callout.result")
    with pytest.raises(LeagueError, match="statement timeout"), \
            connected(played.address("reader"), 50, reads=True) as connection:  # fmt: skip
        connection.execute("SELECT pg_sleep(60)")
    before = played.sql("SELECT md5(string_agg(r::text, '')) FROM callout.result r")
    for role in ("secretary", "reader"):
        assert Source(played.address(role)).ask("table").rows[0][1] == "Quarry Foxes"
    assert played.sql("SELECT md5(string_agg(r::text, '')) FROM callout.result r") == before


def test_no_name_of_a_player_is_on_a_page(played: League) -> None:
    played.sql("UPDATE callout.person SET name = 'Ada Moss', initials = 'A. M.'", "owner")
    source = Source(played.address("reader"))
    for word in ("table", "leaders", "discipline", "missing", "live"):
        shown = source.ask(word)
        assert "Moss" not in repr(shown)
        assert "A. M." not in repr(shown)


@pytest.mark.parametrize(
    ("role", "values", "expected"),
    [("reader", ["x"], "expected a port"), ("reader", ["70000"], "expected a port"),
     ("reader", ["1", "2"], "expected a port"), ("stranger", [], "has no right to do that"),
     ("gym_7", [], "has no right to do that")],
)  # fmt: skip
def test_what_is_wrong_is_told_before_anything_is_served(
    league: League, role: str, values: list[str], expected: str
) -> None:
    with pytest.raises(CalloutError, match=expected):
        league_page(league.address(role), "", values)
