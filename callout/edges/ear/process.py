"""The ear: a process of its own that listens and tells in lines of JSON what it heard.

It is started as `python -m callout.edges.ear.process FOLDER`, so that a crash of the recognizer's
native code cannot take the game along; it works in that private folder, and takes it away at its
end.
Standard input takes one command a line, `{"do": …}`:

    load      model, networks, options               read the model and, of a JSON file of networks
                                                     by name, the one that is in use; answers
                                                     `ready`, and reads the others
    use       name                                   hear by the network of that name
    file      path                                   hear a sound file; answers `done`
    listen    device, mode ("open", "hold", "tap")   hear the microphone
    press, release                                   the pedal, while `listen` holds or is tapped
    gate      closed                                 hear nothing while the table itself speaks
    quit

Standard output gives one event a line: `ready`, `utterance`, `level`, `problem`, `done`; and
`idle`, where it has had nothing else to tell for a while: it lives.
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
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from callout.edges.ear.listening import FILE_PATIENCE_S, Ear, HeldEar, OpenEar, TappedEar
from callout.edges.ear.recognizer import Models, Options
from callout.edges.ear.sound import RATE_HZ, Samples, sound_blocks
from callout.errors import CalloutError, DeviceError
from callout.language.network import Network

if TYPE_CHECKING:
    from callout.edges.ear.microphone import Microphone

LEVEL_EVERY_S: Final = 1.0
"""How often the microphone's level is told."""

IDLE_S: Final = 2.0
"""How often one that has nothing to tell says that it lives."""

AFTER_FILE_S: Final = 1.0
"""Silence after a sound file, so that its last word is not at an edge."""

GATE_TAIL_S: Final = 0.25
"""The ear stays closed so long after the table has spoken: the room still rings."""


