"""Ear, hands, clock, book and voice joined; one thread owns the game."""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable, Iterable, Sequence, Set
from pathlib import Path
from typing import Final

from callout.edges.ear.client import Hearing
from callout.edges.ear.messages import Event, Mode, Utterance
from callout.edges.ear.spoken_calls import Understood, understand
from callout.edges.live.devices import Device, beside_terminal, load_keys, open_devices
from callout.edges.live.displays import Displays, headline
from callout.edges.live.ear import CALLS_ALONE, WITH_ANSWERS, LiveEar
from callout.edges.live.going_out import GoingOut
from callout.edges.live.hands import Did, LiveHands
from callout.edges.live.inbox import (
    DeviceLacking,
    Inbox,
    InputEnded,
    Item,
    PageCalled,
    PageMade,
    PageSigned,
    Put,
    Sounded,
    TypedLine,
    read_lines,
)
from callout.edges.live.voice import LiveVoice, Outlets
from callout.edges.voice.voice import Voice, open_voice, replies_file
from callout.game import calls
from callout.game.calls import Call
from callout.game.notices.kinds import Notice
from callout.game.state import At
from callout.language.check import open_language
from callout.language.grammar import CALLS_PART, language_folder
from callout.table.book.journal import Journal
from callout.table.clock import MachineTime, at
from callout.table.hands.devices import Edge
from callout.table.language import parsers_of, replies_of, scope_of
from callout.table.session import Session
from callout.table.speech.announcer import Command
from callout.table.speech.kinds import KEYS_LACKING
from callout.table.speech.reply import Reply
from callout.table.talk.nearly import NearlyHeard
from callout.table.talk.questions import KEY, SPOKEN, Made

IDLE_S: Final = 0.2
"""The loop looks at the time at least once in this interval."""

SWITCH_S: Final = 0.0005
"""How soon the thread that foresees replies lets a key go on: at 0.005 one in ten waited 5 ms."""


