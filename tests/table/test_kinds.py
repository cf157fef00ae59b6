"""The list of all that may be said, held against the language that must say it."""

from __future__ import annotations

from callout.game.notice import KINDS
from callout.table.asking import ASKED
from callout.table.kinds import ALL_KINDS, TALK_KINDS

from .book import language


def test_the_talk_has_no_kind_of_the_game_s() -> None:
    assert not TALK_KINDS.keys() & KINDS.keys()
    assert len(ALL_KINDS) == len(TALK_KINDS) + len(KINDS)


def test_every_question_is_asked_and_has_an_end() -> None:
    for kind, slots in ASKED.items():
        assert ALL_KINDS[f"ask_{kind}"] == ALL_KINDS[f"kept_{kind}"] == slots


def test_the_language_has_a_text_for_each_and_none_besides() -> None:
    replies = language("nfhs-2026")[0]
    assert replies.file.kinds.keys() == ALL_KINDS.keys()
