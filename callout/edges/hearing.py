"""The table's side of the ear: starts its process, tells it what to do, starts it again."""

from __future__ import annotations

import json
import queue
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any, Final

from callout.edges.child_environment import child_environment
from callout.edges.restarts import WELL_S, Restarts
from callout.errors import CalloutError, InputError, ModelError
from callout.language.network import Network
from callout.plain import plain

FATAL: Final = ("ModelError", "CalloutError")
"""Problems that leave an ear without a model: it lives, and will never hear."""

HANGS_S: Final = 10
"""An ear that listens and has told nothing for so long hangs, and is killed."""

LOADS_S: Final = 60
"""It is given so much more time to read its models: the machine may be busy."""

Event = dict[str, Any]


class Hearing:
    """An ear in its own process; events come to `tell`, on a thread of its own.

    To those of the process it adds `died`, with its exit `status`; `gone`, once, for the death
    after which it keeps dying; and `back`. It is started again for as long as it is wanted.
    """

    def __init__(
        self,
        model: Path,
        networks: Mapping[str, Network],
        tell: Callable[[Event], None],
        options: Mapping[str, Any] | None = None,
    ) -> None:
        self._model, self._networks = model, dict(networks)
        self._tell = tell
        self._options = dict(options or {})
        self._process: subprocess.Popen[str] | None = None
        self._listening: dict[str, Any] | None = None
        self._name = next(iter(self._networks))
        self._gated = False
        self._restarts = Restarts()
        self._away = False
        self._was_ready = False
        self._closing = threading.Event()
        self._reader: threading.Thread | None = None
        self._silent_s = 0
        self._folder = tempfile.TemporaryDirectory(
            prefix="callout-ear-", ignore_cleanup_errors=True
        )
        self._lock = threading.RLock()

    def start(self) -> None:
        """Start the process and load the model; `ready` or `problem` follows as an event."""
        with self._lock:
            if not self._closing.is_set():
                self._start()

    def _start(self) -> None:
        self._silent_s = -LOADS_S
        self._process = subprocess.Popen(
            [sys.executable, "-m", "callout.edges.ear", str(Path(self._folder.name) / "ear")],
            env=child_environment(),
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            encoding="utf-8",
        )
        networks = {name: network.to_dict() for name, network in self._networks.items()}
        self._do("use", name=self._name)
        self._do("load", model=str(self._model), networks=networks, options=self._options)
        if self._listening is not None:
            self._do("listen", **self._listening)
            self._do("gate", closed=self._gated)
        self._reader = threading.Thread(target=self._read, args=(self._process,), daemon=True)
        self._reader.start()

    def _read(self, process: subprocess.Popen[str]) -> None:
        started_s = time.monotonic()
        for line in process.stdout or ():
            try:
                event = json.loads(line)
            except json.JSONDecodeError:
                continue  # It died in the midst of a line.
            if self._was_ready and event.get("kind") in FATAL:
                # The model was there, and may be there again.
                print(f"ear: {event['what']}", file=sys.stderr, flush=True)
                process.kill()
                continue
            self._silent_s = 0
            if event["event"] != "idle":
                self._tell(event)
            self._follow(process, event["event"])
        process.wait()
        for pipe in (process.stdin, process.stdout):
            if pipe is not None:
                with suppress(OSError):
                    pipe.close()
        if not self._closing.is_set():
            self._start_again(time.monotonic() - started_s, process.returncode)

    def _watch(self) -> None:
        """Kills an ear that hangs, and so has it started again.

        It counts its own seconds: where the whole machine slept, nothing was silent meanwhile.
        """
        while not self._closing.wait(1.0):
            self._silent_s += 1
            process = self._process
            if self._silent_s > HANGS_S and process is not None:
                self._silent_s = 0
                process.kill()

    def _follow(self, process: subprocess.Popen[str], event: str) -> None:
        """See from what it tells whether it is back."""
        if event in ("utterance", "done"):
            self._restarts.worked()
            self._back(process)
        elif event == "ready":
            self._was_ready = True
            if self._restarts.failing:
                timer = threading.Timer(WELL_S, self._back, [process])
                timer.daemon = True
                timer.start()
            else:
                self._back(process)

    def _back(self, process: subprocess.Popen[str]) -> None:
        with self._lock:
            if self._away and self._process is process and process.poll() is None:
                self._away = False
                self._tell({"event": "back"})

    def _start_again(self, lived_s: float, status: int) -> None:
        failed = self._restarts.failing
        pause_s = self._restarts.died(lived_s)
        with self._lock:
            was_away, self._away = self._away, True
        if self._restarts.failing and not failed:
            self._tell({"event": "gone", "status": status})
        elif not was_away:
            self._tell({"event": "died", "status": status})
        if not self._closing.wait(pause_s):
            self.start()

    def _do(self, do: str, **fields: Any) -> None:
        process = self._process
        if process is None or process.stdin is None:
            return
        with self._lock:
            try:
                process.stdin.write(json.dumps({"do": do, **fields}) + "\n")
                process.stdin.flush()
            except (OSError, ValueError):
                return  # It died; `_read` sees to it.

    def listen(self, device: str | None, mode: str) -> None:
        """Hear the microphone: `open`, always; `hold`, while the pedal is down; `tap`, after it."""
        if self._listening is None:
            threading.Thread(target=self._watch, name="ear's watch", daemon=True).start()
        self._listening = {"device": device, "mode": mode}
        self._do("listen", **self._listening)

    def hear_file(self, path: Path) -> None:
        """Hear a sound file; its utterances and `done` follow as events."""
        self._do("file", path=str(path))

    def use(self, name: str) -> None:
        """Hear by the network of that name."""
        self._name = name
        self._do("use", name=name)

    def press(self) -> None:
        """The pedal goes down."""
        self._do("press")

    def release(self) -> None:
        """The pedal comes up."""
        self._do("release")

    def gate(self, closed: bool) -> None:
        """Hear nothing while the table itself speaks; this outlasts a death of the process."""
        self._gated = closed
        self._do("gate", closed=closed)

    @property
    def pid(self) -> int | None:
        """The process, for those who measure it."""
        return self._process.pid if self._process else None

    def close(self) -> None:
        """End the process."""
        with self._lock:
            self._closing.set()
        self._do("quit")
        if self._process is not None:
            try:
                self._process.wait(timeout=5)
            except subprocess.TimeoutExpired:
                self._process.kill()
        if self._reader is not None and self._reader is not threading.current_thread():
            self._reader.join()
        self._folder.cleanup()