class LiveTable:
    """One game at a table: all that comes is put on one queue, and only this takes from it."""

    part: str = CALLS_PART
    """Which calls of the language may be made at this table."""
    new_session: Callable[..., Session] = Session

    def __init__(
        self,
        journal: Journal,
        outlets: Outlets,
        displays: Displays | None = None,
        keys: Path | None = None,
        copy_to: Path | None = None,
        language: Path | None = None,
        *,
        time: MachineTime | None = None,
        opener: Callable[..., Voice] = open_voice,
        ear: Callable[..., Hearing] = Hearing,
    ) -> None:
        """`opener` opens a voice, `ear` starts an ear; a test passes its own, and its `time`."""
        self._inbox = Inbox()
        self.put: Put = self._inbox.put
        self._time = time or MachineTime(journal.last_ms())
        grammar = open_language(language or language_folder(), self.part)
        self._keymap = load_keys(keys, grammar, journal.setup)
        self._typed = self._spoken = parsers_of(grammar, scope_of(journal.setup))
        self.session = self.new_session(journal, replies_of(grammar), self._time)
        self._hands = LiveHands(self.session, self._time, grammar, self._keymap)
        self._devices: list[Device] = []
        code, otherwise = grammar.folder.resolve().name, replies_file(journal.path)
        self._voice = LiveVoice(outlets, self.put, self._time.seconds, otherwise, code, opener)
        if self._voice.tells:
            self.session.speaker.trust_voice()
        self._going_out = GoingOut(self.session, copy_to, self.put)
        self._ear = LiveEar(self.put, ear)
        self._nearly = NearlyHeard()
        self._input_ended = False
        self._displays = displays or Displays()

    # --- the ear ------------------------------------------------------------------------------

    def listen(self, model: Path, microphone: str | None, mode: Mode, lacking: Set[str]) -> None:
        """Start the ear; `lacking` are the game's own words that its model does not know."""
        # What is said while a key is held, or after a tap, needs no such word.
        wake = self.session.journal.setup.wake if mode is Mode.OPEN else ()
        self._spoken = self._typed.without(lacking).woken_by(wake)
        calls_alone, with_answers = self._spoken.calls, self._spoken.with_answers
        networks = {CALLS_ALONE: calls_alone.network, WITH_ANSWERS: with_answers.network}
        self._ear.listen(model, networks, microphone, mode)
        self._hands.talk = self if self._ear.waits_for_key else None
        self._hands.once = mode is Mode.TAP

    def run(self, typed: bool = False) -> None:
        """Take what comes until the input ends; `typed`: the terminal's keys write lines."""
        sys.setswitchinterval(SWITCH_S)
        self._displays.start(self.put)
        self._devices = open_devices(self._keymap, self.put, terminal=not typed)
        if beside_terminal(self._devices) == self._devices:
            threading.Thread(target=read_lines, args=(self.put,), daemon=True).start()
        print(headline(self.session.game), flush=True)
        self._act(self.session.opening(self._ear.mode is not None), "")
        self._voice.prepare(self.session.foresee())
        with self._inbox.with_ends():
            while self.running or self.session.announcer.busy:
                self.turn()
        self._draw()

    def turn(self, longest_s: float = IDLE_S) -> bool:
        """Take the next item, waiting at most this long for it; whether there was one."""
        # What is in the queue was called before what falls due now.
        if self._inbox.is_empty:
            self._act(self.session.tick(), "")
            self._did(self._hands.tick())
            if self._voice.settle():
                self._gate()
            self._draw()
        item = self._inbox.next(min(longest_s, self._wait_s()))
        if item is None:
            return False
        self._on(item)
        self._ear.hear_answers(self._asks())
        return True

    @property
    def running(self) -> bool:
        """Whether anything may come: with an ear, or other keys, a game needs no terminal."""
        keys = beside_terminal(self._devices)
        return not self._input_ended or self._ear.may_hear or bool(keys)

    def _wait_s(self) -> float:
        wake, hands_s = self.session.wake_ms(), self._hands.wake_s()
        waits = [IDLE_S] if hands_s is None else [IDLE_S, hands_s]
        if wake is not None:
            waits.append(max(0.0, (wake - self._time.wall_ms()) / 1000))
        return min(waits)

    # --- what comes -----------------------------------------------------------------------------

    def _on(self, item: Item) -> None:
        match item:
            case TypedLine(""):
                self._hands.set_talk(self._hands.once or not self._hands.talking)
            case TypedLine(words) | PageCalled(words):
                self._on_words(words)
            case PageSigned(words, by, reason):
                self._on_words(words, lambda call: calls.Signed(call, by, reason))
            case PageMade(call, words):
                self._act(self.session.take(call, KEY), words)
            case Edge():
                self._did(self._hands.feed(item))
            case Sounded():
                self._on_sound(item)
            case Notice():
                self._act(self.session.tell(item), "")
            case DeviceLacking(why):
                print(f"keys: {why}", file=sys.stderr, flush=True)
                self._on(Notice(KEYS_LACKING))
            case InputEnded():
                self._input_ended = True
            case _:
                self._on_ear(item)

    def _on_words(self, line: str, made: Made = None) -> None:
        parser, words = self._typed.now(self._asks()), self._typed.typed(line)
        self._act(self._hands.helped(line) or self.session.hear(parser, words, KEY, made), line)

    def _did(self, did: Iterable[Did]) -> None:
        for words, reply in did:
            self._act(reply, words)
            if not words:
                self._voice.prepare(self._hands.offered())

    def press(self) -> None:
        """The key to talk is down: the ear opens, and the table is quiet if the ear can hear."""
        if not self._ear.is_deaf:
            self._do(self.session.speaker.be_quiet())
        self._ear.press()

    def release(self) -> None:
        """The key to talk is up again."""
        self._ear.release()

    def _on_ear(self, event: Event) -> None:
        if isinstance(event, Utterance):
            self._heard(event)
        elif kind := self._ear.follow(event):
            self._on(Notice(kind))
        # What a key was pressed for has come, or never will: the table may speak again.
        if isinstance(event, Utterance) or self._ear.is_deaf:
            self._do(self.session.speaker.go_on())

    def _heard(self, utterance: Utterance) -> None:
        end_ms = self._time.wall_ms() - round(1000 * utterance.age_s)
        parser = self._spoken.now(self._asks())

        def moment(start_s: float) -> At:
            onset_ms = end_ms - round(1000 * (utterance.end_s - start_s))
            return at(self.session.game, onset_ms)

        def prior(call: Call, start_s: float) -> float:
            return self.session.prior(call, moment(start_s))

        def again(call: Call, start_s: float) -> bool:
            return self._nearly.has(call, moment(start_s).wall_ms)

        for understood in understand(parser, utterance, prior, again):
            call = understood.call
            if call is None:
                if nearly := understood.nearly:
                    self._nearly = self._nearly.after(nearly, moment(understood.start_s).wall_ms)
                self._not_heard(understood)
            elif self.session.listening or isinstance(call, calls.ListenAgain):
                if self._voice.sounds:
                    self._voice.hush()
                sound = moment(understood.start_s), understood.doubt, understood.others
                self._act(self.session.take(call, SPOKEN, *sound), understood.text)

    def _not_heard(self, understood: Understood) -> None:
        """With a key to talk, ask to say it again; an open ear ignores other people's talk."""
        if self._ear.waits_for_key:
            self._act(self.session.not_heard(SPOKEN), understood.text)

    def _on_sound(self, sounded: Sounded) -> None:
        self._voice.count(sounded)
        self._gate()
        match sounded:
            case Sounded(aloud=True):
                return  # no part of the talk with the scorer
            case Sounded("started", text):
                self._hands.started(text)
            case Sounded("finished", text) if text:
                self._do(self.session.spoken(text))
                self._hands.finished(text)
            case Sounded("stopped", text) if text:
                self._do(self.session.speaker.cut(text))

    def _gate(self) -> None:
        self._ear.gate(self._reaches_the_ear)

    @property
    def _reaches_the_ear(self) -> bool:
        """Whether anything sounds here that the microphone may hear."""
        return self._voice.reaches_the_ear

    # --- what goes out --------------------------------------------------------------------------

    def _act(self, reply: Reply, words: str) -> None:
        if words or reply.said:
            self._displays.called(words, reply, self.session.shown_tenths)
            if self._displays.read_beside_voice:
                self._voice.shown(reply.text)
        self._do(reply.speech)
        if reply.entries:
            self._going_out.after(reply.entries)
            self._voice.prepare(self.session.foresee())

    def _do(self, commands: Sequence[Command]) -> None:
        if self._voice.do(commands):
            self._voice.prepare(self.session.foresee())

    def _draw(self) -> None:
        left = self.session.shown_tenths
        self._displays.draw(self.session.game, left, self._ear_state, self._asks())

    def _ear_state(self) -> str:
        paused = self._ear.mode is not None and not self.session.listening
        return "paused" if paused else self._ear.state(self._hands.talking, self._reaches_the_ear)

    def _asks(self) -> bool:
        return self.session.dialogue.question is not None

    def close(self) -> None:
        """End the ear, and let the voice finish."""
        for device in self._devices:
            device.close()
        self._displays.close()
        self._ear.close()
        self._going_out.close()
        self._voice.close()
