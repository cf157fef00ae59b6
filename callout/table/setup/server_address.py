"""The address of a league's server: what may stand in it, wherever it is given."""

from __future__ import annotations

from typing import Final
from urllib.parse import SplitResult, parse_qsl, urlsplit

from callout.errors import CalloutError

ALLOWED: Final = ("sslmode", "sslrootcert")
"""What may follow the question mark. Others name files to read or change what the server does."""

LOCAL: Final = ("", "localhost", "127.0.0.1", "::1")
"""Hosts that no network leads to."""

FORM: Final = "postgresql://ROLE@HOST/DATABASE"

CHECKED: Final = "verify-full"
"""The one way of TLS that proves which server answers.

Source: PostgreSQL, "SSL Support", section "Client Verification of Server Certificates".
"""


def check_address(text: str) -> str:
    """The address, if it can be used.

    Raises:
        CalloutError: it has another form, holds a password, or would send without a proof of who
            answers; the message says what to do.
    """
    parts = _split(text)
    if parts.password is not None:
        what = "expected no password in a league's address, which others can read"
        raise CalloutError(f"{what}: put it into the file ~/.pgpass")
    given = dict(parse_qsl(parts.query, keep_blank_values=True))
    if unknown := sorted(set(given) - set(ALLOWED)):
        what = f"expected {' or '.join(ALLOWED)} behind the question mark"
        raise CalloutError(f"{what} of a league's address, got {unknown[0]!r}")
    mode = given.get("sslmode", CHECKED)
    if not is_local(text) and mode != CHECKED:
        what = f"a league's server elsewhere must prove who it is: expected sslmode={CHECKED}"
        raise CalloutError(f"{what}, got {mode!r}")
    return text


def is_local(text: str) -> bool:
    """Whether the server is on this machine."""
    return (_split(text).hostname or "") in LOCAL


def host_of(text: str) -> str:
    """The server's name, to be shown."""
    return _split(text).hostname or "this machine"


def _split(text: str) -> SplitResult:
    try:
        parts = urlsplit(text)
        named = parts.scheme in ("postgresql", "postgres") and parts.path.strip("/")
        _ = parts.port
    except ValueError:
        named = ""
    if not named or any(sign.isspace() for sign in text):
        raise CalloutError(f"expected a league's address, {FORM}, got {text!r:.100}")
    if "," in parts.netloc or "%" in parts.netloc:
        raise CalloutError(f"expected one host, written plainly, got {parts.netloc!r:.100}")
    return parts