class FileEar:
    """Hears sound files one after another, and waits for each."""

    def __init__(
        self, model: Path, network: Network, options: Mapping[str, Any] | None = None
    ) -> None:
        """Load the model.

        Raises:
            ModelError: it is missing or damaged.
        """
        self._events: queue.Queue[Event] = queue.Queue()
        self._hearing = Hearing(model, {"always": network}, self._events.put, options)
        self._model = model
        self._hearing.start()
        self._until("ready")

    def hear(self, path: Path) -> list[Event]:
        """The utterances in a sound file.

        Raises:
            InputError: it is no sound file, or not a whole one.
        """
        self._hearing.hear_file(path)
        *heard, done = self._until("done")
        if done["problem"]:
            problem = str(done["problem"])
            raise InputError(path, problem.partition(plain(f"{path}: "))[2] or problem)
        return [event for event in heard if event["event"] == "utterance"]

    def _until(self, name: str) -> list[Event]:
        events: list[Event] = []
        while not events or events[-1]["event"] != name:
            event = self._events.get()
            if event["event"] == "problem":
                self.close()
                kinds = {"ModelError": ModelError}
                raise kinds.get(event["kind"], CalloutError)(event["what"])
            if event["event"] == "died":
                self.close()
                raise ModelError(
                    f"{self._model}: the recognizer died on it (status {event['status']}); "
                    "get it anew with: callout models"
                )
            events.append(event)
        return events

    def close(self) -> None:
        """End the ear."""
        self._hearing.close()
