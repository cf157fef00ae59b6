"""The pages' server, in a process of its own: the game in, the partner's calls out.

Its arguments are where it listens; its tokens are the first command. It ends when its input does.
"""

from __future__ import annotations

import asyncio
import socket
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import BinaryIO, Final

import uvicorn

from callout.edges.child_output import own_output
from callout.edges.page.addresses import LOOPBACK, Addresses
from callout.edges.page.app import application
from callout.edges.page.connections import Crowd, patient
from callout.edges.page.messages import (
    COMMANDS,
    EVENTS,
    Called,
    Command,
    Open,
    Problem,
    Ready,
    Told,
)
from callout.edges.page.news import MOST_CLIENTS, News
from callout.errors import why

NICENESS: Final = 10
"""On a busy machine the table comes first."""

MOST_CONNECTIONS: Final = 4 * MOST_CLIENTS

FILES: Final = MOST_CONNECTIONS + 100
"""Open files that this process may have: its connections, and its own few."""

QUEUED: Final = 512
"""Connections that the system holds until they are taken: a hall may open the page at once."""


class Server(uvicorn.Server):
    """A server that leaves signals to the table, which ends it by ending its input."""

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        """Capture none."""
        yield


def listening(shared: str | None, port: int) -> socket.socket:
    """A socket that listens: to this machine alone, or on its address in the network, too.

    Raises:
        OSError: the port is in use, or may not be used.
    """
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind(("0.0.0.0" if shared else LOOPBACK, port))
        listener.listen(QUEUED)
    except OSError:
        listener.close()
        raise
    return listener


async def serve(addresses: Addresses, listener: socket.socket, lines: BinaryIO, out: Output) -> int:
    """Serve until the input ends."""
    news = News()
    app = application(addresses, news, lambda words: out.tell(Called(words)))
    config = uvicorn.Config(
        app, http=patient(Crowd()), ws="none", lifespan="off", log_level="error", access_log=False,
        server_header=False, date_header=False, timeout_keep_alive=5,
        limit_concurrency=MOST_CONNECTIONS, h11_max_incomplete_event_size=16_384,
        timeout_graceful_shutdown=1, proxy_headers=False,
    )  # fmt: skip
    server = Server(config)
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
    addresses = Addresses(port, shared, opened.hall, opened.partner)
    return asyncio.run(serve(addresses, listener, lines, out))


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
