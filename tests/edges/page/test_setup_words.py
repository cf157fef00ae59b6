"""The words of the set-up page: all that it shows stands in every language, and nothing besides."""

from __future__ import annotations

import io
import json
import re
import zipfile
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from callout.commands.new_page import NO_NETWORK, WRONG_STILL, wrong_keys
from callout.edges.ear.level import Verdict
from callout.edges.page import setup_app
from callout.edges.page.lists import LONGEST_FILE, read_upload
from callout.edges.page.setup_app import Entered
from callout.edges.spreadsheet import MOST_ROWS, MOST_UNPACKED
from callout.language.check import load_language
from callout.language.grammar import language_folder
from callout.language.shipped import languages
from callout.table.hands.buttons import page_texts
from callout.table.setup.form import Form, TeamForm, check_form
from tests.edges.test_spreadsheet import workbook
from tests.table.hands.test_buttons import STATIC, stands_on

HOME = TeamForm("Harbour Kites", "4 Ada Moss\n5 Bo Reed\n12", ("4", "12"), "5", "blue", "kites")
FORM = Form("fiba-2024", HOME, TeamForm("Quarry Foxes", "8 11 15 50"))

FORMS: tuple[dict[str, Any], ...] = (
    {"profile": ""}, {"competition": "Cup # 1"}, {"wake": "home"}, {"wake": "!?"},
    {"wake": "kites"}, {"wake": "quarry"}, {"wake": "a " * 21}, {"profile": "nfhs-2026"},
    {"guest": TeamForm(" harbour KITES ")}, {"guest": TeamForm("Foxes", colour="blue")},
    {"wake": "kites", "home": replace(HOME, name="12")},
    {"guest": TeamForm("12", colour="blue")}, {"guest": TeamForm("12", nickname="harbour")},
    {"guest": TeamForm("12", nickname="score")},
    {"guest": TeamForm("Foxes", "3 13\n15 50")},
    *({"home": replace(HOME, **change)} for change in (
        {"name": " | "}, {"staff": "Cy Tern"}, {"starters": ("9",)}, {"captain": "9"},
        {"coach": "9", "starters": ()}, {"colour": "score"}, {"nickname": "foxes"},
        {"players": "1 2 3 4 5 6", "starters": tuple("123456"), "coach": ""},
        {"players": " ".join(map(str, range(41)))}, {"players": "4\n4"}, {"players": "104 Bo"},
        {"players": "Bo 4 Ada 7 Cy"}, {"players": "4 Ada\nnobody"}, {"players": "nobody"},
        {"players": "4 ???"}, {"players": "4 Ada\n=A1"}, {"players": "4 Ada\u202e"},
        {"players": "4 Ada \U0001f98a"},
    )),
)  # fmt: skip
"""Each has one thing that is wrong, or to be looked at."""


def too_large() -> bytes:
    """A workbook of a few bytes that would be unpacked into very many."""
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/worksheets/sheet1.xml", b" " * (MOST_UNPACKED + 1))
    return data.getvalue()


FILES = (
    b"", b"No.\n", b"No.,Name\n4,\"Ada\nMoss\"\n", b"No.,Name\n4,=A1\n", b"No.,Name\n=A1,Bo\n",
    b"Number,Name,No.\n4,Bo,5\n", b"No.,Name,Player\n4,Bo,Cy\n", b"No.,Starter,Starter\n4,x,x\n",
    b"No.,Nam\n4,Ada\n", b"Numer,No.\n4,5\n", b"No.,Name\n4," + b"a" * 50 + b"\n",
    b"No.,Name\n4,A|B\n", b"No.,Name\n4,Zo\xeb\n", b"No.\n4\n\x81\n", b"4\0", b"%PDF", b"{\\rtf",
    b"\x89PNG", b"\xd0\xcf\x11\xe0", b"PK\x03\x04", too_large(),
    workbook(["No."], *([4] for _ in range(MOST_ROWS + 1))),
)  # fmt: skip

