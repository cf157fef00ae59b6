"""The ear: a process of its own, which listens and writes what it heard.

It is started as `python -m callout.edges.ear.process FOLDER`, so that a crash of the recognizer's
native code cannot end the game. It works in that private folder, and removes it at its end.

Standard input takes the commands of `messages.py`, standard output gives its events, a JSON object
a line each. The process ends when its input does.
"""

from __future__ import annotations

import json
import math
import os
import queue
import shutil
import signal
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import replace
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING, Final, assert_never

import numpy as np

from callout.edges.ear.device import open_microphone
from callout.edges.ear.listening import FILE_PATIENCE_S, Ear, HeldEar, OpenEar, TappedEar
from callout.edges.ear.messages import (
    COMMANDS,
    EVENTS,
    Command,
    FileDone,
    Gate,
    HearFile,
    Idle,
    Level,
    Listen,
    Listening,
    Load,
    Mode,
    Press,
    Problem,
    Ready,
    Release,
    Told,
    Use,
)
from callout.edges.ear.recognizer import Models
from callout.edges.ear.sound import RATE_HZ, Samples, sound_blocks
from callout.errors import CalloutError, DeviceError
from callout.language.network import Network

if TYPE_CHECKING:
    from callout.edges.ear.microphone import Microphone

LEVEL_EVERY_S: Final = 1.0
"""The microphone's level is written once in this time."""

IDLE_S: Final = 2.0
"""A process that has written nothing else for this time writes that it lives."""

AFTER_FILE_S: Final = 1.0
"""Silence after a sound file, so that its last word is not at an edge."""

GATE_TAIL_S: Final = 0.25
"""The ear stays closed for this time after the table has spoken: the room still rings."""


