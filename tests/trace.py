"""The network addresses that a program and its children use, read from strace's output.

Source: strace(1), connect(2), send(2), sendmmsg(2), socket(7), netlink(7), unix(7).
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

REACHES = ("connect", "sendto", "sendmsg", "sendmmsg")
"""System calls that name an address to send to. Looking up a host needs one of them, too."""
HIDES = "io_uring_setup"
"""After this call a program can send without the others."""
HARMLESS = ("AF_NETLINK", "AF_UNSPEC")
"""Families that send nothing: the kernel's own, and a socket that drops its address."""
NOBODY = ("ENOENT", "ECONNREFUSED")
"""Errors of a local socket that no program listens to."""

_CALL = re.compile(r"\d+ +(\w+)\(")
_CUT = re.compile(r"(\d+) +(.*)<unfinished \.\.\.>$")
_REST = re.compile(r"(\d+) +<\.\.\. \w+ resumed>(.*)")
_ERROR = re.compile(r"\) += -1 (E\w+) \([^)]*\)$")
_PARTS = re.compile(
    r'sa_family=(?P<family>AF_\w+)|htons\((?P<port>\d+)\)|inet_addr\("(?P<four>[^"]*)"\)'
    r'|inet_pton\(AF_INET6, "(?P<six>[^"]*)"|sun_path=(?P<path>@?"(?:[^"\\]|\\.)*")'
    # Data that is sent is skipped: it may look like an address.
    r'|"(?:[^"\\]|\\.)*"'
)
_RUN = re.compile(r"\d+ +execve\([^[]*\[(?P<words>.*)\],")
_WORD = re.compile(r'"((?:[^"\\]|\\.)*)"')


@dataclass(frozen=True, slots=True)
class Address:
    """One system call and the address that it named."""

    call: str
    family: str = ""
    place: str = ""
    """`HOST:PORT`, or the path of a socket; one outside the file system begins with `@`."""
    error: str = ""
    """Its errno if it failed; empty where strace did not see its end."""

    @property
    def sends(self) -> bool:
        """Whether it may reach another program. A host that could not be reached counts, too."""
        if self.call == HIDES:
            return not self.error
        if self.call not in REACHES or self.family in HARMLESS:
            return False
        return not (self.family == "AF_UNIX" and self.error in NOBODY)

    def __str__(self) -> str:
        words = (self.call, self.family, self.place, self.error)
        return " ".join(word for word in words if word)


def strace(trace: Path, *command: str) -> list[str]:
    """The command that runs another one and writes its network calls into a file.

    Raises:
        AssertionError: strace is not installed.
    """
    if shutil.which("strace") is None:
        raise AssertionError("strace is needed for this: run it by make")
    # Stopped at every system call, or each time it reads sound, a program would be too slow.
    shown = ",".join((*REACHES, "bind", "execve", HIDES))
    return ["strace", "-f", "--seccomp-bpf", "-e", f"trace={shown}", "-s", "64", "-o", str(trace),
            *command]  # fmt: skip


def addresses(trace: str) -> list[Address]:
    """Every address that a trace names, in order, those of `bind` included."""
    return [each for line in _whole(trace) for each in _of_line(line)]


def programs(trace: str) -> list[str]:
    """The command lines that were run, the program's own first."""
    lines = [line for line in _whole(trace) if not _ERROR.search(line)]
    return [" ".join(_WORD.findall(run["words"])) for line in lines if (run := _RUN.match(line))]


def _whole(trace: str) -> Iterator[str]:
    """The lines of a trace; a call shown in two parts becomes one line, at its end."""
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
