"""Text that may be shown. Source of the categories: Unicode 15.0, section 4.5; names as people
write them are from memory."""

from __future__ import annotations

import sys
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from callout.errors import CalloutError, InputError
from callout.plain import LONGEST, UNSEEN, escaped, plain, unseen

NAMES = ("Ada Moss", "Łucja Óskarsdóttir", "O’Neill-Weiß", "李小龍", "עדה", "Zoë (U12) #4 [b] {x}",
         "می\u200cخواهم", "ක්\u200dෂ", "ന്\u200d", "e\u0301va")  # fmt: skip
"""In Persian the non-joiner, in Sinhala and Malayalam the joiner is a part of the writing."""

HOSTILE = {
    "\x1b]0;x\x07Kites": r"\x1b]0;x\x07Kites",
    "Kites\x1b[2J": r"Kites\x1b[2J",
    "\x9b31m": r"\x9b31m",
    "A\x00B": r"A\x00B",
    "\u202esetiK": r"\u202esetiK",
    "\u2066Kites\u2069": r"\u2066Kites\u2069",
    "Ki\u200btes\ufeff": r"Ki\u200btes\ufeff",
    "\u200dKites": r"\u200dKites",
    "Kites\u200d\u200d": "Kites\u200d" + r"\u200d",
    "4\u200c": r"4\u200c",
    "a\u2028b\u2029c": r"a\u2028b\u2029c",
    "\ud800": r"\ud800",
    "\U000e0041": r"\U000e0041",
    "a\nb\tc\r": r"a\nb\tc\r",
    "soft\xadhyphen": r"soft\xadhyphen",
}
"""What steers a terminal, turns the writing round, or hides, and how it is shown."""


@pytest.mark.parametrize("name", NAMES)
def test_a_name_is_shown_as_it_is(name: str) -> None:
    assert plain(name) == name


@pytest.mark.parametrize(("text", "shown"), HOSTILE.items(), ids=HOSTILE.values())
def test_what_must_not_be_shown_is_written_out(text: str, shown: str) -> None:
    assert plain(text) == shown
    assert text[next(unseen(text))] not in shown or shown.startswith("Kites\u200d")


def test_no_character_of_those_categories_is_left() -> None:
    every = [sign for sign in map(chr, range(sys.maxunicode + 1))
             if unicodedata.category(sign) in UNSEEN]  # fmt: skip
    assert len(every) > 2_000
    assert [sign for sign in every if plain(sign) == sign] == []
    assert all(escaped(sign).isascii() and escaped(sign).isprintable() for sign in every)


@given(st.text())
def test_what_was_written_out_once_stays(text: str) -> None:
    assert list(unseen(plain(text))) == []
    assert plain(plain(text)) == plain(text)


def test_an_error_is_one_line_that_can_be_shown() -> None:
    error = InputError("a\x1b[2J\n.setup", "expected x, got '\u202e'", 3)
    assert str(error) == r"a\x1b[2J\n.setup:3: expected x, got '\u202e'"


def test_an_error_does_not_quote_a_whole_file() -> None:
    error = CalloutError(f"expected 'key: value', got {'a' * 10_000_000!r} in the end")
    assert len(str(error)) <= LONGEST + 3
    assert str(error).startswith("expected 'key: value', got 'aaaa")
    assert str(error).endswith("aaaa' in the end")
