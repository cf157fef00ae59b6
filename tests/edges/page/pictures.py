"""Makes the pictures of the pages that README shows, from the real program and a real browser.

    python -m tests.edges.page.pictures [FOLDER]

Each page is drawn at two sizes and in both themes, with long names, three digits and four
overtimes. The folder beside this file keeps the two that README shows.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from playwright.sync_api import Browser, Page, expect

from tests.edges.page.browser import THEMES, chromium, opened, shows
from tests.edges.page.test_browser import Live, live_game
from tests.edges.page.test_setup_browser import fill, setup_page

FOLDER = Path(__file__).parent / "pictures"
WINDOWS = {"wide": (1920, 1080), "phone": (390, 844)}
KEPT = ("hall-wide-light", "partner-wide-light")
"""What README shows, at half the size."""

SETUP = """profile: fiba-2024
home: Saint-Barthélemy-on-the-Water Kites | 4 5 7 10 11 12 23 00 0 99 31 32
guest: Königswinter-Oberdollendorf Foxes | 3 5 8 14 15 20 33 41 42 43 44 50
"""
HOME, GUEST = (4, 5, 7, 10, 11), (14, 15, 20, 33, 41)
"""Those who score."""
PERIODS = 8
"""Four quarters, and four overtimes."""


def play(game: Live) -> None:
    """A game that is level after seven periods, above a hundred points, in its fourth overtime."""
    game.type("start clock", "tip home")
    for period in range(1, PERIODS):
        for home, guest in zip(HOME, GUEST, strict=True):
            game.type(f"home three number {home}", f"guest three number {guest}")
        foul = f"guest foul number {GUEST[period % 5]}", f"home foul number {HOME[period % 5]}"
        game.type(*foul, "stop clock", "end period", "yes", "start period", "start clock")
    game.type("home two number 99", "guest foul number 14", "stop clock", "home timeout",
              "timeout over", "start clock", "guest two", "stop clock")  # fmt: skip


def draw(page: Page, name: str, folder: Path, only: frozenset[str] | None, whole: bool) -> None:
    """The page at each size; only those pictures that are wanted."""
    for window, (width, height) in WINDOWS.items():
        picture = f"{name.replace('SIZE', window)}"
        if only is None or picture in only:
            page.set_viewport_size({"width": width, "height": height})
            page.wait_for_timeout(300)
            page.screenshot(path=folder / f"{picture}.png", full_page=whole)


def setup_pictures(browser: Browser, folder: Path, only: frozenset[str] | None) -> None:
    """The set-up page, filled in, with one thing wrong."""
    for theme in THEMES:
        with tempfile.TemporaryDirectory() as place, setup_page(Path(place)) as url:
            page = opened(browser, url, [], color_scheme=theme)
            fill(page)
            page.fill("#guest-colour", "score")
            expect(page.locator("#guest-colour-wrong")).to_contain_text("is a word of the calls")
            draw(page, f"setup-SIZE-{theme}", folder, only, whole=True)
            page.fill("#guest-colour", "red")
            if page.locator("#share").is_enabled():
                page.locator("#share").check()
            expect(page.locator("#write")).to_be_enabled()
            page.get_by_role("button", name="Write the file").click()
            expect(page.locator("#next")).to_be_visible()
            page.locator("#show-partner").evaluate("each => each.click()")
            draw(page, f"written-SIZE-{theme}", folder, only, whole=True)


def game_pictures(browser: Browser, folder: Path, only: frozenset[str] | None) -> None:
    """The pages of a game in its fourth overtime."""
    with tempfile.TemporaryDirectory() as place, live_game(Path(place), SETUP) as game:
        first = opened(browser, game.urls["hall"], [])
        play(game)
        shows(first, "#period", "Overtime 4")
        shows(first, "#home-score", "107")
        shows(first, "#state", "stopped")
        for theme in THEMES:
            for name in ("hall", "partner", "after"):
                scale = 1.0 if only is None else 0.5
                page = opened(browser, game.urls[name], [], color_scheme=theme,
                              device_scale_factor=scale)  # fmt: skip
                shows(page, "#home-score", "107")
                if name == "after":
                    expect(page.locator("#pages img").first).to_be_visible()
                    page.evaluate("Promise.all([...document.images].map((each) => each.decode()))")
                draw(page, f"{name}-SIZE-{theme}", folder, only, whole=name != "hall")
                page.close()
        if only is None:
            approval_pictures(browser, game, folder)


def approval_pictures(browser: Browser, game: Live, folder: Path) -> None:
    """The end of that game: what is asked before the approval, and what stands there after it."""
    game.type("mark that", "guest two", "home two", "end game", "yes")
    page = opened(browser, game.urls["after"], [])
    expect(page.locator("#to-answer li").first).to_be_visible()
    page.locator("#approval .main").click()
    for theme in THEMES:
        page.emulate_media(color_scheme=theme)
        draw(page, f"approval-SIZE-{theme}", folder, None, whole=True)
    for box in page.locator("#to-answer [type=checkbox]").all():
        box.check()
    page.fill("#approve-name", "Ann-Charlotte von und zu Lindenthal")
    page.fill("#approve-role", "crew chief")
    page.locator("#approval .main").click()
    page.get_by_role("button", name="Yes").click()
    expect(page.locator("#sign")).to_be_visible()
    for field, text in (("words", "number 41"), ("name", "J. Miller"), ("reason", "the film")):
        page.fill(f"#sign-{field}", text)
    page.locator("#sign .main").click()
    expect(page.locator("#corrections li")).to_have_count(1)
    for other in THEMES:
        page.emulate_media(color_scheme=other)
        draw(page, f"approved-SIZE-{other}", folder, None, whole=True)


def main(folder: Path, only: frozenset[str] | None = None) -> None:
    """Make the pictures."""
    folder.mkdir(parents=True, exist_ok=True)
    with chromium() as browser:
        game_pictures(browser, folder, only)
        if only is None:
            setup_pictures(browser, folder, only)


if __name__ == "__main__":
    if len(sys.argv) > 1:
        main(Path(sys.argv[1]))
    else:
        main(FOLDER, frozenset(KEPT))
