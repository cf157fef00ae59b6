"""A web server of the test's own, which can break off, refuse, or know nothing of ranges."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer


@dataclass
class Site:
    """What is served, how, and what was asked."""

    files: dict[str, bytes] = field(default_factory=dict)
    """By path, from the first slash on."""
    breaks: list[int] = field(default_factory=list)
    """After how many bytes of its content each of the next answers breaks off."""
    ranges: bool = True
    """Whether a Range is honoured. Source of the rules: RFC 9110, section 14."""
    length: str | None = None
    """What is said of the length in place of the truth; empty for nothing."""
    asked: list[tuple[str, str | None]] = field(default_factory=list)
    """Path and Range of each request so far."""
    base: str = ""
    """The address before a path's first letter."""


@contextmanager
def web_server(site: Site) -> Iterator[Site]:
    """Serve a site on this machine for as long as it is wanted."""

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            wanted = self.headers.get("Range")
            site.asked.append((self.path, wanted))
            content = site.files.get(self.path)
            if content is None:
                self.send_error(404)
                return
            start = int(wanted.removeprefix("bytes=").rstrip("-")) if wanted else 0
            if not site.ranges:
                start = 0
            elif wanted and start >= len(content):
                self.send_response(416)
                self.send_header("Content-Range", f"bytes */{len(content)}")
                self.end_headers()
                return
            self.send_response(206 if wanted and site.ranges else 200)
            length = str(len(content) - start) if site.length is None else site.length
            if length:
                self.send_header("Content-Length", length)
            self.end_headers()
            rest = content[start:]
            with suppress(ConnectionError):  # whoever is told too much hangs up
                self.wfile.write(rest[: site.breaks.pop(0)] if site.breaks else rest)

        def log_message(self, format: str, *args: object) -> None:
            """Say nothing."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    thread = threading.Thread(target=server.serve_forever, args=(0.01,))
    thread.start()
    site.base = f"http://127.0.0.1:{server.server_port}/"
    try:
        yield site
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
