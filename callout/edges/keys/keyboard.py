"""The keys of the whole keyboard, whichever window has the focus.

pynput's native parts may end their process, and it freezes all input where a callback is slow. So a
child process listens, and writes a line for each key with the time at which it came.
"""

from __future__ import annotations

import queue
from collections.abc import Callable
from typing import Final

from callout.edges.child import REAL, SupervisedChild, Supervision
from callout.edges.keys.messages import EVENTS, Key, Problem, Ready, Told
from callout.edges.restarts import Back, Change, Died
from callout.errors import DeviceError
from callout.game.kind import Kind
from callout.table.clock import steady_ns
from callout.table.hands.devices import Edge
from callout.table.speech.kinds import KEYS_BACK, KEYS_GONE

MODULE: Final = "callout.edges.keys.keyboard_process"

START_S: Final = 10
"""A process that does not answer within this time hangs, and is killed."""

ENDS_S: Final = 3.0
"""A process that does not end within this time once it is closed is killed."""


class EverywhereKeys:
    """The keys of the whole keyboard.

    `tell` is called with each key; `changed` with `keys_gone` and `keys_back`, once each time. Both
    on a thread of its own.
    """

    def __init__(
        self,
        tell: Callable[[Edge], None],
        changed: Callable[[Kind], None] = lambda kind: None,
        *,
        by: Supervision = REAL,
    ) -> None:
        """Start listening.

        Raises:
            DeviceError: this machine does not let us; the text says what to do.
        """
        self._tell, self._changed = tell, changed
        self._is_away = False
        self._down: set[str] = set()
        self._answers: queue.Queue[str] = queue.Queue()
        """Why the first process cannot listen; empty if it does."""
        self._child = SupervisedChild(
            "keys", (MODULE,), EVENTS, took=self._took, changed=self._follow, loads_s=START_S, by=by
        )
        self._child.start()
        if problem := self._answers.get():
            self.close()
            raise DeviceError(problem)

    def _took(self, event: Told) -> None:
        match event:
            case Ready():
                if not self._child.was_ready:
                    self._answers.put("")
                self._child.ready()
            case Problem(what):
                if not self._child.was_ready:
                    self._answers.put(what)
            case Key(key, down, at_ns):
                self._child.worked()
                (self._down.add if down else self._down.discard)(key)
                self._tell(Edge("everywhere", key, down, at_ns))

    def _follow(self, change: Change) -> None:
        match change:
            case Back():
                self._is_away = False
                self._changed(KEYS_BACK)
            case Died(_, what) if not self._child.was_ready:
                # One that never listened is not tried again.
                self._child.close()
                self._answers.put(f"the keyboard's process {what}")
            case Died():
                # Keys that were held are up now.
                for key in sorted(self._down):
                    self._tell(Edge("everywhere", key, False, steady_ns()))
                self._down.clear()
                was_away, self._is_away = self._is_away, True
                if not was_away:
                    self._changed(KEYS_GONE)

    @property
    def pid(self) -> int | None:
        """The process that listens now."""
        return self._child.pid

    def close(self) -> None:
        """Listen no longer."""
        self._child.close(ENDS_S)
