"""The pages' server, in a process of its own: the game in, the partner's calls out.

Its arguments are where it listens; its tokens are the first command. It ends when its input does.
"""

from __future__ import annotations

import asyncio
import socket
import sys
import threading
from contextlib import suppress
from pathlib import Path
from typing import BinaryIO, Final

from callout.edges.child_output import own_output
from callout.edges.page.addresses import Addresses
from callout.edges.page.app import application
from callout.edges.page.messages import (
    COMMANDS,
    EVENTS,
    Command,
    Open,
    Problem,
    Ready,
    Told,
)
from callout.edges.page.news import News
from callout.edges.page.papers import Papers
from callout.edges.page.server import MOST_CONNECTIONS, listening, new_server
from callout.errors import why
from callout.language.words import words_of

NICENESS: Final = 5
"""On a busy machine the table comes first. Beside hostile clients, at a load of 15 on two cores, an
honest page opened within 1.8 to 3.5 s (95 %) at 10, 1.1 to 3.5 s at 5, and 0.6 to 1.2 s at 0; but
at 0 the table's longest answer took 0.7 to 1.1 s, at 5 and 10 at most 0.2 s."""

FILES: Final = MOST_CONNECTIONS + 100
"""Open files that this process may have: its connections, and its own few."""


async def serve(
    addresses: Addresses, listener: socket.socket, lines: BinaryIO, out: Output, papers: Papers
) -> int:
    """Serve until the input ends."""
    news = News()
    app = application(addresses, news, out.tell, papers)
    server = new_server(app)
    loop = asyncio.get_running_loop()

    def read() -> None:
        for line in lines:
            loop.call_soon_threadsafe(_take, news, COMMANDS.read(line.decode("ascii")))
        loop.call_soon_threadsafe(setattr, server, "should_exit", True)
        # Open pages never end by themselves.
        loop.call_soon_threadsafe(setattr, server, "force_exit", True)

    threading.Thread(target=read, name="table", daemon=True).start()
    out.tell(Ready())
    await server.serve(sockets=[listener])
    return 0


_PENDING: set[asyncio.Task[None]] = set()
"""The loop itself keeps only weak references to tasks. Source: asyncio's documentation."""


def _take(news: News, command: Command) -> None:
    task = asyncio.ensure_future(news.take(command))
    _PENDING.add(task)
    task.add_done_callback(_PENDING.discard)


class Output:
    """Writes messages to the table."""

    def __init__(self, out: BinaryIO) -> None:
        self._out = out

    def tell(self, told: Told) -> None:
        """Write one message."""
        self._out.write(EVENTS.write(told).encode() + b"\n")
        self._out.flush()


def main(arguments: list[str], lines: BinaryIO, out: Output) -> int:
    """Listen on the port of the arguments, and on the address after it if there is one."""
    port, shared = int(arguments[0]), arguments[1] if len(arguments) > 1 else None
    opened = COMMANDS.read(lines.readline().decode("ascii"))
    assert isinstance(opened, Open)
    try:
        listener = listening(shared, port)
    except OSError as error:
        out.tell(Problem(f"port {port}: {why(error)}; choose another: --page PORT"))
        return 1
    _raise_limit()
    addresses = Addresses(port, shared, opened.hall, opened.partner, opened.after)
    papers = Papers(Path(opened.game), words_of(opened.language))
    return asyncio.run(serve(addresses, listener, lines, out, papers))


def _raise_limit() -> None:
    """Allow this process the files that its connections are; many systems begin with 1,024."""
    if sys.platform == "win32":
        return
    import resource

    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    most = hard if hard != resource.RLIM_INFINITY else FILES
    with suppress(ValueError, OSError):
        resource.setrlimit(resource.RLIMIT_NOFILE, (max(soft, min(FILES, most)), hard))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:], sys.stdin.buffer, Output(own_output(NICENESS))))