class Process:
    """The ear's one thread of work: commands and sound come by one queue."""

    def __init__(
        self,
        folder: Path,
        tell: Callable[[Told], None] | None = None,
        microphone: Callable[..., Microphone] | None = None,
    ) -> None:
        """`tell` takes each event, `microphone` opens one as `open_microphone` does."""
        self._folder = folder
        self._tell = tell or print_event
        self._open_microphone = microphone or open_microphone
        self._inbox: queue.Queue[Command | Samples | None] = queue.Queue()
        self._models: Models | None = None
        self._others: threading.Thread | None = None
        self._name = "always"
        self._ear: Ear | None = None
        self._microphone: Microphone | None = None
        self._open_from: float = 0
        self._told_s = 0.0

    def run(self) -> int:
        """Work until the input ends."""
        threading.Thread(target=self._read, daemon=True).start()
        while (item := self._next()) is not None:
            try:
                if isinstance(item, np.ndarray):
                    self.sound(item)
                else:
                    self.command(item)
            except CalloutError as error:
                self._tell(_problem(error))
        if self._microphone is not None:
            self._microphone.close()
        self._wait_for_others()
        return 0

    def _next(self) -> Command | Samples | None:
        while True:
            try:
                return self._inbox.get(timeout=IDLE_S)
            except queue.Empty:
                self._tell(Idle())

    def _read(self) -> None:
        for line in sys.stdin:
            if not line.endswith("\n"):
                break  # the table died in the midst of a line
            self._inbox.put(COMMANDS.read(line))
        self._inbox.put(None)

    def command(self, command: Command) -> None:
        """Do what the table wants."""
        match command:
            case Load():
                self._load(command)
            case Use(name):
                self._use(name)
            case HearFile(path):
                self._hear_file(path)
            case Listen(device, mode):
                self._listen(device, mode)
            case Press():
                self._press()
            case Release():
                self._release()
            case Gate(closed):
                self._gate(closed)
            case _:
                assert_never(command)

    def _load(self, load: Load) -> None:
        models = Models(Path(load.model), self._folder, load.options)
        told = json.loads(Path(load.networks).read_text(encoding="utf-8"))
        others = {name: Network.from_dict(network) for name, network in told.items()}
        for network in others.values():
            models.check(network)
        models.use(self._name, others.pop(self._name))
        self._models = models
        self._others = threading.Thread(target=self._load_others, args=(models, others))
        self._tell(Ready())
        self._others.start()

    # Each takes 0.4 s: after a death the game waits for the first one only.
    def _load_others(self, models: Models, networks: dict[str, Network]) -> None:
        try:
            for name, network in networks.items():
                models.use(name, network)
        except CalloutError as error:
            self._tell(_problem(error))

    def _wait_for_others(self) -> None:
        if self._others is not None:
            self._others.join()

    def _use(self, name: str) -> None:
        self._wait_for_others()
        self._name = name
        if self._ear is not None and self._ear.network != name:
            self._ear.hear_by(name)

    def _hear_file(self, path: str) -> None:
        ear = OpenEar(self._loaded, self._name, FILE_PATIENCE_S)
        silence = np.zeros(int(AFTER_FILE_S * RATE_HZ), dtype=np.int16)
        try:
            for samples in chain(sound_blocks(Path(path), self._lives), [silence]):
                # Second by second: on a busy machine a longer block would look like a hang.
                for at in range(0, len(samples), RATE_HZ):
                    for utterance in ear.feed(samples[at : at + RATE_HZ]):
                        self._tell(utterance)
                    self._lives()
        except CalloutError as error:
            self._tell(FileDone(path, str(error)))
            return
        for utterance in ear.flush():
            self._tell(utterance)
        self._tell(FileDone(path))

    def _lives(self) -> None:
        """Write in the midst of work that it goes on."""
        now = time.monotonic()
        if now - self._told_s >= IDLE_S:
            self._told_s = now
            self._tell(Idle())

    def _listen(self, device: str | None, mode: Mode) -> None:
        kinds: dict[Mode, type[Ear]] = {
            Mode.OPEN: OpenEar,
            Mode.HOLD: HeldEar,
            Mode.TAP: TappedEar,
        }
        if self._microphone is not None:
            self._microphone.close()
            self._microphone = None
        self._ear = kinds[mode](self._loaded, self._name)
        # The new ear counts samples from zero: a moment of the former one means nothing to it.
        self._open_from = math.inf if math.isinf(self._open_from) else 0
        trouble = self._trouble
        self._microphone = self._open_microphone(device, self._inbox.put, trouble, patient=True)
        if self._microphone.is_open:
            self._tell(Listening(self._microphone.name, self._microphone.rate_hz))

    def _press(self) -> None:
        if isinstance(self._ear, HeldEar):
            self._ear.press()
        elif isinstance(self._ear, TappedEar):
            self._ear.tap(self._late_s)

    def _release(self) -> None:
        if isinstance(self._ear, HeldEar):
            self._ear.release(self._late_s)

    def _gate(self, closed: bool) -> None:
        at = self._ear.at if self._ear is not None else 0
        tail = (GATE_TAIL_S + self._late_s) * RATE_HZ
        self._open_from = math.inf if closed else at + tail

    def sound(self, samples: Samples) -> None:
        """Hear what the microphone gives."""
        if self._ear is None:
            return
        heard = np.zeros_like(samples) if self._ear.at < self._open_from else samples
        for utterance in self._ear.feed(heard):
            age_s = self._ear.at / RATE_HZ + self._late_s - utterance.end_s
            self._tell(replace(utterance, age_s=round(age_s, 3)))
        now = time.monotonic()
        if now - self._told_s >= LEVEL_EVERY_S:
            self._told_s = now
            self._tell(Level(int(np.abs(samples.astype(np.int32)).max(initial=0))))

    def _trouble(self, sort: str, what: str) -> None:
        self._tell(Problem(what, DeviceError.__name__, sort))

    @property
    def _late_s(self) -> float:
        """How long sound takes from the microphone to here."""
        return self._microphone.late_s if self._microphone is not None else 0.0

    @property
    def _loaded(self) -> Models:
        if self._models is None:
            raise CalloutError("the ear was told to listen before it was given a model")
        return self._models


def _problem(error: CalloutError) -> Problem:
    return Problem(str(error), type(error).__name__)


_telling = threading.Lock()


def print_event(event: Told) -> None:
    """Write one event to standard output; safe to use from several threads."""
    line = EVENTS.write(event)
    with _telling:
        sys.stdout.write(line + "\n")
        sys.stdout.flush()


def _end_with_a_thread(failed: threading.ExceptHookArgs) -> None:
    """End the process when one of its threads fails, so that another process is started."""
    sys.excepthook(failed.exc_type, failed.exc_value or failed.exc_type(), failed.exc_traceback)
    os._exit(1)


def main() -> int:
    """Run the ear's process.

    Ctrl-C at a terminal reaches every process of the group; the table decides when the ear ends.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.excepthook = _end_with_a_thread
    folder = Path(sys.argv[1])
    # One that was killed while it read its model has left copies of it.
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(mode=0o700)
    try:
        return Process(folder).run()
    finally:
        shutil.rmtree(folder, ignore_errors=True)


if __name__ == "__main__":
    sys.exit(main())
