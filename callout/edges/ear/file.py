"""An ear for sound files: hears one after another, and waits for each."""

from __future__ import annotations

import queue
from pathlib import Path
from typing import Final

from callout.edges.child import REAL, Supervision
from callout.edges.ear.client import Hearing
from callout.edges.ear.messages import Event, FileDone, Problem, Ready, Utterance
from callout.edges.ear.options import MEASURED, Options
from callout.edges.restarts import Died
from callout.errors import CalloutError, InputError, ModelError
from callout.language.network import Network
from callout.plain import plain

HANGS_S: Final = 60
"""An ear that writes nothing for this time hangs. Longer than at a game: nobody waits for an
answer, and the machine may be busy."""


class FileEar:
    """Hears sound files one after another, and waits for each."""

    def __init__(
        self,
        model: Path,
        network: Network,
        options: Options = MEASURED,
        *,
        by: Supervision = REAL,
    ) -> None:
        """Load the model.

        Raises:
            ModelError: it is missing or damaged.
            CalloutError: no process can be started.
        """
        self._events: queue.SimpleQueue[Event] = queue.SimpleQueue()
        networks = {"always": network}
        self._hearing = Hearing(model, networks, self._events.put, options, hangs_s=HANGS_S, by=by)
        self._hearing.start()
        *_, last = self._until(Ready)
        if isinstance(last, Died):
            self.close()
            if last.status is None:
                raise CalloutError(f"the ear {last.what}")
            raise ModelError(
                f"{model}: the ear {last.what}, while it read this model; "
                "get it anew with: callout models"
            )

    def hear(self, path: Path) -> list[Utterance]:
        """The utterances in a sound file.

        Raises:
            InputError: it is no sound file, or not a whole one, or the ear died on it.
        """
        self._hearing.hear_file(path)
        *heard, last = self._until(FileDone)
        if isinstance(last, Died):
            self.close()
            raise InputError(path, f"the ear {last.what}, while it heard this file")
        if isinstance(last, FileDone) and last.problem:
            raise InputError(path, last.problem.partition(plain(f"{path}: "))[2] or last.problem)
        return [event for event in heard if isinstance(event, Utterance)]

    def _until(self, kind: type[Event]) -> list[Event]:
        """What is told until an event of that kind, or until the process has died."""
        events: list[Event] = []
        while not events or not isinstance(events[-1], kind | Died):
            event = self._events.get()
            if isinstance(event, Problem):
                self.close()
                kinds = {"ModelError": ModelError}
                raise kinds.get(event.kind, CalloutError)(event.what)
            events.append(event)
        return events

    def close(self) -> None:
        """End the ear."""
        self._hearing.close()
