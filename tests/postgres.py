"""A private PostgreSQL in a temporary folder, for tests: the real server, on a port of its own.

It speaks TLS with a certificate for `localhost` that it signs itself. Everybody on this machine may
log in by name alone, except the role `locked`, who needs a password.
"""

from __future__ import annotations

import os
import pwd
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from tests.patience import HANG_S

OWNER = "owner"
ACCOUNT = "postgres"
"""Whom the server runs as where the tests run as root, which PostgreSQL refuses."""

SETTINGS = """
listen_addresses = '127.0.0.1'
unix_socket_directories = ''
ssl = on
ssl_cert_file = 'server.crt'
ssl_key_file = 'server.key'
max_connections = 400
shared_buffers = 128MB
log_line_prefix = '%u '
log_statement = none
"""
ENTRANCE = """
host all locked 127.0.0.1/32 scram-sha-256
host all all 127.0.0.1/32 trust
"""


def programs() -> Path | None:
    """The folder of the newest server installed, if there is one."""
    found = [path.parent for path in Path("/usr/lib/postgresql").glob("*/bin/postgres")]
    if not found and (on_path := shutil.which("postgres")):
        return Path(on_path).parent
    return max(found, key=lambda path: int(path.parent.name), default=None)


def _as_account() -> list[str]:
    if os.geteuid() != 0:
        return []
    return ["setpriv", f"--reuid={ACCOUNT}", f"--regid={ACCOUNT}", "--clear-groups"]


@dataclass
class Postgres:
    """A server that can be killed and started again."""

    folder: Path
    port: int
    bin: Path
    durable: bool = False
    process: subprocess.Popen[bytes] | None = None
    made: int = field(default=0)

    def start(self) -> None:
        """Start it, and wait until it answers."""
        options = [] if self.durable else ["-c", "fsync=off"]
        with (self.folder / "log").open("ab") as log:
            self.process = subprocess.Popen(
                [*_as_account(), str(self.bin / "postgres"), "-D", str(self.folder / "data"), "-p",
                 str(self.port), *options], stdout=log, stderr=log, cwd=self.folder,
            )  # fmt: skip
        end = time.monotonic() + HANG_S
        ready = [str(self.bin / "pg_isready"), "-q", "-d", self.address(OWNER, "postgres")]
        while subprocess.run(ready).returncode:
            assert self.process.poll() is None, self.log()
            assert time.monotonic() < end, self.log()
            time.sleep(0.05)

    def kill(self) -> None:
        """End it at once, as a machine does that loses its power."""
        assert self.process is not None
        self.process.send_signal(signal.SIGQUIT)
        self.process.wait(timeout=HANG_S)

    def log(self) -> str:
        """What it has logged."""
        return (self.folder / "log").read_text(encoding="utf-8", errors="replace")

    def address(self, role: str, database: str, options: str = "") -> str:
        """How that role reaches that database."""
        return f"postgresql://{role}@127.0.0.1:{self.port}/{database}{options}"

    def sql(self, text: str, database: str = "postgres", role: str = OWNER) -> str:
        """What psql prints for some SQL."""
        command = [str(self.bin / "psql"), "-X", "-q", "-A", "-t", "-v", "ON_ERROR_STOP=1",
                   self.address(role, database)]  # fmt: skip
        done = subprocess.run(command, input=text, capture_output=True, text=True, timeout=HANG_S)
        assert done.returncode == 0, done.stderr
        return done.stdout.strip()

    def database(self) -> str:
        """The name of a new, empty database."""
        self.made += 1
        name = f"league_{self.made}"
        self.sql(f"CREATE DATABASE {name} TEMPLATE template0 ENCODING 'UTF8'")
        return name


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextmanager
def postgres_server(durable: bool = False) -> Iterator[Postgres]:
    """A running server; `durable`: what it has confirmed survives a loss of power."""
    found = programs()
    assert found is not None, "no PostgreSQL server is installed"
    folder = Path(tempfile.mkdtemp(prefix="callout-postgres-"))
    server = Postgres(folder, _free_port(), found, durable)
    try:
        _make(server)
        server.start()
        yield server
    finally:
        if server.process is not None and server.process.poll() is None:
            server.kill()
        shutil.rmtree(folder, ignore_errors=True)


@contextmanager
def server_or_skip() -> Iterator[Postgres]:
    """A running server; where none can be had, the tests that want it are left out and say so."""
    if programs() is None:
        pytest.skip("left out: no PostgreSQL server can be had on this machine")
    with postgres_server() as running:
        yield running


def _make(server: Postgres) -> None:
    data = server.folder / "data"
    if os.geteuid() == 0:
        user = pwd.getpwnam(ACCOUNT)
        os.chown(server.folder, user.pw_uid, user.pw_gid)
        server.folder.chmod(0o755)
    _run([*_as_account(), str(server.bin / "initdb"), "-D", str(data), "-U", OWNER, "-A", "trust",
          "--no-sync", "-E", "UTF8", "--locale=C"])  # fmt: skip
    with (data / "postgresql.conf").open("a", encoding="utf-8") as settings:
        settings.write(SETTINGS)
    (data / "pg_hba.conf").write_text(ENTRANCE, encoding="utf-8")
    _run([*_as_account(), "openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2",
          "-subj", "/CN=localhost", "-addext", "subjectAltName=DNS:localhost",
          "-keyout", str(data / "server.key"), "-out", str(data / "server.crt")])  # fmt: skip
    shutil.copy(data / "server.crt", server.folder / "root.crt")


def _run(command: list[str]) -> None:
    done = subprocess.run(command, capture_output=True, text=True, timeout=HANG_S, cwd="/")
    assert done.returncode == 0, done.stderr


if __name__ == "__main__":
    with postgres_server() as running:
        print(running.address(OWNER, "postgres"), flush=True)
        sys.stdin.read()
