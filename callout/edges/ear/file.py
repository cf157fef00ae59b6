"""An ear for sound files: hears one after another, and waits for each."""

from __future__ import annotations

import queue
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from callout.edges.ear.client import Event, Hearing
from callout.errors import CalloutError, InputError, ModelError
from callout.language.network import Network
from callout.plain import plain

HANGS_S: Final = 60
"""It hangs if it has told nothing for so long: nobody waits for it as at a game, and the machine
may be busy."""


class FileEar:
    """Hears sound files one after another, and waits for each."""

    def __init__(
        self,
        model: Path,
        network: Network,
        options: Mapping[str, Any] | None = None,
        **how: Any,
    ) -> None:
        """Load the model; `how` is that of `Hearing`.

        Raises:
            ModelError: it is missing or damaged.
            CalloutError: no process can be started.
        """
        self._events: queue.Queue[Event] = queue.Queue()
        how = {"hangs_s": HANGS_S, **how}
        self._hearing = Hearing(model, {"always": network}, self._events.put, options, **how)
        self._hearing.start()
        died = self._until("ready")[-1]
        if died["event"] != "ready":
            self.close()
            if died["status"] is None:
                raise CalloutError(f"the ear {died['what']}")
            raise ModelError(
                f"{model}: the ear {died['what']}, while it read this model; "
                "get it anew with: callout models"
            )

    def hear(self, path: Path) -> list[Event]:
        """The utterances in a sound file.

        Raises:
            InputError: it is no sound file, or not a whole one, or the ear died on it.
        """
        self._hearing.hear_file(path)
        *heard, done = self._until("done")
        if done["event"] != "done":
            self.close()
            raise InputError(path, f"the ear {done['what']}, while it heard this file")
        if done["problem"]:
            problem = str(done["problem"])
            raise InputError(path, problem.partition(plain(f"{path}: "))[2] or problem)
        return [event for event in heard if event["event"] == "utterance"]

    def _until(self, name: str) -> list[Event]:
        """What is told until that event, or until the process has died."""
        events: list[Event] = []
        while not events or events[-1]["event"] not in (name, "died"):
            event = self._events.get()
            if event["event"] == "problem":
                self.close()
                kinds = {"ModelError": ModelError}
                raise kinds.get(event["kind"], CalloutError)(event["what"])
            events.append(event)
        return events

    def close(self) -> None:
        """End the ear."""
        self._hearing.close()
