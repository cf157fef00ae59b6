"""Signals that end or stop the program: by a logout, a closed window, Ctrl-Z and `fg`."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Any, Final

ENDS: Final = tuple(
    getattr(signal, each) for each in ("SIGTERM", "SIGHUP") if hasattr(signal, each)
)
"""The signals that end a program from outside; Windows has no SIGHUP."""

Step = Callable[[], object]

_HOLDERS: Final[list[tuple[Step, Step]]] = []
"""For each holder of the terminal: how to give it back, and how to take it again."""
_BEFORE: Final[dict[int, Any]] = {}
_ending: Final[list[bool]] = []
"""Not empty once the program is ending."""
_told: Final[list[Step]] = []
"""What the next Ctrl-C or other end calls; empty where it interrupts instead."""


@contextmanager
def ended_in_order() -> Iterator[None]:
    """SIGTERM and SIGHUP end what is inside as Ctrl-C does, so that everything is closed.

    Signals that were ignored before, as under nohup, stay ignored. After such an end the program
    only returns its status, and further signals change nothing.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    _ending.clear()
    before = {each: signal.getsignal(each) for each in ENDS}
    for each in ENDS:
        if before[each] is not signal.SIG_IGN:
            signal.signal(each, _end)
    try:
        yield
    finally:
        # Once the program is ending, a late signal must not change its status, not even while
        # Python shuts down, which removes every handler but SIG_IGN.
        for each, handler in before.items():
            signal.signal(each, signal.SIG_IGN if _ending else handler)


def _end(_signal: int, _frame: FrameType | None) -> None:
    # A logout sends both: the second must not interrupt what the first began.
    if not _ending:
        end_no_more()
        _tell_or_interrupt()


@contextmanager
def told_of_end(tell: Step) -> Iterator[None]:
    """The first Ctrl-C or other end inside calls `tell`, and breaks nothing off; the next Ctrl-C
    interrupts whatever is being done.

    `tell` is called between any two steps of the main thread, so it may neither wait nor print.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    # A Ctrl-C that is ignored, as in the background of a shell, stays ignored.
    usual = signal.getsignal(signal.SIGINT)
    if usual is signal.default_int_handler:
        signal.signal(signal.SIGINT, _interrupt)
    _told.append(tell)
    try:
        yield
    finally:
        _told.clear()
        signal.signal(signal.SIGINT, usual)


def _interrupt(_signal: int, _frame: FrameType | None) -> None:
    _tell_or_interrupt()


def _tell_or_interrupt() -> None:
    if not _told:
        raise KeyboardInterrupt
    _told.pop()()


def end_no_more() -> None:
    """From now on the program ends by itself, and SIGTERM and SIGHUP change nothing."""
    _ending.append(True)


def hold_terminal(give: Step, take: Step) -> Step:
    """Give the terminal back while the program is stopped, and take it again when it goes on.

    `give` and `take` are called between any two steps of the main thread, so neither may wait or
    print. Call the result to hold the terminal no longer.
    """
    if not hasattr(signal, "SIGTSTP") or threading.current_thread() is not threading.main_thread():
        return lambda: None
    holder = (give, take)
    if not _HOLDERS:
        _BEFORE[signal.SIGTSTP] = signal.signal(signal.SIGTSTP, _stop)
        _BEFORE[signal.SIGCONT] = signal.signal(signal.SIGCONT, _go_on)
    _HOLDERS.append(holder)

    def let_go() -> None:
        _HOLDERS.remove(holder)
        if not _HOLDERS:
            for number, handler in _BEFORE.items():
                signal.signal(number, handler)

    return let_go


def _stop(number: int, frame: FrameType | None) -> None:
    for give, _ in reversed(_HOLDERS):
        give()
    signal.signal(number, signal.SIG_DFL)
    # Here the program stops until SIGCONT; without a shell that waits for it, it does not stop.
    signal.raise_signal(number)
    signal.signal(number, _stop)
    _go_on(number, frame)


def _go_on(_signal: int, _frame: FrameType | None) -> None:
    for _, take in _HOLDERS:
        take()
