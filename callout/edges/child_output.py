"""What a child process that writes messages does with its output and the terminal's signals."""

from __future__ import annotations

import os
import signal
from typing import BinaryIO


def own_output(niceness: int) -> BinaryIO:
    """Standard output for messages alone: what a library prints goes to standard error.

    The process gives way to others by `niceness`, where the system knows that (nice(2)).
    """
    # Ctrl-C at a terminal reaches every process of the group; the table decides when this one ends.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if hasattr(os, "nice"):
        os.nice(niceness)
    own = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    return own
