"""`callout live`: ear, clock, book and voice joined; one thread owns the game."""

from __future__ import annotations

import queue
import sys
import threading
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

from callout.edges.copies import Copies
from callout.edges.hearing import Event, Hearing
from callout.edges.models import find_model
from callout.edges.terminal import Board
from callout.edges.understood import Understood, understand
from callout.edges.voice import open_voice
from callout.errors import CalloutError
from callout.game.notice import Notice
from callout.language.check import load_language
from callout.language.grammar import language_folder
from callout.language.network import compile_network
from callout.language.parser import Parser
from callout.table.announcer import Command, Hush
from callout.table.asking import SPOKEN
from callout.table.clock import MachineTime, at, clock_text
from callout.table.journal import Journal
from callout.table.reply import Reply
from callout.table.script import replies_of, scope_of
from callout.table.session import Session
from callout.table.setup import read_setup
from callout.table.view import view

MODEL: Final = "vosk-model-en"
IDLE_S: Final = 0.2
"""The loop looks at the time at least so often."""


def live(
    game: Path,
    setup: Path | None = None,
    ear: str = "open",
    voice: str = "auto",
    microphone: str | None = None,
    headset: str | None = None,
    screen: bool = False,
    copy_to: Path | None = None,
) -> int:
    """Run a game until it is told to stop; the exit status.

    Raises:
        CalloutError: the game, its setup, the model or a device is wrong.
    """
    if ear not in ("open", "hold", "off"):
        raise CalloutError(f"--ear: expected hold, open or off, got {ear!r}")
    with _journal(game, setup) as journal:
        table = LiveTable(journal, voice, headset, screen, copy_to)
        try:
            if ear != "off":
                table.listen(find_model(MODEL), microphone, ear)
            table.run()
        except KeyboardInterrupt:
            print("The game is kept. To go on: callout live", game, file=sys.stderr)
        finally:
            table.close()
    return 0


def _journal(game: Path, setup: Path | None) -> Journal:
    """The game's journal, made if it is new."""
    if game.exists():
        return Journal.open(game)
    if setup is None:
        raise CalloutError(f"{game}: a new game needs its teams: --setup FILE")
    return Journal.create(game, read_setup(setup))


def _replies_file(game: Path) -> Path:
    """Where replies are spoken to if there is no sound device; no game writes over another's."""
    names = ("-replies.wav", *(f"-replies-{nth}.wav" for nth in range(2, 100)))
    paths = [game.with_name(game.name + name) for name in names]
    return next((path for path in paths if not path.exists()), paths[-1])


