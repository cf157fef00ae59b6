"""What a program and its children reach for, by the system calls that strace shows.

Source: strace(1), connect(2), send(2), sendmmsg(2), socket(7), netlink(7), unix(7).
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

REACHES = ("connect", "sendto", "sendmsg", "sendmmsg")
"""The calls that may name an address to send to. Whoever looks a host up makes one of them, too."""
HIDES = "io_uring_setup"
"""Whoever makes this call could send without any of the others."""
HARMLESS = ("AF_NETLINK", "AF_UNSPEC")
"""Addresses of the kernel itself, and none: a socket that lets its address go."""
NOBODY = ("ENOENT", "ECONNREFUSED")
"""How it ends where no program serves a socket of this machine's files."""

_CALL = re.compile(r"\d+ +(\w+)\(")
_CUT = re.compile(r"(\d+) +(.*)<unfinished \.\.\.>$")
_REST = re.compile(r"(\d+) +<\.\.\. \w+ resumed>(.*)")
_ERROR = re.compile(r"\) += -1 (E\w+) \([^)]*\)$")
_PARTS = re.compile(
    r'sa_family=(?P<family>AF_\w+)|htons\((?P<port>\d+)\)|inet_addr\("(?P<four>[^"]*)"\)'
    r'|inet_pton\(AF_INET6, "(?P<six>[^"]*)"|sun_path=(?P<path>@?"(?:[^"\\]|\\.)*")'
    # What is sent is skipped: it may look like an address.
    r'|"(?:[^"\\]|\\.)*"'
)
_RUN = re.compile(r"\d+ +execve\([^[]*\[(?P<words>.*)\],")
_WORD = re.compile(r'"((?:[^"\\]|\\.)*)"')


@dataclass(frozen=True, slots=True)
class Address:
    """Where a call reached."""

    call: str
    family: str = ""
    place: str = ""
    """`HOST:PORT`, or the path of a socket; one outside the file system begins with `@`."""
    error: str = ""
    """Its errno where it failed; none where strace did not see its end."""

    @property
    def sends(self) -> bool:
        """Whether it may carry something to another program; so does a try at a host that fails."""
        if self.call == HIDES:
            return not self.error
        if self.call not in REACHES or self.family in HARMLESS:
            return False
        return not (self.family == "AF_UNIX" and self.error in NOBODY)

    def __str__(self) -> str:
        words = (self.call, self.family, self.place, self.error)
        return " ".join(word for word in words if word)


def strace(trace: Path, *command: str) -> list[str]:
    """The command to run another one so that its network calls are written into that file.

    Raises:
        AssertionError: strace is not installed.
    """
    if shutil.which("strace") is None:
        raise AssertionError("strace is needed for this: run it by make")
    # A program that is stopped at each of its calls, or each time it takes some sound, starves.
    shown = ",".join((*REACHES, "bind", "execve", HIDES))
    return ["strace", "-f", "--seccomp-bpf", "-e", f"trace={shown}", "-s", "64", "-o", str(trace),
            *command]  # fmt: skip


def addresses(trace: str) -> list[Address]:
    """All that the calls of a trace name, in their order, those of `bind` among them."""
    return [each for line in _whole(trace) for each in _of_line(line)]


def programs(trace: str) -> list[str]:
    """The commands that were run, each with its words, the program itself first."""
    lines = [line for line in _whole(trace) if not _ERROR.search(line)]
    return [" ".join(_WORD.findall(run["words"])) for line in lines if (run := _RUN.match(line))]


def _whole(trace: str) -> Iterator[str]:
    """The lines of a trace; a call that strace shows in two parts is one, where it ends."""
    begun: dict[str, str] = {}
    for line in trace.splitlines():
        if cut := _CUT.fullmatch(line):
            begun[cut[1]] = cut[2]
        elif rest := _REST.fullmatch(line):
            yield f"{rest[1]} {begun.pop(rest[1], '')}{rest[2]}"
        else:
            yield line
    yield from (f"{process} {call}" for process, call in begun.items())


def _of_line(line: str) -> Iterator[Address]:
    called = _CALL.match(line)
    if called is None or called[1] not in (*REACHES, "bind", HIDES):
        return
    failed = _ERROR.search(line)
    error = failed[1] if failed else ""
    if called[1] == HIDES:
        yield Address(HIDES, error=error)
    family = place = port = ""
    for part in _PARTS.finditer(line):
        if part["family"]:
            if family:
                yield Address(called[1], family, place + port, error)
            family, place, port = part["family"], "", ""
        elif part["port"]:
            port = f":{part['port']}"
        elif part["four"]:
            place = part["four"]
        elif part["six"]:
            place = f"[{part['six']}]"
        elif part["path"]:
            place = part["path"].replace('"', "")
    if family:
        yield Address(called[1], family, place + port, error)
