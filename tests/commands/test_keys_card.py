"""The card of calls and keys: complete, and as wide as a page."""

from __future__ import annotations

import pytest

from callout.commands.keys_card import HELPERS, card, keys, said, shown
from callout.table.hands.keymap import HANDS
from callout.table.language import patterns_of
from tests.english import english_grammar

GRAMMAR = english_grammar()


def test_every_call_and_every_key_is_on_it(capsys: pytest.CaptureFixture[str]) -> None:
    assert card() == 0
    printed = capsys.readouterr().out
    for file in GRAMMAR.calls:
        assert all(line in printed for line in (*said(file).splitlines(), *keys(file.keys)))
    assert max(map(len, printed.splitlines())) <= 100


def test_every_key_that_makes_no_call_by_itself_is_explained() -> None:
    assert set(HELPERS) == {target for target in HANDS.values() if not isinstance(target, str)}


def test_keys_are_named_as_on_a_keyboard() -> None:
    assert [shown(key) for key in ("p n", "left", "pagedown", "f2", "]")] == [
        "P N", "Left", "Page Down", "F2", "]",
    ]  # fmt: skip


def test_its_legend_explains_every_brace() -> None:
    read = patterns_of(GRAMMAR).read
    places = [place for text in GRAMMAR.keys().values() for place in read(text).places]
    assert {place.slot for place in places if place.kind == "team"} == {"team", "to"}
    listed = {place.slot for place in places if place.kind == "listed"}
    assert listed == {"foul", "points", "made"}
