"""Archives of models, brought from where they are published: by HTTP, or by Maven."""

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
"""Told of a step, how many bytes of it are done, and of how many, if that is known."""

BLOCK: Final = 1 << 18
TIMEOUT_S: Final = 20
MAVEN_TIMEOUT_S: Final = 1200

MOST_DIGITS: Final = 19
"""A length has fewer: with more it is no 64-bit number."""

ATTEMPTS: Final = 4
"""How often a download that breaks off is taken up again, as long as each time brings something."""


class UnreachableError(Exception):
    """One way to get a model did not work; another may."""


class BrokenOffError(UnreachableError):
    """A download ended early; what came is kept."""


class TooLargeError(UnreachableError):
    """More comes than the file can have: it is another one, or never ends."""

    def __init__(self, got: int, most_bytes: int) -> None:
        super().__init__(f"expected at most {most_bytes} bytes, got {got}")


def download(
    url: str, target: Path, tell: Callable[[int, int | None], None], most_bytes: int
) -> Path:
    """The file behind `url`, as `target`; one that broke off, now or in an earlier run, goes on.

    Until it is whole, what came lies beside it as `target.part`.

    Raises:
        UnreachableError: it cannot be had, or not to its end, or is larger than `most_bytes`.
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
                return  # nothing is left to send: all of it is here
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
    """How many bytes are said to come; None where nothing is said.

    Raises:
        UnreachableError: no number is said.
    """
    told = answer.headers.get("Content-Length")
    if told is None:
        return None
    # Source: RFC 9110, section 8.6: digits alone.
    if not (told.isascii() and told.isdigit() and len(told) < MOST_DIGITS):
        raise UnreachableError(f"expected a Content-Length in digits, got {told[:40]!r}")
    return int(told)


def _blocks(answer: http.client.HTTPResponse) -> Iterator[bytes]:
    """What comes, until it ends or breaks off; the caller counts."""
    try:
        while block := answer.read(BLOCK):
            yield block
    except (OSError, http.client.HTTPException) as error:
        raise BrokenOffError(f"broke off: {error}") from None


def by_maven(coordinates: str, folder: Path) -> Path:
    """The archive that Maven copies into `folder`, where there is a Maven.

    `dependency:copy` fetches as `dependency:get` does, and needs no knowledge of where this
    machine's Maven keeps what it fetched.

    Raises:
        UnreachableError: there is no Maven, or it cannot get it.
    """
    program = shutil.which("mvn")
    if program is None:
        raise UnreachableError("mvn is not installed")
    command = [program, "-q", "-B", "dependency:copy", f"-Dartifact={coordinates}",
               f"-DoutputDirectory={folder}"]  # fmt: skip
    try:
        # Away from any project whose pom.xml it would read.
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
