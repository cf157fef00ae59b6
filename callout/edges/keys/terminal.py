"""The keys of the terminal that the game runs in: they need the focus, but no permission."""

from __future__ import annotations

import os
import select
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from typing import Any, Final

from callout.edges.keys.terminal_codes import tokens
from callout.edges.signals import hold_terminal
from callout.errors import DeviceError
from callout.game.kind import Kind
from callout.table.clock import steady_ns
from callout.table.hands.devices import Edge
from callout.table.speech.kinds import FOCUS_BACK, FOCUS_GONE

ASK: Final = "\x1b[?2004h\x1b[?1004h"
"""Asks the terminal to mark pasted text, and to report when the focus comes and goes."""
ASK_NO_MORE: Final = "\x1b[?1004l\x1b[?2004l"
ESCAPE_S: Final = 0.05
"""Bytes that follow ESC within this time belong to its sequence."""


class TerminalKeys:
    """The keys of the terminal on standard input, until they are given back.

    `tell` is called with each key, `line` with what is typed in words after `type_key`, `changed`
    with `focus_gone` and `focus_back`, `ended` when there is no terminal any more; all on a thread
    of its own.
    """

    def __init__(
        self,
        tell: Callable[[Edge], None],
        line: Callable[[str], None],
        changed: Callable[[Kind], None],
        type_key: str | None = None,
        ended: Callable[[], None] = lambda: None,
    ) -> None:
        """Take the terminal.

        Raises:
            DeviceError: standard input is none, or this system's are of another kind.
        """
        try:
            import termios
            import tty
        except ImportError:
            raise DeviceError("the keys of a terminal are for Linux and macOS") from None
        self._fd = sys.stdin.fileno()
        if not os.isatty(self._fd):
            raise DeviceError("standard input is no terminal")
        self._termios, self._tty = termios, tty
        self._tell, self._line, self._changed = tell, line, changed
        self._type_key, self._ended = type_key, ended
        self._closing = False
        self._away = False
        self._in_words = False
        self._before: Any = termios.tcgetattr(self._fd)
        self._wake_out, self._wake_in = os.pipe()
        self._raw()
        self._let_go = hold_terminal(self._give_back, self._take_again)
        self._thread = threading.Thread(target=self._run, name="terminal", daemon=True)
        self._thread.start()

    def _raw(self) -> None:
        # Every key at once and unseen; Ctrl-C still ends the program.
        self._tty.setcbreak(self._fd, self._termios.TCSADRAIN)
        self._ask(ASK)

    def _ask(self, text: str) -> None:
        # Only for a terminal: a file must not contain such codes. Not through Python's stream: a
        # signal handler may run while that is in use.
        if sys.stdout.isatty():
            os.write(sys.stdout.fileno(), text.encode())

    def _run(self) -> None:
        while True:
            text = self._read()
            if text is None:
                if not self._closing:
                    self._ended()
                return
            at_ns = steady_ns()
            text, typing, begun = text.partition(self._type_key or "\0")
            for kind, what in tokens(text):
                if kind == "focus":
                    self._focus(what == "in")
                else:
                    self._tell(Edge("keys", what, True, at_ns))
            if typing:
                self._type(begun)

    def _read(self) -> str | None:
        """The text typed next; None once the terminal is gone, or given back."""
        ready, _, _ = select.select([self._fd, self._wake_out], [], [])
        if self._wake_out in ready:
            return None
        try:
            data = os.read(self._fd, 1024)
            # A sequence may arrive in two pieces.
            while data.endswith((b"\x1b", b"\x1b[", b"\x1bO")) or _pasting(data):
                more = select.select([self._fd], [], [], ESCAPE_S)[0]
                new = os.read(self._fd, 1024) if more else b""
                if not new:
                    break
                data += new
        except OSError:
            return None
        return data.decode("utf-8", "replace") or None

    def _focus(self, here: bool) -> None:
        if here and self._away:
            self._changed(FOCUS_BACK)
        elif not here:
            self._changed(FOCUS_GONE)
        self._away = not here

    def _type(self, begun: str) -> None:
        """Read a line in words, with echo."""
        self._in_words = True
        self._give_back()
        sys.stderr.write(f"> {begun}")
        sys.stderr.flush()
        typed = begun.replace("\r", "\n").encode()
        while not typed.endswith(b"\n"):
            ready, _, _ = select.select([self._fd, self._wake_out], [], [])
            more = b"" if self._wake_out in ready else os.read(self._fd, 1024)
            if not more:
                return
            typed += more
        self._in_words = False
        self._raw()
        self._line(typed.decode("utf-8", "replace").strip())

    def _give_back(self) -> None:
        # A terminal whose window was closed takes nothing back.
        with suppress(OSError, self._termios.error):
            self._ask(ASK_NO_MORE)
            self._termios.tcsetattr(self._fd, self._termios.TCSADRAIN, self._before)

    def _take_again(self) -> None:
        """After Ctrl-Z and `fg`: shells give the terminal back in line mode."""
        with suppress(OSError, self._termios.error):
            # In the background the terminal is the shell's, and to touch it would stop us.
            if not self._in_words and os.tcgetpgrp(self._fd) == os.getpgrp():
                self._raw()

    def close(self) -> None:
        """The terminal as it was before."""
        self._let_go()
        self._closing = True
        os.write(self._wake_in, b"x")
        self._thread.join(2)
        self._give_back()
        os.close(self._wake_in)
        os.close(self._wake_out)


def _pasting(data: bytes) -> bool:
    return data.rfind(b"\x1b[200~") > data.rfind(b"\x1b[201~")
