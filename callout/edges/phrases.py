"""Phrases as sound: rendered once, and kept so that the next time is at once."""

from __future__ import annotations

import hashlib
import os
import re
import threading
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

import numpy as np

from callout.edges.rendered import Rendered
from callout.edges.synthesizer import Synthesizer
from callout.errors import ModelError

FORM: Final = 2
"""Goes up when the same voice's sound is kept in another form."""


def cache_folder() -> Path:
    """Where rendered phrases are kept between games."""
    base = os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA")
    return (Path(base) if base else Path.home() / ".cache") / "callout" / "phrases"


def sentences(text: str) -> list[str]:
    """The sentences of a text: each is rendered and kept by itself, and many come again."""
    return [part for part in re.split(r"(?<=[.?!])\s+", text.strip()) if part]


class Phrases:
    """Texts to sound, with a memory; safe to use from several threads."""

    def __init__(self, synthesizer: Synthesizer, folder: Path | None = None) -> None:
        """`folder` keeps rendered phrases; None keeps none beyond this process."""
        self.synthesizer = synthesizer
        self.folder = folder
        self._known: dict[tuple[str, float], Rendered] = {}
        self._free = threading.Condition()
        self._busy = False
        self._urgent = 0
        self._plan = 0
        """The newest list to be prepared: an older one is given up."""

    def render(self, text: str, speed: float = 1.0) -> Rendered:
        """The sound of a text; `speed` 1.2 speaks a fifth faster.

        Raises:
            ModelError: the synthesizer cannot be started, or fails on this text.
        """
        known = self.known(text, speed)
        if known is not None:
            return known
        with self._turn():
            made = self._known.get((text, speed)) or self.synthesizer.render(text, speed)
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
        """End the synthesizer, and what is being prepared."""
        self._plan += 1
        with self._turn():
            self.synthesizer.close()

    def _prepare(self, wanted: Iterable[str], speed: float, plan: int) -> None:
        for text in wanted:
            if plan != self._plan:
                return
            if self.known(text, speed) is not None:
                continue
            with self._turn(patient=True):
                if plan != self._plan:
                    return
                try:
                    made = self._known[text, speed] = self.synthesizer.render(text, speed)
                except ModelError:
                    # Whoever wants a phrase at once is told.
                    return
            self._keep(text, speed, made)

    @contextmanager
    def _turn(self, patient: bool = False) -> Iterator[None]:
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

    def _path(self, text: str, speed: float) -> Path | None:
        if self.folder is None:
            return None
        key = f"{self.synthesizer.key}:{FORM}\n{speed}\n{text}"
        name = hashlib.sha256(key.encode()).hexdigest()
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
