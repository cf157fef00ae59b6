"""Plays, and what is said of calls, in the words of a language."""

from __future__ import annotations

from callout.edges.practice.key_hints import key_hint
from callout.game.notices.kinds import Notice
from callout.language.replies import Replies
from callout.practice import kinds
from callout.practice.facts import fact_of
from callout.practice.play import Play
from callout.practice.rehearsal import Remark
from callout.table.hands.keymap import KeyMap
from callout.table.speech.kinds import COACHED
from callout.words import Words


class Wording:
    """The words of practice."""

    def __init__(self, words: Replies, printed: Words) -> None:
        self._words = words
        self.partner = printed("partner")
        """In the place of a call's words where the program makes it."""

    def told(self, play: Play, keymap: KeyMap | None) -> str:
        """A play; in a lesson with the keys, if they are given and have some for its calls."""
        text = self._said(play.told)
        if keymap is None or not play.settled:
            return text
        hints = [key_hint(fact_of(call), keymap, self._words) for call in play.calls]
        if not hints or not all(hints):
            return text
        return f"{text} {self._said(Notice(kinds.LESSON_KEYS, {'keys': ', '.join(hints)}))}"

    def coached(self, remark: Remark) -> Notice:
        """What the table says of a call."""
        named = {"call": remark.call, "was": remark.was}
        slots = {name: self._lower(notice) for name, notice in named.items() if notice}
        notice = remark.notice
        text = self._words.say(notice.kind, {**notice.slots, **slots})
        return Notice(COACHED, {"text": text})

    def _lower(self, notice: Notice) -> str:
        said = self._said(notice)
        return said[:1].lower() + said[1:]

    def _said(self, notice: Notice) -> str:
        return self._words.say(notice.kind, notice.slots)
