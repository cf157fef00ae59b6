"""Papers in another language than English: all their words, each in its place.

The marks and boxes are those of the English papers, which tests of their own compare with FIBA's
and NFHS's forms. The Spanish words are those of Spanish basketball tables, from memory.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import UTC
from itertools import pairwise
from typing import Any

import pytest
from pdfminer.high_level import extract_pages
from pdfminer.layout import LTChar, LTPage

from callout.edges.typesetting import Form, typeset
from callout.game.choices import SheetForm
from callout.language.shipped import ENGLISH, languages
from callout.language.words import words_of
from callout.paper.box_page import TEMPLATE, box_page
from callout.paper.export import Recorded
from callout.paper.sheet.form import TEMPLATES, sheet
from callout.paper.text import book_text
from callout.words import Words
from tests.paper.played import CASES, KITE_NAMES, long_names
from tests.paper.printed import letters, rows

OTHERS = sorted(set(languages()) - {ENGLISH})
PROFILES = ("fiba-2024", "nfhs-halves")
PEOPLE = "Maximiliana Fernández Gil"


def named(profile: str) -> Recorded:
    """15 long names on each side, long names of teams, and every official named."""
    made = long_names(profile)
    roles = made.game.profile.sheet.officials
    staff = ((side, role, PEOPLE) for side in ("home", "guest") for role in ("coach", "assistant"))
    home = replace(made.setup.home, name="Cometas del Puerto Viejo", captain="4")
    guest = replace(made.setup.guest, name="Zorros de la Cantera Alta", captain="5")
    setup = replace(
        made.setup, home=home, guest=guest, people=(*(("", r, PEOPLE) for r in roles), *staff),
        place="Pabellón del Puerto", competition="Liga de los sábados", fixture="2026-114",
    )  # fmt: skip
    return replace(made, setup=setup)


def papers(recorded: Recorded, words: Words) -> Iterator[bytes]:
    """Both forms of the sheet, the league's own to go on by hand, and the box score."""
    for form in SheetForm:
        data: Mapping[str, Any] = sheet(recorded, form, words, zone=UTC)
        by_hand = [False, True] if form is recorded.game.profile.sheet.form else [False]
        for each in by_hand:
            drawn = {**data, "by_hand": each}
            yield typeset(TEMPLATES[form], drawn, Form.PDF, 0).files[0]
    yield typeset(TEMPLATE, box_page(recorded, words), Form.PDF, 0).files[0]


def vocabulary(words: Words) -> set[str]:
    """The words of a language that a reader can tell from those of another."""
    texts = " ".join(re.sub(r"\{\w+\}", " ", each) for each in words.texts.values())
    return set(re.findall(r"[^\W\d_]{3,}", texts.lower()))


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("case", ["open-and-corrected", "forfeited", "with-people"])
def test_no_english_word_is_left(language: str, case: str) -> None:
    recorded, words = CASES[case](), words_of(language)
    strange = vocabulary(words_of(ENGLISH)) - vocabulary(words)
    assert {"fouls", "running", "overleaf"} <= strange
    setup, profile = recorded.setup, recorded.game.profile
    given = (setup.home.name, setup.guest.name, profile.title, profile.name, setup.place,
             setup.competition, *KITE_NAMES, *(name for *_, name in setup.people))  # fmt: skip
    text = " ".join(word for pdf in papers(recorded, words) for row in rows(pdf) for word in row)
    text += book_text(recorded.game, setup, recorded.left_tenths, words, recorded.mark)
    for name in given:
        text = text.replace(name, "") if name else text
    assert {*re.findall(r"[^\W\d_]{3,}", text.lower())} & strange == set()


def pages(pdf: bytes) -> Iterator[tuple[LTPage, list[LTChar]]]:
    for page in extract_pages(io.BytesIO(pdf)):
        upright = (each for each in letters(page) if each.matrix[1] == 0)
        yield page, [each for each in upright if each.get_text().strip()]


def crossing(found: list[LTChar]) -> list[str]:
    """Letters of one line of text that lie on each other, with what stands before them."""
    wrong = []
    lines: dict[float, list[LTChar]] = {}
    for each in found:
        lines.setdefault(round(each.matrix[5], 1), []).append(each)
    for line in lines.values():
        line.sort(key=lambda each: each.x0)
        for nth, (one, other) in enumerate(pairwise(line)):
            # Kerning draws letters together by less than that.
            if other.x0 < one.x1 - 0.3 * min(one.width, other.width):
                before = "".join(each.get_text() for each in line[max(0, nth - 20) : nth + 3])
                wrong.append(before)
    return wrong


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("profile", PROFILES)
def test_no_text_lies_on_another_or_leaves_the_page(language: str, profile: str) -> None:
    """Other words are longer than the English ones, for which the places were measured."""
    for pdf in papers(named(profile), words_of(language)):
        for page, found in pages(pdf):
            assert len(found) > 400
            assert min(each.x0 for each in found) >= 20
            assert max(each.x1 for each in found) <= page.width - 20
            latin = [each for each in found if each.get_text() < "\u0300"]
            assert crossing(latin) == []
