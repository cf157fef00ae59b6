"""words.yaml: what papers say and commands ask stands in every language, and nothing besides.

The Spanish words are those of Spanish basketball tables, from memory.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest

import callout
from callout.game.profile.file import load_profile, profile_names
from callout.game.sources import CLOCK, KEY, SCRIPT, SPOKEN
from callout.game.state import Phase
from callout.game.terms import Award, CheckedAs, FoulKind, Offender, Team
from callout.language.grammar import language_folder
from callout.language.shipped import ENGLISH, languages
from callout.language.words import read_words, words_of
from callout.practice.facts import PLAIN, PLAIN_EVENTS
from callout.practice.levels import PACES
from callout.practice.play import SIREN, WHISTLE
from callout.table.setup.setup import Book
from callout.words import Words

OTHERS = sorted(set(languages()) - {ENGLISH})
CODE = Path(callout.__file__).parent
STATIC = CODE / "edges" / "page" / "static"

MADE_UP = (
    *(f"{unit}_{form}" for unit in ("quarter", "half", "period", "overtime")
      for form in ("short", "head")),
    *(f"kind_{each.value}" for each in FoulKind),
    *(f"on_{each.value}" for each in Offender if each is not Offender.PLAYER),
    *(f"by_{source}" for source in (SPOKEN, KEY, CLOCK, SCRIPT)),
    *(f"phase_{each.value}" for each in Phase),
    *(f"book_{each.value}" for each in Book),
    *(f"gives_{each.value}" for each in Award),
    *(f"checked_{each.value}" for each in CheckedAs),
    *(f"{each.value}{end}" for each in Team for end in ("", "_head", "_letter", "_leads")),
    *(f"ask_{each.value}" for each in Team),
    *(f"{what}_{kind.replace(' ', '_')}" for what in ("calls", "advice") for kind in (
        *PLAIN.values(), *PLAIN_EVENTS.values(), "goal", "throw", "foul", "tip", "number", "shots",
        "timeout", "held ball")),
    *(f"outcome_{part}" for part in ("right", "late", "wrong", "missed", "asked")),
    *(f"pace_{each}" for each in PACES),
    *(f"differed_{each}" for each in ("team", "number", "what")),
    *(f"sound_{each}" for each in (WHISTLE, SIREN)),
    *(f"{each}_one" for each in (
        "throws_to_come", "names", "people_named", "not_legal", "entries_undone", "practised",
        "names_kept", "players_read")),
)  # fmt: skip
"""The keys that the code puts together."""


def texts_of(language: str) -> Mapping[str, str]:
    file = read_words(language_folder(language))
    assert not file.paper.keys() & file.terminal.keys(), "one key, one text"
    return {**file.paper, **file.terminal}


def code() -> Iterator[str]:
    for path in sorted((*CODE.rglob("*.py"), *CODE.rglob("*.typ"))):
        yield path.read_text(encoding="utf-8")


@pytest.mark.parametrize("language", OTHERS)
def test_every_text_stands_in_every_language(language: str) -> None:
    english, other = texts_of(ENGLISH), texts_of(language)
    assert english.keys() == other.keys()
    for key, text in english.items():
        given, taken = (set(re.findall(r"\{\w+", each)) for each in (text, other[key]))
        assert given == taken, key


def test_every_text_is_used_and_every_key_has_one() -> None:
    whole = "\n".join(code())
    known = texts_of(ENGLISH).keys()
    asked = set(re.findall(r'\b(?:words|say|_words|word|filled)\(\s*"([a-z-]+(?:_\w+)*)"', whole))
    assert set(MADE_UP) | asked <= known
    quoted = set(re.findall(r"""["']([a-z][\w-]*)["']""", whole))
    # A column of the sheet is its own key.
    assert known - quoted - set(MADE_UP) == set()


@pytest.mark.parametrize("language", OTHERS)
def test_every_league_s_officials_have_their_roles(language: str) -> None:
    sheets = [load_profile(name).sheet for name in profile_names()]
    roles = {role for sheet in sheets for role in (*sheet.officials, *sheet.signatures)}
    words = words_of(language)
    assert words.roles.keys() == roles
    assert words.role("Statistician") == "Statistician"
    assert words_of(ENGLISH).role("Umpire 1") == "Umpire 1"


@pytest.mark.parametrize(
    ("language", "agrees", "does_not"),
    [
        ("en", ("yes", "y", " YES "), ("no", "n", "", "sí", "s")),
        ("es", ("sí", "si", "s", " Sí "), ("no", "n", "", "yes", "y")),
    ],
)
def test_a_yes_is_one_of_the_language(
    language: str, agrees: tuple[str, ...], does_not: tuple[str, ...]
) -> None:
    words = words_of(language)
    assert all(map(words.agrees, agrees))
    assert not any(map(words.agrees, does_not))


def test_a_game_in_a_language_that_is_missing_is_printed_in_english() -> None:
    for strange in ("fr", "../models", ""):
        assert words_of(strange) is words_of(strange)
        assert words_of(strange).texts == words_of(ENGLISH).texts
        assert words_of(strange).language == ENGLISH


def test_what_a_list_lacks_is_said_as_on_the_set_up_page() -> None:
    spanish = words_of("es")
    assert spanish.said("expected each number once, got '4' twice") == (
        "cada número una sola vez; '4' está dos veces"
    )
    assert spanish.said("expected a shirt number (0, 00, 1 to 99), got '100'") == (
        "hace falta un número de camiseta (0, 00, de 1 a 99), y está '100'"
    )
    assert spanish.said("something new: '4'") == "something new: '4'"
    assert words_of(ENGLISH).said("it has '4'") == "it has '4'"


def test_the_rule_of_open_places_is_the_page_s() -> None:
    rule = re.search(r"const OPEN = /(.+)/g;", (STATIC / "texts.js").read_text(encoding="utf-8"))
    assert rule is not None
    numeral = re.compile(r"\d[\d,]*")
    texts = ("4 and 14: 'four' or \"d'or\"", "the team's 1,000 signs, U+202E, 0x9d")
    for text in texts:
        key = re.sub(rule[1], lambda m: "{n}" if numeral.fullmatch(m[0]) else "{q}", text)
        words = Words("xx", {}, pages={key: f"<{key}>"})
        assert words.said(text) == f"<{text}>"


def test_a_call_and_an_item_have_the_names_of_the_replies() -> None:
    spanish, english = words_of("es"), words_of(ENGLISH)
    assert spanish.call("sub_waiting") == "cambio pedido"
    assert english.call("sub_waiting") == "sub waiting"
    assert spanish.items["lists"] == "listas"