KEY = {"table": "keys", "key": "f9", "says": "home two"}
KEYS: tuple[list[dict[str, str]], ...] = (
    [{**KEY, "key": " "}], [{**KEY, "says": ""}], [KEY, KEY], [{**KEY, "says": "fly"}],
    [{**KEY, "key": "nope"}],
)  # fmt: skip


def told() -> Iterator[str]:
    """What the program tells the page, in English: of forms, lists, keys and microphones."""
    grammar = load_language(language_folder())
    for change in FORMS:
        checked = check_form(replace(FORM, **change), grammar)
        yield from (each.what for each in (*checked.mistakes, *checked.notes))
    for data in FILES:
        read = read_upload(data)
        assert read.mistakes or read.notes, data[:40]
        yield from (each.what for each in (*read.mistakes, *read.notes))
    team = {"name": "", "players": "", "starters": [], "coach": "", "colour": "", "nickname": "",
            "captain": "", "staff": "", "assistant": ""}  # fmt: skip
    for keys in KEYS:
        entered = Entered.model_validate({
            "language": "en", "profile": "", "home": team, "guest": team, "duty": "both",
            "wake": "", "place": "", "competition": "", "officials": "", "share": False,
            "keys": keys, "pedal": "", "ear": "open", "microphone": "",
        })  # fmt: skip
        yield from (each.what for each in wrong_keys(entered))
    yield from (each.value for each in Verdict)
    yield from (setup_app.TOO_LONG, setup_app.BEING_TRIED, WRONG_STILL, NO_NETWORK)
    yield f"expected a file of at most {LONGEST_FILE:,} bytes"


def as_key(english: str) -> str:
    """A text as it stands in page.yaml, by the page's own rule."""
    rule = re.search(r"const OPEN = /(.+)/g;", (STATIC / "texts.js").read_text())
    assert rule is not None
    numeral = re.compile(r"\d[\d,]*")
    return re.sub(rule[1], lambda m: "{n}" if numeral.fullmatch(m[0]) else "{q}", english)


def test_a_text_is_found_by_its_numbers_and_quotations() -> None:
    assert as_key("4 and 14 sound alike: say 'four' or \"d'or\"") == (
        "{n} and {n} sound alike: say {q} or {q}"
    )
    assert as_key("the team's and the coach's 1,000 signs, U+202E") == (
        "the team's and the coach's {n} signs, {q}"
    )


@pytest.mark.parametrize("language", sorted(set(languages()) - {"en"}))
def test_the_set_up_page_has_all_its_words(language: str) -> None:
    texts = page_texts(language_folder(language))
    shared = {**texts.hall, **texts.partner, **texts.after}
    assert shared.keys().isdisjoint(texts.setup), "it is translated already"
    marked, scripts = stands_on("setup", "setup")
    in_script = set(re.findall(r'worded\("[a-z]+", "([^"]+)"', scripts))
    in_script |= set(re.findall(r'word\((?:at\("[a-z-]+"\)|[a-z]+), "([^"]+)"', scripts))
    in_script |= set(re.findall(r'said\("([^"]+)"\)', scripts))
    found = {as_key(each) for each in told()}
    known = shared.keys() | texts.setup.keys()
    assert {*marked, *in_script, *found} - known == set()
    for english in set(texts.setup) - marked - in_script - found:
        number = re.escape(english).replace(r"\{n\}", r"\$\{[^}]+\}")
        assert json.dumps(english) in scripts or re.search(f"`{number}`", scripts), english


@pytest.mark.parametrize("language", sorted(set(languages()) - {"en"}))
def test_what_is_open_in_a_text_is_open_in_its_translation(language: str) -> None:
    for english, words in page_texts(language_folder(language)).of_setup().items():
        opened, filled = (sorted(re.findall(r"\{\w+\}", each)) for each in (english, words))
        assert opened == filled, english
