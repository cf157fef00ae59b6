"""The list of all that may be said, held against the language that must say it."""

from __future__ import annotations

from callout.game.notice import KINDS
from callout.game.urgency import URGENCIES
from callout.language.replies import Level
from callout.table.asking import ASKED
from callout.table.kinds import ALL_KINDS, TALK_KINDS

from .book import language


def test_the_talk_has_no_kind_of_the_game_s() -> None:
    assert not TALK_KINDS.keys() & KINDS.keys()
    assert len(ALL_KINDS) == len(TALK_KINDS) + len(KINDS)


def test_every_kind_that_has_an_urgency_is_one() -> None:
    assert URGENCIES.keys() <= ALL_KINDS.keys()


def test_every_question_is_asked_and_has_an_end() -> None:
    for kind, slots in ASKED.items():
        assert ALL_KINDS[f"ask_{kind}"] == ALL_KINDS[f"kept_{kind}"] == slots


def test_nothing_is_longer_where_less_is_said() -> None:
    longer = []
    for kind, texts in language("nfhs-2026")[0].file.kinds.items():
        said = [texts.at(level) for level in Level]
        # A part in brackets may be left out, so only texts without any are compared.
        plain = [len(text) for text in said if "[" not in text]
        longer += [kind] if plain != sorted(plain) else []
    assert longer == []