class LiveTable:
    """One game at a table: edges put on one queue, and only this takes from it."""

    def __init__(
        self,
        journal: Journal,
        voice: str,
        headset: str | None,
        screen: bool = False,
        copy_to: Path | None = None,
    ) -> None:
        self._inbox: queue.Queue[tuple[str, Any]] = queue.Queue()
        self._time = MachineTime(journal.last_ms())
        self._grammar = grammar = load_language(language_folder())
        self._scope = scope_of(journal.setup)
        self._parsers = tuple(Parser(grammar, self._scope, when) for when in ("any", "always"))
        self.session = Session(journal, replies_of(grammar), self._time)
        self._voice = open_voice(
            voice,
            lambda: self._time.wall_ms() / 1000,
            headset,
            lambda what, text: self._inbox.put((what, text)),
            _replies_file(journal.path),
        )
        self._copies = Copies(self.session, copy_to, lambda n: self._inbox.put(("notice", n)))
        self._hearing: Hearing | None = None
        self._deaf = False
        self._mode = "off"
        self._held = False
        self._asked = False
        self._sounding = 0
        self._running = True
        names = {"home": journal.setup.home.name, "guest": journal.setup.guest.name}
        self._board = Board(names) if screen and sys.stdout.isatty() else None

    # --- the ear ------------------------------------------------------------------------------

    def listen(self, model: Path, microphone: str | None, mode: str) -> None:
        """Start the ear."""
        networks = {
            name: compile_network(self._grammar, self._scope, when)
            for name, when in (("always", "always"), ("question", "any"))
        }
        self._mode = mode
        self._hearing = Hearing(model, networks, lambda event: self._inbox.put(("ear", event)))
        self._hearing.start()
        self._hearing.listen(microphone, mode)

    def run(self) -> None:
        """Take what comes until the input ends or the game is told to stop."""
        threading.Thread(target=self._read_lines, daemon=True).start()
        self._show_state()
        self._act(self.session.opening(), "")
        self._voice.prepare(self.session.foresee())
        while self._running or self._speaking():
            self._act(self.session.tick(), "")
            self._draw()
            try:
                kind, what = self._inbox.get(timeout=self._wait_s())
            except queue.Empty:
                continue
            getattr(self, f"_on_{kind}")(what)
            self._follow_question()

    def _speaking(self) -> bool:
        """Whether something is being said, or waits for its turn."""
        announcer = self.session.announcer
        return announcer.speaking is not None or bool(announcer.queue)

    def _wait_s(self) -> float:
        wake = self.session.wake_ms()
        if wake is None:
            return IDLE_S
        return min(IDLE_S, max(0.0, (wake - self._time.wall_ms()) / 1000))

    def _read_lines(self) -> None:
        for line in sys.stdin:
            self._inbox.put(("line", line.strip()))
        self._inbox.put(("end", None))

    # --- what comes -----------------------------------------------------------------------------

    def _on_line(self, line: str) -> None:
        """A call typed at the terminal; an empty line is the pedal of a held ear."""
        if line:
            self._act(self.session.hear(self._now_parsers(), line, "key"), line)
        elif self._hearing is not None and self._mode == "hold":
            self._held = not self._held
            if self._held:
                self._voice.hush()
                self._hearing.press()
            else:
                self._hearing.release()

    def _on_end(self, _: None) -> None:
        # With an ear, the game goes on without a terminal.
        self._running = self._hearing is not None

    def _on_ear(self, event: Event) -> None:
        kinds = {"utterance": self._heard, "problem": self._trouble, "gone": self._gone}
        act = kinds.get(event["event"])
        if act is not None:
            act(event)
        elif event["event"] in ("listening", "died"):
            print(f"ear: {event['event']} {event.get('device', '')}", file=sys.stderr)
            was, self._deaf = self._deaf, event["event"] == "died"
            if was != self._deaf:
                self._on_notice("recognizer_gone" if self._deaf else "recognizer_back")

    def _on_notice(self, notice: Notice | str) -> None:
        """Something happened beside the game; where its kind says it all, that is enough."""
        kind = notice if isinstance(notice, Notice) else Notice(notice)
        self._act(self.session.tell(kind), "")

    def _heard(self, event: Event) -> None:
        end_ms = self._time.wall_ms() - round(1000 * event.get("age_s", 0.0))
        for each in understand(self._now_parsers()[0], event):
            understood = each.weighed(self.session.prior)
            if understood.sentence is None or understood.sentence.call is None:
                self._not_heard(understood)
                continue
            onset_ms = end_ms - round(1000 * (event["end_s"] - understood.start_s))
            moment = at(self.session.game, onset_ms)
            if self.session.listening or understood.sentence.name == "listen_again":
                call, doubt = understood.sentence.call, understood.doubt
                self._act(self.session.take(call, SPOKEN, moment, doubt), understood.text)

    def _not_heard(self, understood: Understood) -> None:
        """Open, the ear is silent about other people's talk; held, a failure must be heard."""
        if self._mode == "hold":
            self._act(self.session.hear((), understood.text, "voice"), understood.text)

    def _trouble(self, event: Event) -> None:
        print(f"ear: {event['what']}", file=sys.stderr)
        if event.get("kind") in ("ModelError", "CalloutError"):
            raise CalloutError(str(event["what"]))
        self._act(self.session.tell_of_ear(event.get("sort", "absent")), "")

    def _gone(self, event: Event) -> None:
        print("ear: it keeps dying, and is off; type the calls", file=sys.stderr)
        self._act(self.session.tell_of_ear("gone"), "")
        self._hearing = None

    def _on_started(self, text: str) -> None:
        self._gate(1)

    def _on_finished(self, text: str) -> None:
        self._gate(-1)
        if text:
            self._do(self.session.spoken())

    def _on_stopped(self, text: str) -> None:
        self._gate(-1)

    def _gate(self, more: int) -> None:
        """Open, the ear is closed while anything sounds: what begins may overlap what ends."""
        self._sounding += more
        if self._hearing is not None and self._mode == "open":
            self._hearing.gate(self._sounding > 0)

    # --- what goes out --------------------------------------------------------------------------

    def _act(self, reply: Reply, words: str) -> None:
        self._do(reply.speech)
        if reply.entries:
            self._copies.after(reply.entries)
            self._voice.prepare(self.session.foresee())
        if words or reply.said:
            left = clock_text(self.session.now().left_tenths)
            if self._board is not None:
                self._board.called(words or "(table)", reply.text)
                return
            print(f"{left:>6}  {words or '(table)'}  ->  {reply.text}", flush=True)

    def _do(self, commands: Sequence[Command]) -> None:
        for command in commands:
            if isinstance(command, Hush):
                self._voice.hush()
            else:
                self._voice.speak(command.text, command.tone)

    def _draw(self) -> None:
        if self._board is not None:
            self._board.ear = self._ear_state()
            self._board.show(view(self.session.game, self.session.now().left_tenths))

    def _ear_state(self) -> str:
        if self._hearing is None or not self.session.listening:
            return "off" if self._hearing is None else "paused"
        if self._mode == "hold":
            return "held" if self._held else "waits for the key"
        return "waits for the voice" if self._sounding else "open"

    def _follow_question(self) -> None:
        """Answers are heard only while a question is open."""
        asked = self.session.dialogue.question is not None
        if self._hearing is not None and asked != self._asked:
            self._hearing.use("question" if asked else "always")
        self._asked = asked

    def _now_parsers(self) -> tuple[Parser, ...]:
        asked = self.session.dialogue.question is not None
        return self._parsers if asked else self._parsers[1:]

    def _show_state(self) -> None:
        game = self.session.game
        print(f"{game.home.name} - {game.guest.name}: {game.entry} entries", flush=True)

    def close(self) -> None:
        """End the ear, and let the voice finish."""
        if self._board is not None:
            self._board.close()
        if self._hearing is not None:
            self._hearing.close()
        self._copies.close()
        self._voice.close()
