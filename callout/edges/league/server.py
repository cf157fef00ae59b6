"""A connection to a league's server, and its errors in words."""

from __future__ import annotations

import logging
import ssl
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from callout.errors import CalloutError
from callout.table.setup.server_address import CHECKED, check_address, host_of, is_local

if TYPE_CHECKING:
    import psycopg

    Connection = psycopg.Connection[tuple[Any, ...]]

CONNECTS_S: Final = 10
"""A server that takes longer to answer cannot be reached."""

LONGEST_MS: Final = 120_000
"""A statement that takes longer is given up, except a migration."""

NEEDS: Final = "the league's server needs the package psycopg: pip install 'callout[league]'"

NO_RIGHT: Final = "42501"
NO_SCHEMA: Final = ("3F000", "42P01", "42883")
"""The schema, a table or a function is not there.

Source of all codes: PostgreSQL, appendix "PostgreSQL Error Codes". CO001 and on are our own.
"""


class LeagueError(CalloutError):
    """The league's server refused; the text says why."""


class UnreachableError(LeagueError):
    """The league's server cannot be reached now; later it may be."""


@contextmanager
def connected(
    address: str, longest_ms: int = LONGEST_MS, reads: bool = False
) -> Iterator[Connection]:
    """A connection to the server at an address; `reads`: one that can change nothing.

    Raises:
        UnreachableError: no server answers, or the connection breaks.
        LeagueError: the address or the role is wrong, or the server refuses what is asked.
    """
    options = _options(address, longest_ms, reads)
    try:
        import psycopg
    except ImportError:
        raise LeagueError(NEEDS) from None
    # A connection that breaks is told here, in words.
    logging.getLogger("psycopg").setLevel(logging.CRITICAL)
    try:
        with psycopg.connect(address, autocommit=True, **options) as connection:
            yield connection
    except psycopg.Error as error:
        raise in_words(error, address) from None


def _options(address: str, longest_ms: int, reads: bool) -> dict[str, Any]:
    check_address(address)
    settings = {"statement_timeout": longest_ms, "search_path": "pg_catalog",
                "default_transaction_read_only": "on" if reads else "off"}  # fmt: skip
    options: dict[str, Any] = {
        "connect_timeout": CONNECTS_S,
        "application_name": f"callout {version('callout')}",
        # A network that is cut in the middle is noticed in half a minute.
        "keepalives_idle": 10,
        "keepalives_interval": 5,
        "keepalives_count": 3,
        "tcp_user_timeout": 30_000,
        # It would ask a server for tickets.
        "gssencmode": "disable",
        "options": " ".join(f"-c {name}={value}" for name, value in settings.items()),
    }
    if not is_local(address):
        options["sslmode"] = CHECKED
        if "sslrootcert" not in address:
            options["sslrootcert"] = _roots()
    return options


def _roots() -> str:
    """The certificates that are trusted: one's own for PostgreSQL, else those of the system."""
    own = Path.home() / ".postgresql" / "root.crt"
    if own.is_file():
        return str(own)
    return ssl.get_default_verify_paths().cafile or "system"


def in_words(error: psycopg.Error, address: str) -> LeagueError:
    """An error of the server or the network as one line for a person."""
    import psycopg

    state, host = error.sqlstate or "", host_of(address)
    told = next((line.strip() for line in str(error).splitlines() if line.strip()), "")
    if state.startswith("CO"):
        return LeagueError(f"{host} refuses: {told}")
    if state == NO_RIGHT:
        return LeagueError(f"{host} refuses: this role has no right to do that: {told}")
    if state in NO_SCHEMA:
        return LeagueError(f"{host}: no league's tables are there, or older ones: {told}; its "
                           "owner makes them: callout league migrate")  # fmt: skip
    if state.startswith(("22", "23")):
        return LeagueError(f"{host} refuses what is no game's: {told}")
    if isinstance(error, psycopg.OperationalError | psycopg.InterfaceError):
        return _no_connection(told, host)
    return LeagueError(f"{host}: {told}")


def _no_connection(told: str, host: str) -> LeagueError:
    # libpq puts each address that it tried before the reason.
    why = told.rpartition("failed: ")[2].removeprefix("FATAL:").strip()
    known = {
        "does not support SSL": "it does not speak TLS, so nothing was sent",
        "certificate verify failed": "it does not prove who it is, so nothing was sent",
        "does not match host name": "its certificate is for another name, so nothing was sent",
        "password authentication failed": "the password is wrong; it belongs into ~/.pgpass",
        "no password supplied": "it asks for a password; it belongs into ~/.pgpass",
        "does not exist": why,
        "pg_hba.conf": f"it lets nobody in like this: {why}",
    }
    for part, words in known.items():
        if part in told:
            return LeagueError(f"{host}: {words}")
    return UnreachableError(f"{host} cannot be reached: {why}")
