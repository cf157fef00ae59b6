"""`callout new --page`: what is checked and written on this machine."""

from __future__ import annotations

import http.client
import re
import socket
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from pydantic import ValidationError

from callout.commands.new_page import Page, facts, new_page, wrong_keys
from callout.edges import folders
from callout.edges.page.addresses import LOOPBACK
from callout.edges.page.promised import promised
from callout.edges.page.setup_app import Entered
from callout.errors import CalloutError
from callout.game.profile.file import profile_names
from callout.language.check import load_language
from callout.language.grammar import Scope, language_folder
from callout.table.hands.key_file import read_keys
from callout.table.setup.setup import read_setup
from tests.patience import HANG_S

EMPTY = {"players": "", "starters": [], "coach": "", "colour": "", "nickname": "", "captain": "",
         "staff": "", "assistant": ""}  # fmt: skip
KEY = {"table": "keys", "key": "f9", "says": "home two"}


def entered(**changed: Any) -> Entered:
    form = {
        "profile": "fiba-2024", "home": {**EMPTY, "name": "Harbour Kites", "players": "4 5"},
        "guest": {**EMPTY, "name": "Quarry Foxes"}, "duty": "both", "wake": "", "keys": [],
        "pedal": "", "ear": "open", "microphone": "", "place": "", "competition": "",
        "officials": "", "share": False, "language": "en",
    }  # fmt: skip
    return Entered.model_validate({**form, **changed})


@pytest.fixture(autouse=True)
def _in_an_empty_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def files() -> list[str]:
    return sorted(path.name for path in Path().iterdir())


def test_a_setup_and_keys_are_written_and_the_next_commands_are_told() -> None:
    given = entered(keys=[KEY, {**KEY, "table": "everywhere", "key": "f13", "says": "guest two"}],
                    ear="hold", microphone="my 'USB' one")  # fmt: skip
    done = Page().write(given)
    assert done["files"] == files()[::-1]
    setup = Path("harbour-kites-quarry-foxes.setup")
    assert read_setup(setup).home.side().numbers == ("4", "5")
    assert setup.stat().st_mode & 0o077 == 0, "names are private"
    keys = setup.with_suffix(".keys.toml")
    assert "f13" in read_keys(keys, load_language(language_folder()), Scope()).everywhere
    assert done["keep"] == (
        "callout live harbour-kites-quarry-foxes.game --setup harbour-kites-quarry-foxes.setup"
        " --keys harbour-kites-quarry-foxes.keys.toml --ear hold"
        """ --microphone 'my '"'"'USB'"'"' one' --page 8765"""
    )


def test_the_language_of_the_page_is_kept_by_the_game_and_needs_no_ear() -> None:
    done = Page(language="es").write(entered(language="es", ear="hold", microphone="usb"))
    assert read_setup(Path(done["files"][0])).language == "es"
    assert " --ear off --page 8765" in done["keep"]
    assert "--microphone" not in done["keep"]
    assert Page(language="es").tools().facts()["language"] == "es"
    with pytest.raises(ValidationError):
        entered(language="../es")
    with pytest.raises(CalloutError, match="--language: expected en, es, got 'fr'"):
        new_page(None, 0, "fr")


def test_own_keys_and_words_are_those_of_the_language() -> None:
    said = {**KEY, "says": "local dos"}
    assert wrong_keys(entered(language="es", keys=[said])) == []
    assert len(wrong_keys(entered(keys=[said]))) == 1
    team = {**EMPTY, "name": "Harbour Kites", "colour": "azul"}
    checked, _ = Page().check(entered(language="es", home=team))
    assert checked.mistakes == (), "the ear, which knows no such word, hears English"
    team = {**team, "colour": "falta"}
    (wrong,) = Page().check(entered(language="es", home=team))[0].mistakes
    assert "is a word of the calls" in wrong.what


