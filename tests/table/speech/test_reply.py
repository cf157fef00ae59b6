"""Replies put together."""

from __future__ import annotations

from callout.game.kind import Rank
from callout.table.speech.announcer import Hush, Speak
from callout.table.speech.reply import Reply, Said, Sort


def said(sort: Sort, text: str) -> Said:
    return Said(sort, "goal", Rank.ECHO, "", text, 1, 0, 0)


def test_replies_are_added_in_their_order() -> None:
    first = Reply((said(Sort.NOTICE, "Two."),), (1,), (Hush(),), ("Out.",))
    second = Reply((said(Sort.QUESTION, "Another?"),), (2,), (Speak("Another?"),))
    both = first + second
    assert both.text == "Two. Another?"
    assert both.entries == (1, 2)
    assert both.speech == (Hush(), Speak("Another?"))
    assert both.repeated == ("Out.",)
    assert Reply() + both == both + Reply() == both


def test_what_has_no_words_leaves_no_gap() -> None:
    reply = Reply(tuple(said(Sort.NOTICE, text) for text in ("One.", "", "Two.")))
    assert reply.text == "One. Two."


def test_sorts_are_told_apart() -> None:
    reply = Reply((said(Sort.NOTICE, "Two."), said(Sort.REFUSAL, "No.")))
    assert [each.text for each in reply.of(Sort.REFUSAL)] == ["No."]
    assert reply.refused
    assert not Reply((said(Sort.QUESTION, "Another?"),)).refused
