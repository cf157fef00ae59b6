"""Archives of models, downloaded from an address or fetched by Maven."""

from __future__ import annotations

import http.client
import shutil
import subprocess
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Final

Progress = Callable[[str, int, int | None], None]
"""Called with a step, how many bytes of it are done, and how many there are, if that is known."""

BLOCK: Final = 1 << 18
"""Bytes that are read at a time."""
TIMEOUT_S: Final = 20
"""A server that sends nothing for this time has broken off."""
MAVEN_TIMEOUT_S: Final = 1200
"""The longest time for a whole download by Maven."""

MOST_DIGITS: Final = 19
"""A length has fewer digits than this: with more it would be no 64-bit number."""

ATTEMPTS: Final = 4
"""How often a download is tried that breaks off, as long as each try brings something."""


class UnreachableError(Exception):
    """One way to get a model did not work; another may."""


class BrokenOffError(UnreachableError):
    """A download ended early; what arrived is kept."""


class TooLargeError(UnreachableError):
    """More arrives than the file can hold: it is another file, or one without end."""

    def __init__(self, got: int, most_bytes: int) -> None:
        super().__init__(f"expected at most {most_bytes} bytes, got {got}")


def download(
    url: str, target: Path, tell: Callable[[int, int | None], None], most_bytes: int
) -> Path:
    """The file at `url`, saved as `target`; resumes a download that broke off, even in another run.

    Until the file is whole, what arrived of it is in `target.part`.

    Raises:
        UnreachableError: it cannot be had, not to its end, or is larger than `most_bytes`.
    """
    part = target.with_name(target.name + ".part")
    for attempt in range(1, ATTEMPTS + 1):
        before = _size(part)
        try:
            _go_on(url, part, tell, most_bytes)
            break
        except TooLargeError:
            part.unlink(missing_ok=True)
            raise
        except BrokenOffError:
            if attempt == ATTEMPTS or _size(part) <= before:
                raise
    part.replace(target)
    return target


def _size(path: Path) -> int:
    return path.stat().st_size if path.exists() else 0


def _go_on(url: str, part: Path, tell: Callable[[int, int | None], None], most_bytes: int) -> None:
    have = _size(part)
    request = urllib.request.Request(url)
    if have:
        request.add_header("Range", f"bytes={have}-")
    try:
        answer = urllib.request.urlopen(request, timeout=TIMEOUT_S)
    except urllib.error.HTTPError as error:
        with error:
            if error.code == http.HTTPStatus.REQUESTED_RANGE_NOT_SATISFIABLE:
                return  # nothing is left to send: the whole file has arrived
            raise UnreachableError(f"answers {error.code}") from None
    except (OSError, http.client.HTTPException) as error:
        raise UnreachableError(f"{getattr(error, 'reason', error)}") from None
    with answer:
        resumed = answer.status == http.HTTPStatus.PARTIAL_CONTENT
        have = have if resumed else 0
        length = _length(answer)
        total = None if length is None else have + length
        if total is not None and total > most_bytes:
            raise TooLargeError(total, most_bytes)
        with part.open("ab" if resumed else "wb") as file:
            for block in _blocks(answer):
                file.write(block)
                have += len(block)
                if have > most_bytes:
                    raise TooLargeError(have, most_bytes)
                tell(have, total)
    if total is not None and have < total:
        raise BrokenOffError(f"broke off after {have} of {total} bytes")


def _length(answer: http.client.HTTPResponse) -> int | None:
    """How many bytes the server announces; None where it announces nothing.

    Raises:
        UnreachableError: what it announces is no number.
    """
    told = answer.headers.get("Content-Length")
    if told is None:
        return None
    # Source: RFC 9110, section 8.6: digits only.
    if not (told.isascii() and told.isdigit() and len(told) < MOST_DIGITS):
        raise UnreachableError(f"expected a Content-Length in digits, got {told[:40]!r}")
    return int(told)


def _blocks(answer: http.client.HTTPResponse) -> Iterator[bytes]:
    """The blocks that arrive until the answer ends; the caller checks whether it was whole."""
    try:
        while block := answer.read(BLOCK):
            yield block
    except (OSError, http.client.HTTPException) as error:
        raise BrokenOffError(f"broke off: {error}") from None


def by_maven(coordinates: str, folder: Path) -> Path:
    """The archive that Maven copies into `folder`.

    `dependency:copy` is used and not `dependency:get`, because the place where this machine's Maven
    keeps what it fetched need not be known.

    Raises:
        UnreachableError: Maven is not installed, or cannot get it.
    """
    program = shutil.which("mvn")
    if program is None:
        raise UnreachableError("mvn is not installed")
    command = [program, "-q", "-B", "dependency:copy", f"-Dartifact={coordinates}",
               f"-DoutputDirectory={folder}"]  # fmt: skip
    try:
        # In a folder of its own: Maven would read the pom.xml of a project.
        done = subprocess.run(command, stdin=subprocess.DEVNULL, capture_output=True, text=True,
                              cwd=folder, timeout=MAVEN_TIMEOUT_S)  # fmt: skip
    except subprocess.TimeoutExpired:
        raise UnreachableError(f"mvn did not end within {MAVEN_TIMEOUT_S} seconds") from None
    _, artifact, version, kind = coordinates.split(":")
    archive = folder / f"{artifact}-{version}.{kind}"
    if done.returncode != 0:
        lines = (done.stdout + done.stderr).strip().splitlines() or ["no reason given"]
        raise UnreachableError(lines[0][:200])
    if not archive.is_file():
        raise UnreachableError(f"mvn brought no {archive.name}")
    return archive
