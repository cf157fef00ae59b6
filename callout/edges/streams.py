"""Standard input and output as the program gets them: perhaps closed, or on a disk that is full."""

from __future__ import annotations

import errno
import io
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

from callout.errors import CalloutError, why

_NO_ROOM: Final = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)


def open_streams() -> None:
    """Make the streams usable: one that is closed is empty, or takes what nobody reads.

    Without this the first question fails, and the next file that is opened becomes the output.
    """
    if sys.stdin is None:
        sys.stdin = open(os.devnull, encoding="utf-8")  # noqa: SIM115 - for the whole run
    if sys.stdout is None:
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115
    if sys.stderr is None:
        sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # A file's name may hold what the terminal cannot show. In JSON it is an escape.
            stream.reconfigure(errors="backslashreplace")


@contextmanager
def whole_output() -> Iterator[None]:
    """What is printed inside is written to its end, or the program says that it is not.

    Raises:
        CalloutError: there is no room for it.
        SystemExit: whoever read it reads no more, as `head` does.
    """
    try:
        try:
            yield
        finally:
            sys.stdout.flush()
    except OSError as error:
        # An error about a file has its name; output has none.
        if error.filename is not None or error.errno not in (*_NO_ROOM, errno.EPIPE):
            raise
        # Python would try once more at its end, and complain.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        if error.errno == errno.EPIPE:
            sys.exit(1)
        raise CalloutError(f"the output cannot be written: {why(error)}") from None
