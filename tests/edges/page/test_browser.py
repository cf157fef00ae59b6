"""The pages in a real browser, with a real game: Debian's Chromium, driven by playwright.

Source: WCAG 2.2 AA by the rules of axe-core; the sizes and themes are the ones people have.
"""

from __future__ import annotations

import json
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO

import pytest
from playwright.sync_api import Browser, expect

from callout.edges.live.displays import LATEST
from callout.language.grammar import language_folder
from callout.table.hands.buttons import page_texts
from tests.edges.page.browser import (
    SIZES,
    THEMES,
    check_nothing_bars_anybody,
    chromium,
    opened,
    shows,
)
from tests.edges.page.server import free_port
from tests.patience import HANG_S

pytestmark = pytest.mark.thorough

LONG = "Saint-Barthélemy-on-the-Water Kites"
SETUP = f"""profile: fiba-2024
home: {LONG} | 4 5 7 10 11 12 23 00 0 99 31 32 33 34 35
guest: <b>Quarry</b> & Foxes | 3 5 8 14 15
"""


@dataclass
class Live:
    """A game that is kept by the real program."""

    process: subprocess.Popen[str]
    urls: dict[str, str]
    path: Path

    @property
    def lines(self) -> IO[str]:
        assert self.process.stdin is not None
        return self.process.stdin

    def type(self, *calls: str) -> None:
        """Call at the terminal."""
        for call in calls:
            self.lines.write(call + "\n")
        self.lines.flush()


