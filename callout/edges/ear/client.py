"""The table's side of the ear: starts its process, tells it what to do, starts it again."""

from __future__ import annotations

import json
import sys
import threading
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import BinaryIO, Final

from callout.edges.ear.child import Child, EarChild
from callout.edges.ear.log import EarLog
from callout.edges.ear.messages import (
    COMMANDS,
    EVENTS,
    Back,
    Command,
    Died,
    Event,
    FileDone,
    Gate,
    Gone,
    HearFile,
    Idle,
    Listen,
    Load,
    Mode,
    Press,
    Problem,
    Ready,
    Release,
    Told,
    Use,
    Utterance,
)
from callout.edges.ear.options import MEASURED, Options
from callout.edges.private_folder import PrivateFolder
from callout.edges.restarts import WELL_S, Pace, Restarts
from callout.errors import CalloutError
from callout.language.network import Network
from callout.table.book.files import make_private, why

HANGS_S: Final = 10
"""An ear that has told nothing for so long hangs, and is killed."""

LOADS_S: Final = 60
"""It is given so much more time to read its models: the machine may be busy."""

PREFIX: Final = "callout-ear-"
"""Its folders among the temporary files."""


class Hearing:
    """An ear in its own process; events come to `tell`, on a thread of its own.

    To those of the process it adds three. `died`, with its exit `status` (None where the system let
    no process be started) and `what` happened; `gone`, once, in place of it for the death after
    which it keeps dying; and `back`. It is started again for as long as it is wanted.
    """

    def __init__(
        self,
        model: Path,
        networks: Mapping[str, Network],
        tell: Callable[[Event], None],
        options: Options = MEASURED,
        *,
        child: Callable[[Path, BinaryIO], Child] = EarChild,
        pace: Pace | None = None,
        log: Path | None = None,
        hangs_s: int = HANGS_S,
    ) -> None:
        """`child` starts a process that works in a folder; `log` is where its complaints are kept;
        one that has told nothing for `hangs_s` is killed.

        Raises:
            CalloutError: there is no place for temporary files.
        """
        self._tell = tell
        self._make, self._pace, self._hangs_s = child, pace or Pace(), hangs_s
        self._child: Child | None = None
        self._listening: Listen | None = None
        self._name = next(iter(networks))
        self._gated = False
        self._restarts = Restarts()
        self._away = False
        self._was_ready = False
        self._well_s: int | None = None
        """Seconds that one lives which is back and died often before; None for any other."""
        self._closing = threading.Event()
        self._reader: threading.Thread | None = None
        self._silent_s = 0
        self._hung = False
        self._refused = ""
        """What the system said as it started no process."""
        try:
            self._folder = PrivateFolder(PREFIX)
            told = _networks_file(self._folder.path, networks)
        except OSError as error:
            raise CalloutError(f"the ear has no place for its files: {why(error)}") from None
        self._log = EarLog(self._folder.path, log)
        self._load = Load(str(model), str(told), options)
        self._lock = threading.RLock()

    def start(self) -> None:
        """Start the process and load the model; `ready` or `problem` follows as an event."""
        with self._lock:
            if self._closing.is_set() or self._reader is not None:
                return
            self._reader = threading.Thread(
                target=self._work, args=(self._begin(),), name="ear", daemon=True
            )
            self._reader.start()
        self._pace.each_second(self._closing, self.second)

    def _begin(self) -> Child | None:
        """A process that reads its model; none where the system starts none, or none is wanted."""
        with self._lock:
            self._child, self._hung, self._silent_s = None, False, -LOADS_S
            if self._closing.is_set():
                return None
            try:
                with self._log.open() as complaints:
                    self._child = self._make(self._folder.path / "ear", complaints)
            except OSError as error:
                self._refused = why(error)
                return None
            self._do(Use(self._name))
            self._do(self._load)
            if self._listening is not None:
                self._do(self._listening)
                self._do(Gate(self._gated))
            return self._child

    def _work(self, child: Child | None) -> None:
        """Read what each process tells, and start the next when it ends."""
        while not self._closing.is_set():
            started_s = self._pace.now_s()
            for line in child.lines() if child is not None else ():
                self._take(child, line)
            status = child.wait() if child is not None else None
            if self._closing.is_set():
                return
            pause_s = self._died(self._pace.now_s() - started_s, status)
            if self._pace.wait(self._closing, pause_s):
                return
            child = self._begin()

    def _take(self, child: Child | None, line: str) -> None:
        """See to a line that the process told."""
        try:
            event = EVENTS.read(line)
        except ValueError:
            return  # it died in the midst of a line, or a library printed something
        if self._was_ready and isinstance(event, Problem) and event.is_fatal:
            # The model was there, and may be there again.
            print(f"ear: {event.what}", file=sys.stderr, flush=True)
            if child is not None:
                child.kill()
            return
        self._silent_s = 0
        if not isinstance(event, Idle):
            self._tell(event)
        self._follow(event)

    def second(self) -> None:
        """A second has passed: one that hangs is killed, one that lives long enough is back."""
        self._log.trim()
        with self._lock:
            self._silent_s += 1
            if self._silent_s > self._hangs_s and self._child is not None:
                self._silent_s, self._hung = 0, True
                self._child.kill()
            if self._well_s is not None:
                self._well_s += 1
                if self._well_s >= WELL_S:
                    self._back()

    def _follow(self, event: Told) -> None:
        """See from what it tells whether it is back."""
        if isinstance(event, Utterance | FileDone):
            self._restarts.worked()
            self._back()
        elif isinstance(event, Ready):
            self._was_ready = True
            if self._restarts.failing:
                self._well_s = 0
            else:
                self._back()

    def _back(self) -> None:
        with self._lock:
            self._well_s = None
            was_away, self._away = self._away, False
        if was_away:
            self._tell(Back())

    def _died(self, lived_s: float, status: int | None) -> float:
        """Tell of a death; the seconds until another is started."""
        failed = self._restarts.failing
        pause_s = self._restarts.died(lived_s)
        if status is None:
            what = f"cannot be started: {self._refused}"
        else:
            what = "hung, and was ended" if self._hung else f"died (status {status})"
            if place := self._log.keep(what):
                what += f"; what it wrote is in {place}"
        with self._lock:
            was_away, self._away, self._well_s = self._away, True, None
        if self._restarts.failing and not failed:
            self._tell(Gone(status, what))
        elif not was_away:
            self._tell(Died(status, what))
        return pause_s

    def _do(self, command: Command) -> None:
        with self._lock:
            if self._child is None:
                return
            try:
                self._child.write(COMMANDS.write(command))
            except (OSError, ValueError):
                return  # it died; `_work` sees to it

    def listen(self, device: str | None, mode: Mode) -> None:
        """Hear the microphone."""
        with self._lock:
            self._listening = Listen(device, mode)
            self._do(self._listening)

    def hear_file(self, path: Path) -> None:
        """Hear a sound file; its utterances and `done` follow as events."""
        self._do(HearFile(str(path)))

    def use(self, name: str) -> None:
        """Hear by the network of that name."""
        with self._lock:
            self._name = name
            self._do(Use(name))

    def press(self) -> None:
        """The pedal goes down."""
        self._do(Press())

    def release(self) -> None:
        """The pedal comes up."""
        self._do(Release())

    def gate(self, closed: bool) -> None:
        """Hear nothing while the table itself speaks; this outlasts a death of the process."""
        with self._lock:
            self._gated = closed
            self._do(Gate(closed))

    @property
    def pid(self) -> int | None:
        """The process, for those who measure it."""
        child = self._child
        return child.pid if child is not None else None

    def close(self) -> None:
        """End the process."""
        with self._lock:
            self._closing.set()
            child = self._child
            if child is not None:
                child.end_input()
        if child is not None and child.wait(5) is None:
            child.kill()
        if self._reader is not None and self._reader is not threading.current_thread():
            self._reader.join()
        self._folder.close()


def _networks_file(folder: Path, networks: Mapping[str, Network]) -> Path:
    """The networks in a file: a small pipe would let the table wait until the ear reads them."""
    path = folder / "networks.json"
    make_private(path)
    told = {name: network.to_dict() for name, network in networks.items()}
    path.write_text(json.dumps(told), encoding="utf-8")
    return path
