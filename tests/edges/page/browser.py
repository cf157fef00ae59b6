"""A real browser for the pages: Debian's Chromium, driven by playwright."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, Final

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect, sync_playwright

from tests.patience import HANG_S

expect.set_options(timeout=HANG_S * 1000)

SIZES = ((1920, 1080), (390, 844), (320, 600))
THEMES: Final = ("light", "dark")


@contextmanager
def chromium() -> Iterator[Browser]:
    """The browser, until it is done with."""
    found = shutil.which("chromium")
    assert found is not None, "apt-get install chromium"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=["--no-sandbox"])
        yield browser
        browser.close()


def opened(browser: Browser, url: str, errors: list[str], **how: Any) -> Page:
    """A page in a window of its own; what it complains of goes to `errors`."""
    page = browser.new_page(**how)
    page.set_default_timeout(HANG_S * 1000)
    page.on("console", lambda message: errors.append(f"{message.text} {message.location['url']}"))
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.goto(url)
    return page


def shows(page: Page, place: str, text: str) -> None:
    """Wait until a place of the page has that text."""
    expect(page.locator(place)).to_have_text(text)


def check_nothing_bars_anybody(page: Page) -> None:
    """No rule of axe-core is broken, and nothing runs out of the window at any size."""
    # After a link was followed the text may be there before its style sheet is.
    page.wait_for_load_state()
    for width, height in SIZES:
        page.set_viewport_size({"width": width, "height": height})
        found = Axe().run(page)
        assert found.violations_count == 0, found.generate_report()
        wide = page.evaluate("document.documentElement.scrollWidth")
        assert wide <= width, (width, wide)