def test_codes_that_are_shown_before_the_game_open_its_pages(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(folders, "logs", lambda: tmp_path / "state")
    monkeypatch.setattr("callout.commands.new_page.own_address", lambda: "192.168.7.7")
    page = Page()
    assert page.code("hall") is None
    done = page.write(entered(share=True))
    assert done["keep"].endswith(" --page 8765 --share")
    assert page.write(entered(share=True))["codes"] == done["codes"], "a code that hangs is kept"
    assert page.code("partner") == done["codes"]["partner"]
    game = Path("harbour-kites-quarry-foxes.game")
    for _ in range(2):  # the second start, after one that failed
        taken = promised(game, 8765, "192.168.7.7")
        assert {name: taken.url(name) for name in ("hall", "partner")} == done["codes"]
    monkeypatch.setattr("callout.commands.new_page.own_address", lambda: None)
    with pytest.raises(CalloutError, match="in no network"):
        page.write(entered(share=True))
    assert page.write(entered())["codes"] == {}


def test_nothing_is_written_while_anything_is_wrong() -> None:
    for given in (entered(profile=""), entered(keys=[{**KEY, "says": "fly"}])):
        with pytest.raises(CalloutError, match="nothing was written"):
            Page().write(given)
    assert files() == []


def test_what_the_page_wrote_it_writes_again_and_nothing_else() -> None:
    Path("harbour-kites-quarry-foxes.setup").write_text("mine", encoding="utf-8")
    page = Page()
    for wake in ("table", "desk"):
        done = page.write(entered(wake=wake))
        assert done["files"] == ["harbour-kites-quarry-foxes-2.setup"]
    assert Path("harbour-kites-quarry-foxes.setup").read_text() == "mine"
    assert read_setup(Path(done["files"][0])).wake == ("desk",)
    Path(done["files"][0]).write_text("changed by hand", encoding="utf-8")
    with pytest.raises(CalloutError, match="somebody else has changed it"):
        page.write(entered())


def test_a_file_that_is_named_is_the_one_that_is_written() -> None:
    assert Page(Path("saturday.setup")).write(entered())["files"] == ["saturday.setup"]
    with pytest.raises(CalloutError, match="exists already"):
        Page(Path("saturday.setup")).write(entered())


@pytest.mark.parametrize(
    ("keys", "row", "part"),
    [
        ([KEY, {**KEY, "key": "f8", "says": "fly"}], 2, "expected a call, got 'fly'"),
        ([{**KEY, "key": " "}], 1, "press the key"),
        ([{**KEY, "says": ""}], 1, "expected words"),
        ([KEY, {**KEY, "says": "guest two"}], 2, "each key once"),
        ([{**KEY, "key": "nope"}], 1, "expected a key"),
        ([{**KEY, "says": "talk"}], 1, "terminals do not report held keys"),
        ([{**KEY, "key": '"]\n[everywhere]\nf1'}], 1, "expected a key"),
        ([{**KEY, "table": "pedal"}], 0, "device"),
    ],
)
def test_a_wrong_key_is_told_with_its_row(keys: list[Any], row: int, part: str) -> None:
    (told,) = wrong_keys(entered(keys=keys))
    assert (told.field, told.row) == ("keys", row)
    assert part in told.what


def test_the_facts_are_those_of_this_machine() -> None:
    told = facts()
    assert [league["name"] for league in told["leagues"]] == list(profile_names())
    assert told["language"] == "en"
    assert list(told["languages"]) == ["en", "es"]
    english, spanish = told["languages"].values()
    league = told["leagues"][0]["name"]
    assert ["{team} two [{number}]", "s"] in english["keys"][league]
    assert ["{team} dos [{number}]", "s"] in spanish["keys"][league]
    assert (english["example"], spanish["example"]) == ("home timeout", "local tiempo muerto")
    assert (english["heard"], spanish["heard"]) == (True, False)
    assert english["texts"] == {}


def test_a_port_in_use_is_told() -> None:
    with socket.create_server((LOOPBACK, 0)) as taken:
        port = taken.getsockname()[1]
        with pytest.raises(CalloutError, match=f"port {port}: .*; choose another"):
            new_page(None, port)


@pytest.mark.thorough
def test_it_serves_until_it_is_stopped_and_leaves_no_file(tmp_path: Path) -> None:
    with socket.create_server((LOOPBACK, 0)) as found:
        port = found.getsockname()[1]
    process = subprocess.Popen(
        [sys.executable, "-m", "callout", "new", "--page", str(port)],
        cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert process.stdout is not None
    first = process.stdout.readline()
    assert re.search(rf"http://127\.0\.0\.1:{port}/setup/[\w-]{{22}}$", first)
    # A browser holds connections, and may just be asking.
    held = [http.client.HTTPConnection(LOOPBACK, port, timeout=HANG_S) for _ in range(6)]
    for each in held:
        each.request("GET", first.strip().partition(str(port))[2] + "/facts")
    process.send_signal(2)
    _, errors = process.communicate(timeout=HANG_S)
    for each in held:
        each.close()
    assert (process.returncode, errors) == (130, "")
    assert files() == []
