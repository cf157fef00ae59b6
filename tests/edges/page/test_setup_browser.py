"""The set-up page in a real browser, from an empty folder to a setup file.

Source: WCAG 2.2 AA by the rules of axe-core; the sizes and themes are the ones people have.
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pytest
import soundfile
from playwright.sync_api import Browser, Page, expect

from callout.edges.ear.level import Level
from callout.edges.ear.sound import RATE_HZ
from callout.edges.page.addresses import own_address
from callout.table.setup.setup import read_setup
from tests.edges.page.browser import THEMES, check_nothing_bars_anybody, chromium, opened, shows
from tests.edges.page.server import free_port
from tests.edges.test_spreadsheet import workbook
from tests.patience import HANG_S
from tests.pulse import Pulse
from tests.speech import spoken

pytestmark = pytest.mark.thorough

READY = "Nothing is wrong. This will be written:"


@contextmanager
def setup_page(
    folder: Path,
    name: str = "saturday.setup",
    environment: Mapping[str, str] | None = None,
    language: str = "en",
) -> Iterator[str]:
    """The address of the page that the real program serves in that folder."""
    process = subprocess.Popen(
        [sys.executable, "-m", "callout", "new", name, "--page", str(free_port()), "--language",
         language],
        cwd=folder, env=environment, stdout=subprocess.PIPE, text=True,
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


def fill(page: Page) -> None:
    """League and teams, one of them from a file."""
    page.select_option("#profile", "fiba-2024")
    page.fill("#home-name", "Harbour Kites")
    page.fill("#home-players", "4 Ada Moss\n5 Bo Reed\n15\n50 Cy Tern")
    page.fill("#guest-name", "<b>Quarry</b> & Foxes")
    rows = ["Nr.;Name;Starter", "8;Zoë Müller;x", "11;שרה לוי;x", "33;Di;"]
    file = {"name": "foxes.csv", "mimeType": "text/csv",
            "buffer": "\n".join(rows).encode("utf-8-sig")}  # fmt: skip
    page.set_input_files("#guest-file", file)  # type: ignore[arg-type]
    page.get_by_role("button", name="Use this list").click()
    shows(page, "#sum", READY)


def test_from_an_empty_folder_to_a_setup_file(browser: Browser, tmp_path: Path) -> None:
    errors: list[str] = []
    with setup_page(tmp_path) as url:
        page = opened(browser, url, errors)
        fill(page)
        expect(page.locator("#teams")).to_contain_text("15 and 50 sound alike")
        page.get_by_label("Number 4 starts").check()
        page.fill("#home-colour", "score")
        expect(page.locator("#home-colour-wrong")).to_contain_text("is a word of the calls")
        expect(page.locator("#write")).to_be_disabled()
        page.fill("#home-colour", "blue")
        page.get_by_text("another runs the clock").click()
        page.get_by_text("Place, competition and officials").click()
        expect(page.locator("#roles")).to_contain_text("Crew chief")
        page.fill("#place", "North Gym")
        page.fill("#officials", "Ann Lee")
        expect(page.locator("#officials-wrong")).to_contain_text("expected one of")
        page.fill("#officials", "Crew chief Ann Lee")
        page.select_option("#home-captain", "5")
        page.fill("#home-staff", "Di Lind")
        page.get_by_role("button", name="Add a key").click()
        page.get_by_role("button", name="Learn key 1").click()
        page.keyboard.press("F9")
        page.get_by_label("Says").fill("home two")
        shows(page, "#sum", READY)
        page.get_by_role("button", name="Write the file").click()
        shows(page, "#written", "Written: saturday.setup, saturday.keys.toml")
        expect(page.locator("#next-keep")).to_contain_text("callout live saturday.game --setup")
    # The browser's own word for a file that was refused by the page itself.
    assert errors == []
    setup = read_setup(tmp_path / "saturday.setup")
    assert setup.guest.name == "<b>Quarry</b> & Foxes"
    assert [player.name for player in setup.guest.players] == ["Zoë Müller", "שרה לוי", "Di"]
    assert setup.guest.side().starters == ("8", "11")
    assert setup.home.side().starters == ("4",)
    assert (setup.place, setup.home.captain) == ("North Gym", "5")
    assert set(setup.people) == {("", "Crew chief", "Ann Lee"), ("home", "coach", "Di Lind")}
    assert (tmp_path / "saturday.keys.toml").read_text() == '[keys]\n"f9" = "home two"\n'


ENGLISH_LEFT = """() => {
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const left = [];
  while (walker.nextNode()) {
    const at = walker.currentNode.parentElement;
    const words = walker.currentNode.textContent.trim();
    const elsewhere = at.closest("[lang=es], noscript, script, template");
    if (/[a-z]/i.test(words) && !elsewhere) left.push(words);
  }
  return left;
}"""
"""What stands on the page and is not marked as Spanish."""


def test_the_page_speaks_the_language_of_the_game_and_writes_it(
    browser: Browser, tmp_path: Path
) -> None:
    errors: list[str] = []
    with setup_page(tmp_path, language="es") as url:
        page = opened(browser, url, errors)
        expect(page.locator("h1")).to_have_text("Un partido nuevo")
        shows(page, "#language", "Englishespañol")
        expect(page.locator("#sum")).to_contain_text("Hay que corregir 3 cosas")
        page.select_option("#profile", "fiba-2024")
        page.fill("#home-name", "Harbour Kites")
        page.fill("#home-players", "4 Ada\n4 Bo\n60\n70")
        expect(page.locator("#teams")).to_contain_text(
            "cada número una sola vez; '4' está dos veces"
        )
        page.fill("#home-players", "4 Ada\n60\n70")
        expect(page.locator("#teams")).to_contain_text(
            "el 60 y el 70 suenan parecido: di 'seis cero' o 'siete cero'"
        )
        page.fill("#guest-name", "Quarry Foxes")
        page.fill("#home-colour", "falta")
        expect(page.locator("#home-colour-wrong")).to_contain_text("es una palabra de las órdenes")
        page.get_by_role("button", name="Añadir una tecla").click()
        expect(page.locator("#keys-wrong")).to_contain_text("Línea 1: pulsa la tecla")
        page.get_by_role("button", name="Quitar la tecla 1").click()
        page.fill("#home-colour", "azul")
        page.locator("summary", has_text="Las teclas de esta competición").click()
        expect(page.locator("#card")).to_contain_text("equipo dos [número]")
        shows(page, "#sum", "Todo está bien. Se escribirá esto:")
        expect(page.get_by_label("El número 60 es titular")).to_be_visible()
        expect(page.locator("#ear")).to_be_disabled()
        level = json.dumps(Level("Headset", -20.5, -18.0).told())
        page.route("**/microphone", lambda route: route.fulfill(body=f"{level}\n"))
        page.get_by_role("button", name="Probar el micrófono").click()
        shows(page, "#level-told", "Headset: -18 dB, bien")
        check_nothing_bars_anybody(page)
        titles = page.locator("#profile option").all_inner_texts()[1:]
        places = "pre, kbd, #microphone option, #pedal option"
        lists = [*titles, *page.locator(places).all_inner_texts()]
        left = {text for text in page.evaluate(ENGLISH_LEFT) if text not in lists}
        roles = str(page.locator("#roles").text_content())
        assert {text for text in left if text not in roles} == {
            "English", "4 Ada", "Ada", "callout models", "-20 dB"
        }  # fmt: skip
        page.select_option("#language", "en")
        shows(page, "#sum", READY)
        assert page.locator("[data-text][lang]").all_inner_texts() == []
        expect(page.locator("#ear")).to_be_enabled()
        page.select_option("#language", "es")
        shows(page, "#sum", "Todo está bien. Se escribirá esto:")
        page.get_by_role("button", name="Escribir el archivo").click()
        shows(page, "#written", "Escrito: saturday.setup")
        expect(page.locator("#next-keep")).to_contain_text("--ear off")
    assert errors == []
    setup = read_setup(tmp_path / "saturday.setup")
    assert (setup.language, setup.home.words) == ("es", ("azul",))


def test_a_bad_list_is_told_by_row_and_column_and_nothing_of_it_is_taken(
    browser: Browser, tmp_path: Path
) -> None:
    with setup_page(tmp_path) as url:
        page = opened(browser, url, [])
        page.fill("#home-players", "4 Ada")
        xlsx = workbook(["No.", "Name"], [4, "Ada"], ["=A2+1", "Bo"], [4, "Cy"], [104, "Di"])
        file = {"name": "kites.xlsx", "mimeType": "", "buffer": xlsx}
        page.set_input_files("#home-file", file)  # type: ignore[arg-type]
        preview = page.get_by_role("region", name="List from kites.xlsx")
        expect(preview.get_by_role("heading")).to_have_text("kites.xlsx: nothing was taken")
        rows = preview.locator("tbody tr").all_inner_texts()
        assert [row.split("\t")[:2] for row in rows] == [["3", "A"], ["4", "A"], ["5", "A"]]
        assert preview.get_by_role("button").all_inner_texts() == ["Cancel"]
        large = tmp_path / "large.csv"
        large.write_bytes(b"4 Ada\n" * 9_000_000)
        page.set_input_files("#home-file", large)
        preview = page.get_by_role("region", name="List from large.csv")
        expect(preview).to_contain_text("expected a file of at most 1,000,000 bytes")
        preview.get_by_role("button", name="Cancel").click()
        assert page.input_value("#home-players") == "4 Ada"
    assert [path.name for path in tmp_path.iterdir()] == ["large.csv"]


@pytest.mark.parametrize("theme", THEMES)
def test_nothing_bars_anybody(browser: Browser, tmp_path: Path, theme: str) -> None:
    with setup_page(tmp_path) as url:
        page = opened(browser, url, [], color_scheme=theme)
        expect(page.locator("#sum")).to_contain_text("to be put right")
        check_nothing_bars_anybody(page)
        fill(page)
        page.fill("#wake", "home")
        expect(page.locator("#wake-wrong")).to_contain_text("home")
        # What was entered before is checked: the empty key must be by itself.
        page.get_by_role("button", name="Add a key").click()
        page.locator("summary", has_text="The keys of this league").click()
        page.get_by_role("button", name="Try the microphone").click()
        expect(page.locator("#keys-wrong")).to_contain_text("press the key")
        check_nothing_bars_anybody(page)


def test_all_of_it_is_reached_by_keyboard(browser: Browser, tmp_path: Path) -> None:
    with setup_page(tmp_path) as url:
        page = opened(browser, url, [])
        fill(page)
        page.locator("#profile").focus()
        reached = set()
        for _ in range(60):
            page.keyboard.press("Tab")
            reached.add(page.evaluate("document.activeElement.id"))
        assert {"home-name", "home-players", "home-file", "home-coach", "guest-name", "ear", "wake",
                "microphone", "try", "add-key", "file", "write", "end"} <= reached  # fmt: skip


def test_speech_moves_the_meter_and_silence_is_called_mute(
    browser: Browser, tmp_path: Path, pulse: Pulse
) -> None:
    """A real sound server: what is played into its null sink comes out of the microphone."""
    sound = tmp_path / "sound"
    sound.mkdir()
    said = spoken(["home two number five.", "guest foul eight."])
    levels = {"good": 0.5, "soft": 0.002, "loud": 6.0}
    for name, height in levels.items():
        samples = np.clip(height * said / np.abs(said).max(), -1.0, 1.0)
        soundfile.write(sound / f"{name}.wav", samples, RATE_HZ)
    errors: list[str] = []
    with setup_page(tmp_path, environment=pulse.environment) as url:
        page = opened(browser, url, errors)
        told, meter = page.locator("#level-told"), page.locator("#meter")
        page.get_by_role("button", name="Try the microphone").click()
        expect(told).to_contain_text("mute: it gives only zeros")
        assert meter.evaluate("each => each.value") == -80, "the least that it shows"
        for name, words in (("soft", "too soft: move"), ("good", "dB, good"), ("loud", "it clips")):
            with pulse.noise(sound / f"{name}.wav"):
                expect(told).to_contain_text(words)
                if name == "good":
                    page.wait_for_function("document.getElementById('meter').value > -45")
            page.wait_for_timeout(3_500)  # what was loudest is judged for three seconds
        expect(told).to_contain_text("mute")
        page.get_by_role("button", name="Stop").click()
        expect(page.get_by_role("button", name="Try the microphone")).to_be_visible()
    assert errors == []


def test_a_microphone_that_is_gone_is_told_in_a_plain_sentence(
    browser: Browser, tmp_path: Path
) -> None:
    """PortAudio's own words come last: they tell nothing to whoever unplugged the headset."""
    with setup_page(tmp_path) as url:
        page = opened(browser, url, [])
        expect(page.locator("#profile option").nth(1)).to_be_attached()
        page.evaluate("document.getElementById('microphone').append(new Option('gone', 'gone'))")
        page.select_option("#microphone", "gone")
        page.get_by_role("button", name="Try the microphone").click()
        expect(page.locator("#level-told")).to_have_text(
            "gone: cannot be opened: no microphone has that name now; plug it in, or choose "
            "another (No input device matching 'gone')"
        )
        expect(page.get_by_role("button", name="Try the microphone")).to_be_visible()


