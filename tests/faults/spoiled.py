"""Files as a mistake, a bad disk, an editor or a stranger could make them, from a seed."""

from __future__ import annotations

import os
import random
import re
from collections.abc import Callable, Sequence
from pathlib import Path

TOKENS: Sequence[bytes] = (
    b":", b"|", b"=", b"{", b"}", b"[", b"]", b"(", b")", b";", b",", b"<", b">", b"\n", b"\r",
    b'"', b'"""', b"'", b"\x00", b"-1", b"#", b"$", b"\xff", b"\xfe\xff", b"  ", b"\t", b"home",
    b"{x}", b"{team}", b"{colour:a}", b"[a|b]", b"(a;b;c)", b"- ", b"? ", b"!!int ", b"!!binary x",
    b"&a [*a]", b"*a", b"<<: ", b"---\n", b"...\n", b"%", b"@", b"`", b"2001-99-99", b"1e999",
    b"nan", b"inf", b"0x", b"1_0", b"true", b"null", b"[[a]]", b"[a.b.c]", b"a.b.c = 1\n",
    b"+9999s", b"+99999999s", b"99:99", b"0:00", b"==", b"!!", b"??", b"<f>", b"../../etc/passwd",
    b"/dev/zero", b"x" * 300, b"9" * 30, b"9" * 5_000, b"99999999999999999999",
    "\u2028".encode(), "\u202e".encode(), "\u200b".encode(), "é".encode(), "٣".encode(),
    b"\x1b[2J", b"[/b]", b"[red]", b"\xed\xa0\x80",
)  # fmt: skip
"""Bytes that occur in files, and bytes that should not."""
COUNTS = (2, 3, 10, 21, 100, 1_000, 5_000)
LARGEST = 1 << 20
"""The most bytes of a spoiled file."""

Change = Callable[[random.Random, bytes], bytes]


def spoiled(rng: random.Random, whole: bytes) -> bytes:
    """The bytes with some random changes, sometimes with none."""
    for _ in range(rng.choice((0, 1, 1, 1, 1, 2, 2, 3, 6))):
        whole = rng.choice(CHANGES)(rng, whole)[:LARGEST]
    return whole


def write_spoiled(rng: random.Random, path: Path, whole: bytes) -> None:
    """Writes spoiled bytes; sometimes makes a pipe, folder or link instead of a file."""
    if rng.random() > 0.03:
        path.write_bytes(spoiled(rng, whole))
        return
    rng.choice((os.mkfifo, path.__class__.mkdir, _link_to_zero, _link_to_itself, _none))(path)


def _link_to_zero(path: Path) -> None:
    path.symlink_to("/dev/zero")


def _link_to_itself(path: Path) -> None:
    path.symlink_to(path)


def _none(path: Path) -> None:
    """Leaves nothing at the path."""


def _times(part: bytes, count: int) -> bytes:
    """The part repeated, up to the most bytes of a file."""
    return part * min(count, LARGEST // len(part) + 1)


def _put(rng: random.Random, whole: bytes) -> bytes:
    """Inserts a token or overwrites something with it."""
    at, out = rng.randint(0, len(whole)), rng.choice((0, 0, 0, 1, 3, 12))
    return whole[:at] + rng.choice(TOKENS) + whole[at + out :]


def _often(rng: random.Random, whole: bytes) -> bytes:
    """Inserts a token many times."""
    at = rng.randint(0, len(whole))
    between = rng.choice((b"", b"", b" ", b"\n"))
    return whole[:at] + _times(rng.choice(TOKENS) + between, rng.choice(COUNTS)) + whole[at:]


def _deep(rng: random.Random, whole: bytes) -> bytes:
    """Inserts nested brackets."""
    at, count = rng.randint(0, len(whole)), rng.choice(COUNTS)
    left, right = rng.choice(((b"[", b"]"), (b"{", b"}"), (b"(", b")"), (b"{a: ", b"}"),
                              (b"[\n", b"]\n"), (b"{a = ", b"}")))  # fmt: skip
    return whole[:at] + left * count + b"a" + right * rng.choice((0, count)) + whole[at:]


def _flip(rng: random.Random, whole: bytes) -> bytes:
    """Flips one bit."""
    if not whole:
        return whole
    at = rng.randrange(len(whole))
    return whole[:at] + bytes([whole[at] ^ 1 << rng.randrange(8)]) + whole[at + 1 :]


def _cut(rng: random.Random, whole: bytes) -> bytes:
    """Removes some bytes, or everything from a place on."""
    at = rng.randint(0, len(whole))
    return whole[:at] + whole[at + rng.choice((1, 10, 100, len(whole))) :]


def _again(rng: random.Random, whole: bytes) -> bytes:
    """Repeats a line many times."""
    lines = whole.splitlines(keepends=True)
    at = rng.randrange(len(lines)) if lines else 0
    again = [_times(line, rng.choice(COUNTS)) for line in lines[at : at + 1]]
    return b"".join([*lines[:at], *again, *lines[at + 1 :]])


def _swap(rng: random.Random, whole: bytes) -> bytes:
    """Swaps lines."""
    lines = whole.splitlines(keepends=True)
    rng.shuffle(lines)
    return b"".join(lines)


def _value(rng: random.Random, whole: bytes) -> bytes:
    """Replaces the value in a line."""
    places = [match.span(1) for match in re.finditer(rb"[:=|,] ?([^\n:=|,]+)", whole)]
    if not places:
        return whole
    begin, end = rng.choice(places)
    return whole[:begin] + rng.choice(TOKENS) + whole[end:]


def _number(rng: random.Random, whole: bytes) -> bytes:
    """Replaces a number."""
    places = [match.span() for match in re.finditer(rb"\d+", whole)]
    if not places:
        return whole
    begin, end = rng.choice(places)
    number = rng.choice((b"0", b"-1", b"100", b"255", b"65536", b"4294967296", b"9" * 30, b"1.5"))
    return whole[:begin] + number + whole[end:]


def _dotted(rng: random.Random, whole: bytes) -> bytes:
    """Inserts a name of many parts."""
    at = rng.choice((0, len(whole)))
    return whole[:at] + b"\n" + b"a." * rng.choice(COUNTS) + b"a = 1\n" + whole[at:]


def _aliases(rng: random.Random, whole: bytes) -> bytes:
    """Inserts aliases of aliases."""
    rows = [b"b0: &b0 [x, x, x, x, x, x, x, x, x]\n"]
    rows += [b"b%d: &b%d [%s]\n" % (n, n, b", ".join([b"*b%d" % (n - 1)] * 9)) for n in range(1, 9)]
    return whole + b"".join(rows)


CHANGES: Sequence[Change] = (
    _put, _put, _put, _value, _value, _value, _number, _number, _often, _deep, _flip, _flip, _cut,
    _again, _swap, _dotted, _aliases,
)  # fmt: skip
