"""Calls that are for the table itself: questions about the game, and how it speaks and listens.

They change nothing in the book, and so they are neither decided nor kept as entries.
"""

from __future__ import annotations

from dataclasses import dataclass

from callout.game import calls
from callout.game.calls import Call
from callout.game.decide import Refusal
from callout.game.kind import Kind, Reason
from callout.game.notices.answers import answers
from callout.game.notices.kinds import Notice
from callout.game.state import At, Game
from callout.game.terms import Topic
from callout.table.speech import kinds
from callout.table.speech.announcer import Command
from callout.table.speech.speaker import Speaker
from callout.table.speech.wording import found_of, words_of
from callout.table.talk.questions import KEY


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
                return _changed(kinds.TOLD, speaker.told(), kinds.NOTHING_TO_TELL)
            case calls.SayLevel(level=much):
                return _changed(kinds.SAID[much], speaker.say_much(much), kinds.SAID_SAME)
            case calls.SayHow(manner=manner):
                commands = speaker.say_how(manner)
                return _changed(kinds.SPOKE[manner], bool(commands), kinds.SAID_SAME, commands)
            case calls.SoundHorn():
                return Done(commands=speaker.horn().speech)
            case calls.PauseListening():
                was, self.listening = self.listening, False
                return _changed(kinds.PAUSED, was, kinds.ALREADY_PAUSED)
            case calls.ListenAgain():
                was, self.listening = self.listening, True
                return _changed(kinds.LISTENING, not was, kinds.ALREADY_LISTENING)
            case _:
                return None

    def may(self, call: Call) -> bool:
        """Whether a request would do something now; True for any other call."""
        match call:
            case calls.RefereeTold() | calls.Ask(topic=Topic.ALOUD):
                return bool(self._speaker.announcer.pending)
            case calls.PauseListening():
                return self.listening
            case calls.ListenAgain():
                return not self.listening
        return True

    def _ask(self, ask: calls.Ask, game: Game, moment: At) -> Done:
        speaker = self._speaker
        if ask.topic is Topic.AGAIN:
            if not speaker.last:
                return Done(refusal=Refusal(kinds.NOTHING_SAID))
            return Done((Notice(kinds.AGAIN, slots={"text": speaker.last}),))
        if ask.topic is Topic.ALOUD:
            told = speaker.aloud()
            if told is None:
                return Done(refusal=Refusal(kinds.NOTHING_TO_TELL))
            return Done(commands=told.speech)
        found = found_of(kinds.NO_ANSWER, lambda: answers(game, ask, moment))
        has_words = any(words_of(speaker.replies, each, speaker.level) for each in found)
        return Done(found if has_words else (Notice(kinds.NO_ANSWER),))


def _changed(
    kind: Kind, changed: bool, otherwise: Reason, commands: tuple[Command, ...] = ()
) -> Done:
    """The echo of a change; a request that would change nothing is refused."""
    return Done((Notice(kind),), None, commands) if changed else Done(refusal=Refusal(otherwise))


def unknown(source: str) -> Kind:
    """What is said of words that make no call: who typed them can read how to go on."""
    return kinds.UNREAD if source == KEY else kinds.UNHEARD
