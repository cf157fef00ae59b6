"""Ear, hands, clock, book and voice joined; one thread owns the game."""

from __future__ import annotations

import queue
import sys
import threading
from collections.abc import Callable, Iterable, Sequence, Set
from pathlib import Path
from typing import Any, Final

from callout.edges.ear.client import Event, Hearing
from callout.edges.ear.own_threshold import own_ear_file, own_options
from callout.edges.ear.spoken_calls import Understood, understand
from callout.edges.keys.terminal import TerminalKeys
from callout.edges.live.copies import Copies
from callout.edges.live.ear import LiveEar
from callout.edges.live.hands import Device, Did, LiveHands, load_keys, open_devices
from callout.edges.live.screen import Board
from callout.edges.live.voice import LiveVoice, Outlets
from callout.edges.voice.voice import Voice, open_voice, replies_file
from callout.game import calls
from callout.game.notices.kinds import Notice
from callout.game.state import At
from callout.language.check import load_language
from callout.language.grammar import language_folder
from callout.table.book.journal import Journal
from callout.table.clock import MachineTime, at, clock_text
from callout.table.hands.devices import Edge
from callout.table.language import Parsers, replies_of, scope_of
from callout.table.session import Session
from callout.table.speech.announcer import Command
from callout.table.speech.kinds import TALK_KINDS
from callout.table.speech.reply import Reply
from callout.table.talk.questions import SPOKEN
from callout.table.view import view

IDLE_S: Final = 0.2
"""The loop looks at the time at least so often."""

SWITCH_S: Final = 0.0005
"""So soon a thread that foresees replies lets a key go on: at 0.005 one in ten waited for 5 ms."""


