"""The web server of the pages: what it listens to, and its limits."""

from __future__ import annotations

import asyncio
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

import uvicorn
from starlette.types import ASGIApp

from callout.edges.page.addresses import LOOPBACK
from callout.edges.page.connections import Crowd, door
from callout.edges.page.news import MOST_CLIENTS

MOST_CONNECTIONS: Final = 4 * MOST_CLIENTS

QUEUED: Final = 512
"""Connections that the system holds until they are taken: a hall may open the page at once."""


class Server(uvicorn.Server):
    """A server that leaves signals to whoever runs it."""

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        """Capture none."""
        yield


def new_server(app: ASGIApp, complains: bool = True) -> Server:
    """A server of an application, with limits for connections, headers and time.

    `complains`: it writes what went wrong to standard error, answers that its end broke off among
    it; without, a browser is told alone.
    """
    level = "error" if complains else "critical"
    return Server(uvicorn.Config(
        app, http=door(Crowd()), ws="none", lifespan="off", log_level=level, access_log=False,
        server_header=False, date_header=False, timeout_keep_alive=5,
        limit_concurrency=MOST_CONNECTIONS, h11_max_incomplete_event_size=16_384,
        timeout_graceful_shutdown=1, proxy_headers=False,
    ))  # fmt: skip


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


def serve_until_ended(server: Server, listener: socket.socket) -> None:
    """Serve until the server is told to end, or this thread is interrupted."""
    # In a thread of its own, so that Ctrl-C breaks off no answer. An interrupted `join` may take
    # the thread for ended, so an event tells of its end.
    ended = threading.Event()

    def run() -> None:
        try:
            asyncio.run(server.serve(sockets=[listener]))
        finally:
            ended.set()

    try:
        # Interrupted, `start` has begun the thread all the same: its end is waited for below.
        threading.Thread(target=run, name="page").start()
        ended.wait()
    finally:
        server.should_exit = True
        ended.wait()
