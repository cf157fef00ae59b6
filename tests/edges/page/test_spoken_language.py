"""A game in Spanish: whatever stands on its pages is marked as Spanish, for a screen reader.

Source: WCAG 2.2, 3.1.2, the language of parts.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from tests.edges.page.browser import check_nothing_bars_anybody, chromium, opened, shows
from tests.edges.page.test_browser import LONG, live_game
from tests.edges.page.test_setup_browser import ENGLISH_LEFT, setup_page

pytestmark = pytest.mark.thorough

NAMES = {LONG, "<b>Quarry</b> & Foxes"}


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as found:
        yield found


def test_all_that_is_said_is_marked_with_its_language(browser: Browser, tmp_path: Path) -> None:
    with live_game(tmp_path, language="es") as game:
        pages = {
            name: opened(browser, game.urls[name], []) for name in ("hall", "partner", "after")
        }
        game.type(
            "arranca reloj", "salto local", "local dos", "falta visitante 77", "fin del partido"
        )
        for name in ("partner", "after"):
            expect(pages[name].locator("#question")).not_to_have_text("")
            expect(pages[name].locator("#latest li")).to_have_count(5)
        shows(pages["hall"], "#home-score", "2")
        expect(pages["after"].locator("#open li")).to_have_count(2)
        left = {name: {*page.evaluate(ENGLISH_LEFT)} for name, page in pages.items()}
        mark = pages["after"].locator("#mark").inner_text()
        assert left == {"hall": NAMES, "partner": NAMES, "after": {*NAMES, mark, "callout verify"}}
        expect(pages["after"].locator("#pages img").first).to_have_attribute("lang", "es")
        pages["partner"].get_by_label("Número 7: órdenes").click()
        expect(pages["partner"].locator("#player-title")).to_have_attribute("lang", "es")


def test_what_the_table_says_by_itself_is_named_in_the_language(
    browser: Browser, tmp_path: Path
) -> None:
    """A game that is resumed begins with what the table itself says."""
    with live_game(tmp_path, language="es") as game:
        page = opened(browser, game.urls["partner"], [])
        game.type("arranca reloj", "salto local", "local dos")
        shows(page, "#home-score", "2")
    with live_game(tmp_path, language="es") as game:
        page = opened(browser, game.urls["partner"], [])
        expect(page.locator("#latest .said").last).to_have_text("(mesa)")


def test_a_list_that_is_looked_at_is_named_in_the_language_and_its_names_are_not_marked(
    browser: Browser, tmp_path: Path
) -> None:
    with setup_page(tmp_path, language="es") as url:
        page = opened(browser, url, [])
        page.fill("#home-players", "4 Ada\n5 Bo")
        rows = b"Nr.;Name\n8;Cy\n"
        file = {"name": "foxes.csv", "mimeType": "text/csv", "buffer": rows}
        page.set_input_files("#guest-file", file)  # type: ignore[arg-type]
        for language, region, players in (
            ("es", "Lista de foxes.csv", "Jugadores del equipo local"),
            ("en", "List from foxes.csv", "Players of the home team"),
            ("es", "Lista de foxes.csv", "Jugadores del equipo local"),
        ):
            page.select_option("#language", language)
            expect(page.get_by_role("region", name=region)).to_contain_text("Cy")
            expect(page.get_by_role("region", name=players)).to_contain_text("Ada")
            assert {"Ada", "Bo", "Cy"} <= {*page.evaluate(ENGLISH_LEFT)}
        check_nothing_bars_anybody(page)