@contextmanager
def live_game(folder: Path, setup: str = SETUP, language: str = "en") -> Iterator[Live]:
    """A game in that folder; where a setup lies there already, `setup` is not used."""
    if not (folder / "s.setup").exists():
        (folder / "s.setup").write_text(setup, encoding="utf-8")
    path = folder / "saturday.game"
    process = subprocess.Popen(
        [sys.executable, "-m", "callout", "live", str(path), "--setup", str(folder / "s.setup"),
         "--ear", "off", "--voice", "print", "--keys", "typed", "--page", str(free_port()),
         "--language", language],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert process.stdout is not None
    urls: dict[str, str] = {}
    for line in process.stdout:
        if found := re.match(r"(Partner|Hall|After)(?:'s page| the game): (\S+)", line):
            urls[found[1].lower()] = found[2]
        if len(urls) == 3:
            break
    try:
        yield Live(process, urls, path)
    finally:
        process.send_signal(signal.SIGCONT)
        process.terminate()
        process.communicate(timeout=HANG_S)


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as found:
        yield found


@pytest.fixture
def game(tmp_path: Path) -> Iterator[Live]:
    with live_game(tmp_path) as found:
        yield found


def test_a_game_is_called_by_the_partner_and_seen_by_the_hall(browser: Browser, game: Live) -> None:
    errors: list[str] = []
    partner = opened(browser, game.urls["partner"], errors)
    hall = opened(browser, game.urls["hall"], errors)
    for words in ("start clock", "tip home"):
        partner.fill("#words", words)
        partner.keyboard.press("Enter")
    partner.get_by_label("Number 7: calls").click()
    partner.get_by_role("button", name="Two points").click()
    shows(hall, "#home-score", "2")
    shows(hall, "#home-name", LONG)
    shows(hall, "#guest-name", "<b>Quarry</b> & Foxes")
    expect(partner.locator("#latest li").first).to_contain_text("Two, nothing.")
    partner.get_by_role("button", name="That was guest").click()
    shows(hall, "#guest-score", "2")
    shows(hall, "#home-score", "0")
    partner.get_by_role("button", name="Undo").click()
    shows(hall, "#home-score", "2")
    game.type("guest foul number eight", "home three number 23")
    shows(hall, "#home-score", "5")
    assert errors == []


def test_the_same_game_by_typing_and_by_the_page_is_the_same_book(
    browser: Browser, tmp_path: Path
) -> None:
    calls = ("start clock", "tip home", "home two number seven", "guest foul number eight",
             "home three number 23", "guest two number 5", "undo that", "stop clock")  # fmt: skip
    books = []
    for way in ("typed", "page"):
        folder = tmp_path / way
        folder.mkdir()
        with live_game(folder) as game:
            page = opened(browser, game.urls["partner"], [])
            for number, call in enumerate(calls, start=1):
                if way == "typed":
                    game.type(call)
                else:
                    page.fill("#words", call)
                    page.keyboard.press("Enter")
                expect(page.locator("#latest li")).to_have_count(min(number, LATEST))
                expect(page.locator("#latest .said").first).to_have_text(call)
        out = subprocess.run(
            [sys.executable, "-m", "callout", "sheet", str(game.path), "--json"],
            capture_output=True, text=True, check=True, timeout=HANG_S,
        )  # fmt: skip
        books.append(timeless(json.loads(out.stdout)))
    assert books[0] == books[1]
    assert "'points': 3" in str(books[0])


def timeless(book: object) -> object:
    """The book without the moments, which differ by how fast a hand was, and the game's id."""
    if isinstance(book, dict):
        gone = ("id", "mark", "at", "clock", "date", "left_tenths", "began", "game", "wall_ms",
                "recorded", "clock_tenths", "time")  # fmt: skip
        return {key: timeless(value) for key, value in book.items() if key not in gone}
    return [timeless(each) for each in book] if isinstance(book, list) else book


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("which", ["hall", "partner", "after"])
def test_nothing_bars_anybody_and_nothing_runs_out_of_the_window(
    browser: Browser, game: Live, which: str, theme: str
) -> None:
    page = opened(browser, game.urls[which], [], color_scheme=theme)
    game.type("start clock", "tip home", "guest foul number eight", "guest two number 77",
              "set arrow guest", *["home three number 99"] * 34, "score check")  # fmt: skip
    shows(page, "#home-score", "102")
    check_nothing_bars_anybody(page)
    if which == "hall":
        page.set_viewport_size({"width": 1920, "height": 1080})
        assert page.evaluate("document.documentElement.scrollHeight") <= 1080


@pytest.mark.parametrize("which", ["hall", "partner", "after"])
def test_a_name_of_one_long_word_breaks(browser: Browser, tmp_path: Path, which: str) -> None:
    word = 40 * "w"  # as long as a name may be
    with live_game(tmp_path, SETUP.replace(LONG, word)) as game:
        page = opened(browser, game.urls[which], [])
        game.type("start clock", "tip home", "home two", "home foul number 88")
        shows(page, "#home-score", "2")
        if which == "after":
            expect(page.locator("#open li")).to_have_count(2)
        check_nothing_bars_anybody(page)


def test_the_hall_has_room_for_the_longest_clock_and_bonus(
    browser: Browser, tmp_path: Path
) -> None:
    with live_game(tmp_path, SETUP.replace("fiba-2024", "rec-running-clock")) as game:
        page = opened(browser, game.urls["hall"], [])
        shows(page, "#clock", "16:00")
        check_nothing_bars_anybody(page)
        game.type("start clock", *(f"guest foul {number}" for number in (3, 5, 8, 14, 15, 20, 21)))
        owed = page.locator(".owed span")
        shows(page, "#guest-figures .owed span", "1 and 1")
        check_nothing_bars_anybody(page)
        for width, height in (*SIZES, (1280, 800), (1024, 768)):
            page.set_viewport_size({"width": width, "height": height})
            assert owed.evaluate_all("all => all.map((one) => one.getClientRects().length)") == [1]
        page.set_viewport_size({"width": 1920, "height": 1080})
        assert page.evaluate("document.documentElement.scrollHeight") <= 1080


@pytest.mark.parametrize("which", ["hall", "partner", "after"])
def test_text_of_twice_the_size_forced_colours_and_no_motion(
    browser: Browser, game: Live, which: str
) -> None:
    """Source: WCAG 2.2, 1.4.4 (text of 200 per cent), 1.4.10 (no scrolling in two directions) and
    2.3.3 (motion); CSS Color Adjustment 1, 3, for forced colours.
    """
    page = opened(browser, game.urls[which], [], forced_colors="active", reduced_motion="reduce")
    game.type("start clock", "tip home", "guest two number 77", "home foul number 99")
    shows(page, "#guest-score", "2")
    check_nothing_bars_anybody(page)
    assert page.evaluate("document.getAnimations().length") == 0
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    for width, height in ((1920, 1080), (390, 844)):
        page.set_viewport_size({"width": width, "height": height})
        wide = page.evaluate("document.documentElement.scrollWidth")
        assert wide <= width, (width, wide)


def test_a_page_that_lost_the_table_says_how_old_it_is_and_catches_up(
    browser: Browser, game: Live
) -> None:
    page = opened(browser, game.urls["hall"], [])
    game.type("start clock", "tip home", "home two number 5")
    shows(page, "#home-score", "2")
    expect(page.locator("#stale")).to_be_hidden()
    game.process.send_signal(signal.SIGSTOP)
    game.type("home two number 5")
    expect(page.locator("#stale")).to_contain_text("seconds old", timeout=HANG_S * 1000)
    clock = page.locator("#clock").text_content()
    page.wait_for_timeout(1_500)
    assert page.locator("#clock").text_content() == clock, "an old clock stands"
    check_nothing_bars_anybody(page)
    game.process.send_signal(signal.SIGCONT)
    game.type("home two number 7")
    expect(page.locator("#stale")).to_be_hidden(timeout=HANG_S * 1000)
    shows(page, "#home-score", "6")


def test_all_of_the_partner_s_page_is_reached_by_keyboard(browser: Browser, game: Live) -> None:
    page = opened(browser, game.urls["partner"], [])
    expect(page.locator("#home-list button").first).to_be_visible()
    reached = set()
    for _ in range(60):
        page.keyboard.press("Tab")
        focused = "document.activeElement"
        named = f"{focused}.getAttribute('aria-label') || {focused}.textContent"
        reached.add(page.evaluate(named))
    assert {"Undo", "Start clock", "Number 7: calls", "Number 15: calls", "Call"} <= reached
    page.get_by_label("Number 7: calls").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#player")).to_be_visible()
    page.keyboard.press("Escape")
    expect(page.locator("#player")).to_be_hidden()


def test_the_pages_speak_the_language_of_the_game(browser: Browser, tmp_path: Path) -> None:
    errors: list[str] = []
    texts = page_texts(language_folder("es"))
    words = {*texts.hall.values(), *texts.partner.values()}
    with live_game(tmp_path, language="es") as game:
        page = opened(browser, game.urls["partner"], errors)
        hall = opened(browser, game.urls["hall"], errors)
        shows(hall, "#period", "Periodo 1")
        for each in (hall, page):
            assert {*each.locator("h1, dt, th, label, #state").all_inner_texts()} <= words
        expect(hall.get_by_role("timer", name="Reloj de partido")).to_have_attribute("lang", "es")
        page.get_by_role("button", name="arranca reloj").click()
        page.get_by_label("Número 7: órdenes").click()
        shows(page, "#player-title", f"{LONG}, número 7")
        page.get_by_role("button", name="local dos número 7").click()
        shows(page, "#home-score", "2")
        expect(hall.locator("#told")).to_contain_text("Periodo 1, en marcha.")
        page.get_by_role("button", name="era del visitante").click()
        shows(page, "#guest-score", "2")
        undo = page.get_by_role("button", name="deshaz eso")
        assert undo.get_attribute("lang") == "es"
        undo.click()
        shows(page, "#home-score", "2")
        game.type("local dos")
        expect(page.locator("#home-figures .owed").last).to_contain_text("2 puntos")
        for each in (hall, page):
            check_nothing_bars_anybody(each)
        game.process.send_signal(signal.SIGSTOP)
        expect(hall.locator("#stale")).to_contain_text("Sin conexión.", timeout=HANG_S * 1_000)
    assert errors == []
