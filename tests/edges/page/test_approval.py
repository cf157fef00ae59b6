"""The approval of the score, and signed corrections, on the page after a game in a real browser.

Source: NFHS 2-2-4 (the approval of the final score), FIBA 2024 art. 48.3 and Appendix B (slips may
be put right until the crew chief signs); WCAG 2.2 AA by the rules of axe-core, 2.1.1 for the
keyboard, 4.1.3 for what a screen reader is told.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.edges.page.browser import THEMES, check_nothing_bars_anybody, chromium, opened, shows
from tests.edges.page.test_browser import Live, live_game, timeless
from tests.patience import HANG_S

pytestmark = pytest.mark.thorough

OVER = ("start clock", "tip home", "home two number five", "guest three", "mark that", "stop clock",
        "end game", "yes")  # fmt: skip
"""A game with a basket that nobody is named for, and a moment that is marked."""
OVER_ES = ("arranca reloj", "salto local", "local dos número 5", "para reloj", "fin del partido",
           "sí")  # fmt: skip
CHIEF, SIGNER, REASON = ("Ann Lee", "crew chief"), "J. Miller", "the film shows it"
RIGHT = "home basket five was three"


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as found:
        yield found


def over(browser: Browser, game: Live, errors: list[str], *calls: str, **how: Any) -> Page:
    """The page after a game that has just ended."""
    page = opened(browser, game.urls["after"], errors, **how)
    game.type(*(calls or OVER))
    expect(page.locator("#approval")).to_be_visible()
    return page


def tab_to(page: Page, place: str) -> None:
    """Press Tab until the focus is there: nothing here needs a mouse."""
    for _ in range(200):
        if page.locator(place).evaluate("each => each === document.activeElement"):
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"{place} is not reached by Tab")


def exported(game: Path) -> Any:
    out = subprocess.run([sys.executable, "-m", "callout", "sheet", str(game), "--json"],
                         capture_output=True, text=True, check=True, timeout=HANG_S)  # fmt: skip
    return timeless(json.loads(out.stdout))


def close(game: Path, *options: str, answers: str = "") -> None:
    subprocess.run([sys.executable, "-m", "callout", "close", str(game), *options], input=answers,
                   capture_output=True, text=True, check=True, timeout=HANG_S)  # fmt: skip


def approve_by_keys(page: Page) -> None:
    """Answer what is open and approve the score, with keys alone."""
    tab_to(page, "#approval .main")
    page.keyboard.press("Enter")
    shows(page, "#approval-wrong", "Something above is not answered yet.")
    tab_to(page, "#to-answer input[maxlength='2']")
    page.keyboard.type("x")
    page.keyboard.press("Enter")
    shows(page, "#approval-wrong", "Expected a shirt number: 0, 00, or 1 to 99.")
    page.keyboard.press("Backspace")
    page.keyboard.type("8")
    page.keyboard.press("Enter")
    expect(page.locator("#to-answer li")).to_have_count(1)
    expect(page.locator("#to-answer li")).to_contain_text("marked: Q1")
    tab_to(page, "#to-answer [type=checkbox]")
    page.keyboard.press("Space")
    tab_to(page, "#approve-name")
    page.keyboard.type(CHIEF[0])
    page.keyboard.press("Enter")
    shows(page, "#approval-wrong", "This must be filled in.")
    assert page.evaluate("document.activeElement.id") == "approve-role"
    page.keyboard.type(CHIEF[1])
    page.keyboard.press("Enter")
    # The table asks once more, and its question has the focus.
    expect(page.locator("#question")).to_have_text(
        "Home two, guest three. Have the officials approved it?"
    )
    expect(page.locator("#answers button").first).to_be_focused()
    with page.expect_response(lambda answer: "sheet-1.png" in answer.url):
        page.keyboard.press("Enter")  # and the sheet is drawn anew, with the approval on it
    expect(page.locator("#approval-told")).to_contain_text("Approved (Ann Lee, crew chief): 2 : 3")


def sign_by_keys(page: Page) -> None:
    """Sign one correction; without a name or a reason nothing is sent."""
    tab_to(page, "#sign-words")
    page.keyboard.type(RIGHT)
    for field, words in (("sign-name", SIGNER), ("sign-reason", REASON)):
        page.keyboard.press("Enter")
        shows(page, "#sign-wrong", "This must be filled in.")
        assert page.evaluate("document.activeElement.id") == field
        expect(page.locator("#corrections li")).to_have_count(0)
        page.keyboard.type(words)
    page.keyboard.press("Enter")
    expect(page.locator("#corrections li")).to_have_count(1)
    expect(page.locator("#corrections li")).to_contain_text(f"signed {SIGNER}: {REASON}")
    shows(page, "#sign-told", "The correction stands in the list above.")


def test_the_same_approval_and_correction_as_by_the_command(
    browser: Browser, tmp_path: Path
) -> None:
    books, errors = [], list[str]()
    for way in ("page", "command"):
        (tmp_path / way).mkdir()
        with live_game(tmp_path / way) as game:
            page = over(browser, game, errors)
            if way == "page":
                approve_by_keys(page)
                sign_by_keys(page)
                shows(page, "#home-score", "3")
                # No correction is silent: a plain call is refused, and the book stays as it is.
                before = page.locator("#mark").text_content()
                expect(page.locator("#typed, #calls").filter(visible=True)).to_have_count(0)
                game.type("undo that")
                expect(page.locator("#latest li").first).to_contain_text("Only a signed correction")
                shows(page, "#mark", str(before))
            page.close()
        if way == "command":
            close(game.path, "--by", ", ".join(CHIEF), answers="8\nyes\n")
            close(game.path, "--correct", RIGHT, "--by", SIGNER, "--reason", REASON)
        books.append(exported(game.path))
    assert errors == []
    assert books[0] == books[1]
    assert books[0]["book"]["approved"]["by"] == "Ann Lee, crew chief"
    assert [each["by"] for each in books[0]["book"]["signed"]] == [SIGNER]
    assert books[0]["book"]["players"]["guest"]["8"]["points"] == 3


@pytest.mark.parametrize("theme", THEMES)
def test_nothing_bars_anybody(browser: Browser, tmp_path: Path, theme: str) -> None:
    with live_game(tmp_path) as game:
        page = over(browser, game, [], color_scheme=theme)
        check_nothing_bars_anybody(page)
        page.locator("#approval .main").click()
        expect(page.get_by_role("alert").filter(has_text="not answered yet")).to_be_visible()
        check_nothing_bars_anybody(page)
        approve_by_keys(page)
        sign_by_keys(page)
        expect(page.get_by_role("status").filter(has_text="Approved (Ann Lee")).to_be_visible()
        check_nothing_bars_anybody(page)


def test_a_correction_that_fits_no_line_is_told_and_a_no_approves_nothing(
    browser: Browser, tmp_path: Path
) -> None:
    with live_game(tmp_path) as game:
        page = over(browser, game, [])
        for box in page.locator("#to-answer [type=checkbox]").all():
            box.check()  # the basket stays without a number
        page.fill("#approve-name", CHIEF[0])
        page.fill("#approve-role", CHIEF[1])
        page.locator("#approval .main").click()
        page.get_by_role("button", name="No").click()
        expect(page.locator("#latest li").first).to_contain_text("Not approved.")
        expect(page.locator("#approval")).to_be_visible()
        page.locator("#approval .main").click()
        page.get_by_role("button", name="Yes").click()
        expect(page.locator("#approval-told")).to_contain_text("Approved")
        page.fill("#sign-words", "guest foul five was four")
        page.fill("#sign-name", SIGNER)
        page.fill("#sign-reason", REASON)
        page.locator("#sign .main").click()
        shows(page, "#sign-told", "Nothing in the book fits.")
        expect(page.locator("#corrections li")).to_have_count(0)
        assert page.input_value("#sign-reason") == REASON, "what was typed is there to be mended"


def test_what_is_open_and_who_signs_is_told_in_the_language_of_the_game(
    browser: Browser, tmp_path: Path
) -> None:
    errors: list[str] = []
    with live_game(tmp_path, language="es") as game:
        page = over(browser, game, errors, *OVER_ES[:-2], "visitante tres", *OVER_ES[-2:])
        line = "<b>Quarry</b> & Foxes: canasta de 3, C1 10:00, sin número"
        shows(page, "#open li", line)
        expect(page.locator("#open li")).to_have_attribute("lang", "es")
        shows(page, "#to-answer p", line)
        expect(page.get_by_role("group", name=line)).to_have_attribute("lang", "es")
        expect(page.locator("#signatures li").first).to_have_text("Anotador")
        expect(page.locator("#signatures li").nth(4)).to_have_text("Árbitro auxiliar 1")
        expect(page.locator("#signatures li").first).to_have_attribute("lang", "es")
        check_nothing_bars_anybody(page)
        # What the server does not take is told in Spanish, too.
        page.locator("#to-answer [type=checkbox]").check()
        page.fill("#approve-name", "Ana\u202e Ruiz")
        page.fill("#approve-role", "árbitra principal")
        assert errors == []
        page.locator("#approval .main").click()
        expect(page.locator("#sent")).to_contain_text("No se puede leer: escríbelo con letras")


def test_a_file_that_cannot_be_read_is_told_in_the_language_of_the_game(
    browser: Browser, tmp_path: Path
) -> None:
    with live_game(tmp_path, language="es") as game:
        for each in tmp_path.glob("saturday.game*"):
            each.write_bytes(b"no game")
        page = opened(browser, game.urls["after"], [])
        problem = page.locator("#problem span")
        expect(problem.first).to_contain_text("No se pueden hacer el acta ni las listas")
        expect(problem.first).to_have_attribute("lang", "es")
        expect(problem.last).to_contain_text("saturday.game: ")
        expect(problem.last).to_have_attribute("lang", "en")


def test_the_approval_speaks_the_language_of_the_game(browser: Browser, tmp_path: Path) -> None:
    errors: list[str] = []
    with live_game(tmp_path, language="es") as game:
        page = over(browser, game, errors, *OVER_ES)
        page.get_by_label("Nombre de quien aprueba el tanteo").fill("Ana Ruiz")
        page.get_by_label("Función, por ejemplo árbitro principal").fill("árbitra principal")
        press = page.get_by_role("button", name="Los árbitros aprueban el tanteo")
        assert press.get_attribute("lang") == "es"
        press.click()
        expect(page.locator("#question")).to_contain_text("¿Lo han aprobado los árbitros?")
        page.get_by_role("button", name="sí").click()
        expect(page.locator("#approval-told")).to_contain_text("Aprobado (Ana Ruiz, árbitra")
        expect(page.get_by_role("button", name="Firmar la corrección")).to_be_visible()
        check_nothing_bars_anybody(page)
    assert errors == []