class Process:
    """The ear's one thread of work: commands and sound come by one queue."""

    def __init__(
        self,
        folder: Path,
        tell: Callable[..., None] | None = None,
        microphone: Callable[..., Microphone] | None = None,
    ) -> None:
        """`tell` takes an event and its fields, `microphone` opens one as `open_microphone`."""
        self._folder = folder
        self._tell = tell or print_event
        self._open_microphone = microphone or open_microphone
        self._inbox: queue.Queue[dict[str, Any] | Samples | None] = queue.Queue()
        self._models: Models | None = None
        self._others: threading.Thread | None = None
        self._name = "always"
        self._ear: Ear | None = None
        self._microphone: Microphone | None = None
        self._open_from: float = 0
        self._told_s = 0.0

    def run(self) -> int:
        """Work until told to quit, or until nobody is there to tell."""
        threading.Thread(target=self._read, daemon=True).start()
        while (item := self._next()) is not None:
            try:
                if isinstance(item, dict):
                    self.command(item)
                else:
                    self.sound(item)
            except CalloutError as error:
                self._tell("problem", what=str(error), kind=type(error).__name__)
        if self._microphone is not None:
            self._microphone.close()
        self._wait_for_others()
        return 0

    def _next(self) -> dict[str, Any] | Samples | None:
        while True:
            try:
                return self._inbox.get(timeout=IDLE_S)
            except queue.Empty:
                self._tell("idle")

    def _read(self) -> None:
        for line in sys.stdin:
            try:
                command = json.loads(line)
            except json.JSONDecodeError:
                break  # the table died in the midst of a line
            self._inbox.put(None if command["do"] == "quit" else command)
        self._inbox.put(None)

    def command(self, command: dict[str, Any]) -> None:
        """Do what a line of standard input says."""
        do = command.pop("do")
        getattr(self, f"_do_{do}")(**command)

    def _do_load(self, model: str, networks: str, options: dict[str, Any]) -> None:
        models = Models(Path(model), self._folder, Options(**options))
        told = json.loads(Path(networks).read_text(encoding="utf-8"))
        others = {name: Network.from_dict(network) for name, network in told.items()}
        for network in others.values():
            models.check(network)
        models.use(self._name, others.pop(self._name))
        self._models = models
        self._others = threading.Thread(target=self._load_others, args=(models, others))
        self._tell("ready")
        self._others.start()

    # Each takes four tenths of a second: after a death the game waits for the first one only.
    def _load_others(self, models: Models, networks: dict[str, Network]) -> None:
        try:
            for name, network in networks.items():
                models.use(name, network)
        except CalloutError as error:
            self._tell("problem", what=str(error), kind=type(error).__name__)

    def _wait_for_others(self) -> None:
        if self._others is not None:
            self._others.join()

    def _do_use(self, name: str) -> None:
        self._wait_for_others()
        self._name = name
        if self._ear is not None and self._ear.network != name:
            self._ear.hear_by(name)

    def _do_file(self, path: str) -> None:
        ear = OpenEar(self._loaded, self._name, FILE_PATIENCE_S)
        silence = np.zeros(int(AFTER_FILE_S * RATE_HZ), dtype=np.int16)
        try:
            for samples in chain(sound_blocks(Path(path), self._lives), [silence]):
                # By the second: a block of many would look like a hang where the machine is busy.
                for at in range(0, len(samples), RATE_HZ):
                    for utterance in ear.feed(samples[at : at + RATE_HZ]):
                        self._tell("utterance", path=path, **utterance)
                    self._lives()
        except CalloutError as error:
            self._tell("done", path=path, problem=str(error))
            return
        for utterance in ear.flush():
            self._tell("utterance", path=path, **utterance)
        self._tell("done", path=path, problem=None)

    def _lives(self) -> None:
        """Tell in the midst of work that it goes on."""
        now = time.monotonic()
        if now - self._told_s >= IDLE_S:
            self._told_s = now
            self._tell("idle")

    def _do_listen(self, device: str | None, mode: str) -> None:
        kinds: dict[str, type[Ear]] = {"open": OpenEar, "hold": HeldEar, "tap": TappedEar}
        if self._microphone is not None:
            self._microphone.close()
            self._microphone = None
        self._ear = kinds[mode](self._loaded, self._name)
        # The moment from which it is open is one of the ear before.
        self._open_from = math.inf if math.isinf(self._open_from) else 0
        trouble = self._trouble
        self._microphone = self._open_microphone(device, self._inbox.put, trouble, patient=True)
        if self._microphone.is_open:
            self._tell("listening", device=self._microphone.name, rate_hz=self._microphone.rate_hz)

    def _do_press(self) -> None:
        if isinstance(self._ear, HeldEar):
            self._ear.press()
        elif isinstance(self._ear, TappedEar):
            self._ear.tap(self._late_s)

    def _do_release(self) -> None:
        if isinstance(self._ear, HeldEar):
            self._ear.release(self._late_s)

    def _do_gate(self, closed: bool) -> None:
        at = self._ear.at if self._ear is not None else 0
        tail = (GATE_TAIL_S + self._late_s) * RATE_HZ
        self._open_from = math.inf if closed else at + tail

    def sound(self, samples: Samples) -> None:
        """Hear what the microphone gives."""
        if self._ear is None:
            return
        heard = np.zeros_like(samples) if self._ear.at < self._open_from else samples
        for utterance in self._ear.feed(heard):
            age_s = self._ear.at / RATE_HZ + self._late_s - utterance["end_s"]
            self._tell("utterance", age_s=round(age_s, 3), **utterance)
        now = time.monotonic()
        if now - self._told_s >= LEVEL_EVERY_S:
            self._told_s = now
            self._tell("level", peak=int(np.abs(samples.astype(np.int32)).max(initial=0)))

    def _trouble(self, sort: str, what: str) -> None:
        self._tell("problem", what=what, kind="DeviceError", sort=sort)

    @property
    def _late_s(self) -> float:
        """How long sound takes from the microphone to here."""
        return self._microphone.late_s if self._microphone is not None else 0.0

    @property
    def _loaded(self) -> Models:
        if self._models is None:
            raise CalloutError("the ear was told to listen before it was given a model")
        return self._models


def open_microphone(
    device: str | None,
    take: Callable[[Samples], None],
    trouble: Callable[[str, str], None],
    patient: bool = False,
) -> Microphone:
    """The microphone of that name.

    Raises:
        DeviceError: there is none, or the library for sound devices is missing.
    """
    try:
        # Imported late: sound files are heard on machines without that library, too.
        from callout.edges.ear.microphone import Microphone
    except OSError as error:
        raise DeviceError(f"no sound devices: {error}; install libportaudio2") from None
    microphone = Microphone(device, take, trouble, patient)
    microphone.start()
    return microphone


_telling = threading.Lock()


def print_event(event: str, **fields: Any) -> None:
    """Write one event, in ASCII: a file's name may hold what no encoding can write."""
    line = json.dumps({"event": event, **fields})
    with _telling:
        sys.stdout.write(line + "\n")
        sys.stdout.flush()


def _end_with_a_thread(failed: threading.ExceptHookArgs) -> None:
    """End the process where one of its threads failed: one that hears no longer is started anew."""
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
