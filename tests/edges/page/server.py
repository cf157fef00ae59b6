"""The real server of the pages, in a thread of the test, told what the test tells it."""

from __future__ import annotations

import asyncio
import http.client
import io
import json
import os
import queue
import socket
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from callout.edges.page.addresses import LOOPBACK, Addresses
from callout.edges.page.messages import COMMANDS, EVENTS, Beat, Command, Ready, Show, Told
from callout.edges.page.papers import Papers
from callout.edges.page.process import Output, serve
from callout.edges.page.server import listening
from tests.english import WORDS
from tests.patience import HANG_S

SHOW = Show({"score": {"home": 2, "guest": 0}}, {"latest": [], "question": ""})


class _Told(io.RawIOBase):
    """What the server tells the table."""

    def __init__(self) -> None:
        self.events: queue.Queue[Told] = queue.Queue()

    def write(self, data: Any) -> int:  # one whole line each time, as `Output` does
        for line in bytes(data).decode().splitlines():
            self.events.put(EVENTS.read(line))
        return len(data)


@dataclass
class Served:
    """A server that runs."""

    addresses: Addresses
    told: _Told = field(default_factory=_Told)
    _input: Any = None

    def do(self, command: Command) -> None:
        """Give it a command."""
        self._input.write(COMMANDS.write(command).encode() + b"\n")
        self._input.flush()

    def ask(
        self,
        path: str,
        body: bytes | None = None,
        headers: Mapping[str, str] | None = None,
        method: str = "",
        of: str = LOOPBACK,
        to: str = LOOPBACK,
    ) -> tuple[int, Mapping[str, str], bytes]:
        """One request between addresses of this machine; its answer: status, headers, content."""
        connection = http.client.HTTPConnection(
            to, self.addresses.port, timeout=HANG_S, source_address=(of, 0)
        )
        try:
            how = method or ("GET" if body is None else "POST")
            connection.request(how, path, body, dict(headers or {}))
            answer = connection.getresponse()
            return answer.status, dict(answer.getheaders()), answer.read()
        finally:
            connection.close()

    def call(self, words: object, token: str = "", page: str = "partner", **headers: str) -> int:
        """The status of a call that is made on a page."""
        path = f"/{page}/{token or self.addresses.token(page)}/call"
        given = {"Content-Type": "application/json", **headers}
        return self.ask(path, json.dumps({"say": words}).encode(), given)[0]

    @contextmanager
    def follow(self, page: str) -> Iterator[Iterator[tuple[str, Any]]]:
        """The events of a page, as they come."""
        token = self.addresses.hall if page == "hall" else self.addresses.partner
        connection = http.client.HTTPConnection(LOOPBACK, self.addresses.port, timeout=HANG_S)
        connection.request("GET", f"/{page}/{token}/events")
        answer = connection.getresponse()
        assert answer.getheader("Content-Type", "").startswith("text/event-stream")
        try:
            yield _events(answer)
        finally:
            connection.close()


def free_port() -> int:
    """A port of this machine on which nobody listens."""
    with socket.create_server((LOOPBACK, 0)) as found:
        return int(found.getsockname()[1])


def _events(answer: http.client.HTTPResponse) -> Iterator[tuple[str, Any]]:
    name = ""
    for line in answer:
        key, _, value = line.decode().rstrip("\n").partition(": ")
        if key == "event":
            name = value
        elif key == "data":
            yield name, json.loads(value)


@contextmanager
def served(shared: str | None = None, game: Path = Path("none.game")) -> Iterator[Served]:
    """A server on a free port, until the test is done with it; `game` is the game's file."""
    listener = listening(shared, 0)
    made = Served(Addresses(listener.getsockname()[1], shared))
    reading, writing = os.pipe()
    made._input = os.fdopen(writing, "wb")
    out = Output(made.told)  # type: ignore[arg-type]
    with os.fdopen(reading, "rb") as lines:
        run = threading.Thread(
            target=lambda: asyncio.run(
                serve(made.addresses, listener, lines, out, Papers(game, WORDS))
            )
        )
        run.start()
        try:
            assert made.told.events.get(timeout=HANG_S) == Ready()
            made.do(SHOW)
            made.do(Beat(6_000, False))
            yield made
        finally:
            made._input.close()
            run.join(HANG_S)
            assert not run.is_alive(), "it ends with its input"
