"""Phrases as sound, rendered once and cached."""

from __future__ import annotations

import hashlib
import re
import threading
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from callout.edges import folders
from callout.edges.voice.phrase_cache import Memory, PhraseFolder, pcm_of, rendered_of
from callout.edges.voice.rendered import Rendered
from callout.edges.voice.synthesizer import Synthesizer
from callout.errors import ModelError

FORM: Final = 4
"""The version of the cached form; raised when it changes for the same voice. Files of the third may
hold another text's sound: on a busy machine the synthesizer's answers could be one text behind."""


def cache_folder() -> Path:
    """Where rendered phrases are kept between games."""
    return folders.cache() / "phrases"


def sentences(text: str) -> list[str]:
    """The sentences of a text: each is cached by itself, and many recur."""
    return [part for part in re.split(r"(?<=[.?!])\s+", text.strip()) if part]


class Phrases:
    """Renders texts, with a cache; safe to use from several threads."""

    def __init__(self, synthesizer: Synthesizer, folder: Path | None = None) -> None:
        """`folder` keeps rendered phrases on the disk; with None they end with this process."""
        self.synthesizer = synthesizer
        self._memory = Memory()
        self._folder = PhraseFolder(folder) if folder else None
        self._free = threading.Condition()
        self._busy = False
        self._urgent = 0
        self._plan = 0
        """The number of the newest list to be prepared; older ones are abandoned."""

    def render(self, text: str, speed: float = 1.0) -> Rendered:
        """The sound of a text; `speed` 1.2 speaks a fifth faster.

        Raises:
            ModelError: the synthesizer cannot be started, or fails on this text.
        """
        known = self.known(text, speed)
        if known is not None:
            return known
        with self._turn():
            return self._memory.get((text, speed)) or self._make(text, speed)

    def known(self, text: str, speed: float = 1.0) -> Rendered | None:
        """The sound of a text that was rendered before."""
        return self._memory.get((text, speed)) if self._is_known(text, speed) else None

    def _is_known(self, text: str, speed: float) -> bool:
        """Whether a text was rendered before; loads it into memory if so."""
        if self._memory.has((text, speed)):
            return True
        kept = self._folder.read(self._name(text, speed)) if self._folder else None
        if kept is not None:
            self._memory.put((text, speed), *kept)
        return kept is not None

    def _make(self, text: str, speed: float) -> Rendered:
        """The sound of a text, rendered now, and kept."""
        made = self.synthesizer.render(text, speed)
        samples = pcm_of(made.samples)
        self._memory.put((text, speed), samples, made.rate_hz)
        if self._folder is not None and len(samples):
            self._folder.write(self._name(text, speed), samples, made.rate_hz)
        return rendered_of(samples, made.rate_hz)

    def prepare(self, texts: Iterable[str], speed: float = 1.0) -> threading.Thread:
        """Renders texts in the background, in place of those that were prepared last.

        A text that is wanted at once goes first. The iterable is read in the background, too.
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
            if self._is_known(text, speed):
                continue
            with self._turn(patient=True):
                if plan != self._plan:
                    return
                try:
                    self._make(text, speed)
                except ModelError:
                    # Whoever wants a phrase at once is told.
                    return

    @contextmanager
    def _turn(self, patient: bool = False) -> Iterator[None]:
        """Lets one at a time use the synthesizer; the patient wait until nobody else waits."""
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

    def _name(self, text: str, speed: float) -> str:
        key = f"{self.synthesizer.key}:{FORM}\n{speed}\n{text}"
        return hashlib.sha256(key.encode()).hexdigest()[:32]