def test_the_codes_of_the_page_open_the_pages_of_the_game(browser: Browser, tmp_path: Path) -> None:
    """The same tokens, once the game is started with the command that the page names."""
    if own_address() is None:
        pytest.skip("this machine is in no network")
    errors: list[str] = []
    state = {**os.environ, "XDG_STATE_HOME": str(tmp_path / "state")}
    with setup_page(tmp_path, environment=state) as url:
        page = opened(browser, url, errors)
        fill(page)
        page.get_by_label("Telephones in the hall's network").check()
        page.get_by_role("button", name="Write the file").click()
        expect(page.locator("#next-keep")).to_contain_text("--page 8765 --share")
        hall, partner = page.locator("#code-hall"), page.locator("#code-partner")
        expect(hall).to_be_visible()
        expect(partner).to_be_hidden()
        page.get_by_role("button", name="Show the partner's code").click()
        expect(partner).to_be_visible()
        for each in (hall, partner):
            assert each.evaluate("each => each.decode().then(() => each.naturalWidth)") > 200
        shown = [str(page.locator(f"#url-{name}").text_content()) for name in ("hall", "partner")]
        check_nothing_bars_anybody(page)
    assert errors == [], "the policy lets the pictures in"
    game = subprocess.Popen(
        [sys.executable, "-m", "callout", "live", "saturday.game", "--setup", "saturday.setup",
         "--ear", "off", "--voice", "print", "--keys", "typed", "--page", str(free_port()),
         "--share"],
        cwd=tmp_path, env=state, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert game.stdout is not None
    told = ""
    for line in game.stdout:
        told += line
        if line.startswith("Hall's page"):
            break
    game.terminate()
    game.communicate(timeout=HANG_S)
    for address in shown:
        assert address.rpartition("/")[2] in told
