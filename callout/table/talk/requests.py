"""Calls that are for the table itself: questions about the game, and how it speaks and listens.

They change nothing in the book, and so they are neither decided nor kept as entries.
"""

from __future__ import annotations

from dataclasses import dataclass

from callout.game import calls
from callout.game.calls import Call
from callout.game.decide import Refusal
from callout.game.notices.answers import answers
from callout.game.notices.kinds import Notice
from callout.game.state import At, Game
from callout.game.terms import Topic
from callout.table.speech.announcer import Command
from callout.table.speech.speaker import HORN, Speaker
from callout.table.speech.wording import found_of, words_of


@dataclass(frozen=True, slots=True)
class Done:
    """What came of a request."""

    notices: tuple[Notice, ...] = ()
    refusal: Refusal | None = None
    commands: tuple[Command, ...] = ()
    """What the voice does before any of that is said."""


class Requests:
    """Does what is asked of one table."""

    def __init__(self, speaker: Speaker) -> None:
        self._speaker = speaker
        self.listening = True
        """Whether spoken calls are taken; after `PauseListening` only `ListenAgain` is."""

    def do(self, call: Call, game: Game, moment: At) -> Done | None:
        """What comes of a request; None for a call that is for the book."""
        speaker = self._speaker
        match call:
            case calls.Ask():
                return self._ask(call, game, moment)
            case calls.RefereeTold():
                return _changed("told", speaker.told(), "nothing_to_tell")
            case calls.SayLevel(level=much):
                return _changed(f"said_{much.value}", speaker.say_much(much), "said_same")
            case calls.SayHow(manner=manner):
                commands = speaker.say_how(manner)
                return _changed(f"spoke_{manner.value}", bool(commands), "said_same", commands)
            case calls.SoundHorn():
                return Done(commands=speaker.sound(HORN).speech)
            case calls.PauseListening():
                was, self.listening = self.listening, False
                return _changed("paused", was, "already_paused")
            case calls.ListenAgain():
                was, self.listening = self.listening, True
                return _changed("listening", not was, "already_listening")
            case _:
                return None

    def _ask(self, ask: calls.Ask, game: Game, moment: At) -> Done:
        speaker = self._speaker
        if ask.topic is Topic.AGAIN:
            if not speaker.last:
                return Done(refusal=Refusal("nothing_said"))
            return Done((Notice("again", slots={"text": speaker.last}),))
        if ask.topic is Topic.ALOUD:
            told = speaker.aloud()
            if told is None:
                return Done(refusal=Refusal("nothing_to_tell"))
            return Done(commands=told.speech)
        found = found_of("no_answer", lambda: answers(game, ask, moment))
        has_words = any(words_of(speaker.replies, each, speaker.level) for each in found)
        return Done(found if has_words else (Notice("no_answer"),))


def _changed(kind: str, changed: bool, otherwise: str, commands: tuple[Command, ...] = ()) -> Done:
    """The echo of a change; a request that would change nothing is refused."""
    return Done((Notice(kind),), None, commands) if changed else Done(refusal=Refusal(otherwise))