class LiveTable:
    """One game at a table: edges put on one queue, and only this takes from it."""

    def __init__(
        self,
        journal: Journal,
        outlets: Outlets,
        screen: bool = False,
        keys: Path | None = None,
        copy_to: Path | None = None,
        language: Path | None = None,
        *,
        time: MachineTime | None = None,
        opener: Callable[..., Voice] = open_voice,
        ear: Callable[..., Hearing] = Hearing,
    ) -> None:
        """A test passes its own `time`, `opener`, which opens a voice, and `ear`."""
        self._inbox: queue.Queue[tuple[str, Any]] = queue.Queue()
        self.put = self._inbox.put
        """Put a kind and plain data on the queue, from any thread."""
        self._time = time or MachineTime(journal.last_ms())
        grammar = load_language(language or language_folder())
        self._keymap = load_keys(keys, grammar, journal.setup)
        self._typed = self._spoken = Parsers(grammar, scope_of(journal.setup))
        self.session = Session(journal, replies_of(grammar), self._time)
        self._hands = LiveHands(self.session, self._time, grammar, self._keymap)
        self._devices: list[Device] = []
        code, otherwise = grammar.folder.resolve().name, replies_file(journal.path)
        self._voice = LiveVoice(outlets, self.put, self._time_s, otherwise, code, opener)
        if self._voice.tells:
            self.session.speaker.trust_voice()
        self._copies = Copies(self.session, copy_to, lambda n: self.put(("notice", n)))
        self._new_ear = ear
        self._hearing: Hearing | None = None
        self._ear = LiveEar()
        self._mode = "off"
        self._asked = False
        self._running = True
        names = {"home": journal.setup.home.name, "guest": journal.setup.guest.name}
        self._board = Board(names) if screen and sys.stdout.isatty() else None

    def _time_s(self) -> float:
        return self._time.wall_ms() / 1000

    # --- the ear ------------------------------------------------------------------------------

    def listen(self, model: Path, microphone: str | None, mode: str, lacking: Set[str]) -> None:
        """Start the ear; `lacking` are own words of the game that it does not know."""
        # With a key held or tapped, what is said is meant.
        wake = self.session.journal.setup.wake if mode == "open" else ()
        self._spoken = self._typed.without(lacking).woken_by(wake)
        calls_alone, with_answers = self._spoken.calls, self._spoken.with_answers
        networks = {"always": calls_alone.network, "question": with_answers.network}
        self._mode = mode
        own = own_options(own_ear_file())
        self._hearing = self._new_ear(model, networks, lambda each: self.put(("ear", each)), own)
        self._hearing.start()
        self._hearing.listen(microphone, mode)
        self._hands.talk = self if mode in ("hold", "tap") else None
        self._hands.once = mode == "tap"

    def run(self, typed: bool = False) -> None:
        """Take what comes until the input ends or the game is told to stop.

        `typed`: the terminal's keys write lines, and make no calls by themselves.
        """
        sys.setswitchinterval(SWITCH_S)
        self._devices = open_devices(self._keymap, self.put, terminal=not typed)
        if not any(isinstance(device, TerminalKeys) for device in self._devices):
            threading.Thread(target=self._read_lines, daemon=True).start()
        game = self.session.game
        print(f"{game.home.name} - {game.guest.name}: {game.entry} entries", flush=True)
        self._act(self.session.opening(), "")
        self._voice.prepare(self.session.foresee())
        while self._running or self.session.announcer.busy:
            self.turn()
        self._draw()

    def turn(self, longest_s: float = IDLE_S) -> bool:
        """Take the next thing, waiting so long for it; whether there was one."""
        # What has come already was called before what falls due now.
        if self._inbox.empty():
            self._act(self.session.tick(), "")
            self._did(self._hands.tick())
            if self._voice.settle():
                self._gate("forgotten")
            self._draw()
        try:
            kind, what = self._inbox.get(timeout=min(longest_s, self._wait_s()))
        except queue.Empty:
            return False
        getattr(self, f"_on_{kind}")(what)
        self._follow_question()
        return True

    def _wait_s(self) -> float:
        wake, hands_s = self.session.wake_ms(), self._hands.wake_s()
        waits = [IDLE_S] if hands_s is None else [IDLE_S, hands_s]
        if wake is not None:
            waits.append(max(0.0, (wake - self._time.wall_ms()) / 1000))
        return min(waits)

    def _read_lines(self) -> None:
        for line in sys.stdin:
            self.put(("line", line.strip()))
        self.put(("end", None))

    # --- what comes -----------------------------------------------------------------------------

    def _on_line(self, line: str) -> None:
        """A call typed at the terminal; an empty line is the pedal of a held ear."""
        if line:
            words = self._typed.typed(line)
            self._act(self.session.hear(self._typed.now(self._asks()), words, "key"), line)
        else:
            self._hands.set_talk(self._hands.once or not self._hands.talking)

    def _on_edge(self, edge: Edge) -> None:
        self._did(self._hands.feed(edge))

    def _on_lacking(self, why: str) -> None:
        print(f"keys: {why}", file=sys.stderr, flush=True)  # for reading, not for hearing
        self._on_notice("keys_lacking")

    def _did(self, did: Iterable[Did]) -> None:
        for words, reply in did:
            self._act(reply, words)
            if not words:
                self._voice.prepare(self._hands.offered())

    def press(self) -> None:
        """The key to talk is down: the table says nothing into an ear that hears, and it opens."""
        if self._hearing is not None:
            if not self._ear.is_deaf:
                self._do(self.session.speaker.be_quiet())
            self._hearing.press()

    def release(self) -> None:
        """The key to talk is up again."""
        if self._hearing is not None:
            self._hearing.release()

    def _on_end(self, _: None) -> None:
        # With an ear, or keys of another kind, the game goes on without a terminal.
        others = [each for each in self._devices if not isinstance(each, TerminalKeys)]
        self._running = self._hearing is not None or bool(others)

    def _on_ear(self, event: Event) -> None:
        if event["event"] == "utterance":
            self._heard(event)
        elif kind := self._ear.follow(event):
            self._on_notice(kind)
        if event["event"] == "utterance" or self._ear.is_deaf:
            # What a key was pressed for has come, or never will; its echo waits with the rest.
            self._do(self.session.speaker.go_on())

    def _on_notice(self, notice: Notice | str) -> None:
        told = notice if isinstance(notice, Notice) else Notice(TALK_KINDS[notice])
        self._act(self.session.tell(told), "")

    def _heard(self, event: Event) -> None:
        end_ms = self._time.wall_ms() - round(1000 * event.get("age_s", 0.0))
        parser = self._spoken.now(self._asks())

        def moment(start_s: float) -> At:
            onset_ms = end_ms - round(1000 * (event["end_s"] - start_s))
            return at(self.session.game, onset_ms)

        prior = self.session.prior
        for understood in understand(parser, event, lambda call, at_s: prior(call, moment(at_s))):
            call = understood.call
            if call is None:
                self._not_heard(understood)
            elif self.session.listening or isinstance(call, calls.ListenAgain):
                if self._voice.sounds:
                    self._voice.hush()
                began, doubt = moment(understood.start_s), understood.doubt
                self._act(self.session.take(call, SPOKEN, began, doubt), understood.text)

    def _not_heard(self, understood: Understood) -> None:
        """Open, the ear is silent about other people's talk; asked for, a failure is heard."""
        if self._mode in ("hold", "tap"):
            self._act(self.session.not_heard(SPOKEN), understood.text)

    def _on_started(self, text: str) -> None:
        self._gate("started")
        self._hands.started(text)

    def _on_finished(self, text: str) -> None:
        self._gate("finished")
        if text:
            self._do(self.session.spoken(text))
            self._hands.finished(text)

    def _on_stopped(self, text: str) -> None:
        self._gate("stopped")
        if text:
            self._do(self.session.speaker.cut(text))

    def _on_aloud(self, what: str) -> None:
        self._gate(what, aloud=True)

    def _gate(self, what: str, aloud: bool = False) -> None:
        """Open, the ear is closed to what it would hear; one that is asked for cuts the voice."""
        self._voice.count(what, aloud)
        if self._hearing is not None and self._mode == "open":
            self._hearing.gate(self._voice.reaches_the_ear)

    # --- what goes out --------------------------------------------------------------------------

    def _act(self, reply: Reply, words: str) -> None:
        if words or reply.said:
            left = clock_text(self.session.now().left_tenths)
            if self._board is not None:
                self._board.called(words or "(table)", reply.text)
            else:
                print(f"{left:>6}  {words or '(table)'}  ->  {reply.text}", flush=True)
        self._do(reply.speech)
        if reply.entries:
            self._copies.after(reply.entries)
            self._voice.prepare(self.session.foresee())

    def _do(self, commands: Sequence[Command]) -> None:
        if self._voice.do(commands):
            self._voice.prepare(self.session.foresee())

    def _draw(self) -> None:
        if self._board is not None:
            self._board.ear = self._ear_state()
            self._board.show(view(self.session.game, self.session.now().left_tenths))

    def _ear_state(self) -> str:
        if self._hearing is None or not self.session.listening:
            return "off" if self._hearing is None else "paused"
        return self._ear.state(self._mode, self._hands.talking, self._voice.reaches_the_ear)

    def _follow_question(self) -> None:
        """Answers are heard only while a question is open."""
        asked = self._asks()
        if self._hearing is not None and asked != self._asked:
            self._hearing.use("question" if asked else "always")
        self._asked = asked

    def _asks(self) -> bool:
        return self.session.dialogue.question is not None

    def close(self) -> None:
        """End the ear, and let the voice finish."""
        for device in self._devices:
            device.close()
        if self._board is not None:
            self._board.close()
        if self._hearing is not None:
            self._hearing.close()
        self._copies.close()
        self._voice.close()
