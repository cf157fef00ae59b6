"""A game's write-ahead log, read without SQLite: its pages, and whether it is damaged.

SQLite reads a log up to the first frame whose checksum fails, and removes all of it when the file
is closed. After a crash that is right, since what follows was never committed. After a flipped bit
it is wrong, since what follows are calls that were confirmed. So the log is read here before SQLite
may open it, and the two cases are told apart.

A log is a head of 32 bytes and frames of a head and one page each. A frame holds the number of its
page, whether a transaction ends with it, two random numbers ("salts") that are new each time the
log is started over, and a checksum that continues the checksum of the frame before it.

Source: SQLite, "Database File Format", section 4, "The Write-Ahead Log".
"""

from __future__ import annotations

import sqlite3
import struct
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import Enum
from typing import Final, NamedTuple

_HEAD: Final = 32
_FRAME_HEAD: Final = 24
_MAGIC: Final = {0x377F0682: "<", 0x377F0683: ">"}
"""The first four bytes of a log, and the byte order in which its checksums read words."""
_DEFAULT_PAGE: Final = 4_096
_PAGE_SIZES: Final = frozenset(512 << nth for nth in range(8))
_MOST_CLAIMED: Final = 1_000
"""Pages that a log may claim beyond those in it and in the main file; more are cut off."""
_MASK: Final = 0xFFFF_FFFF
_STEPS: Final = 10_000
"""Steps of SQLite between two looks at how long a query takes."""
_MOST_CALLBACKS: Final = 2_000
"""A query of an untrusted file is ended after this many times `_STEPS` steps of SQLite."""

Sums = tuple[int, int]


class State(Enum):
    """Whether a log is damaged, and where."""

    WHOLE = "whole"
    """Every committed transaction can be read; one that a crash cut short was never confirmed."""
    TORN = "torn"
    """The last transaction is damaged, by a power cut or after it was confirmed: which of the two
    cannot be known."""
    DAMAGED = "damaged"
    """There are whole frames behind the damage: confirmed calls that SQLite would not read."""


@dataclass(frozen=True, slots=True)
class Log:
    """A log's pages."""

    state: State = State.WHOLE
    page_bytes: int = _DEFAULT_PAGE
    count: int = 0
    """The size of the file in pages after the last commit; 0 if nothing was committed."""
    pages: Mapping[int, bytes] = field(default_factory=dict)
    """The newest version of each page, by number, up to the last commit that SQLite would read."""
    beyond: Mapping[int, bytes] = field(default_factory=dict)
    """The pages of frames behind the damage that are whole by themselves."""


class _Frame(NamedTuple):
    page: int
    commit: int
    """The file's size in pages after the transaction that ends with this frame, else 0."""
    salts: Sums
    sums: Sums
    summed: bytes
    """The bytes that the checksum covers: the first eight of the head, and the page."""

    def valid_after(self, former: Sums, order: str) -> bool:
        """Whether its checksum continues that of the frame before it."""
        return _sums(self.summed, former, order) == self.sums


def read_log(raw: bytes) -> Log:
    """The pages and the state of a log, from its bytes."""
    if len(raw) <= _HEAD + _FRAME_HEAD:
        return Log()
    magic, _, page, _, *rest = struct.unpack(">8I", raw[:_HEAD])
    order, salts, sums = _MAGIC.get(magic, "<"), (rest[0], rest[1]), (rest[2], rest[3])
    if magic not in _MAGIC or page not in _PAGE_SIZES or _sums(raw[:24], (0, 0), order) != sums:
        frames = list(_frames(raw, _DEFAULT_PAGE))
        return Log(State.DAMAGED, beyond=_whole_alone(frames, 0, order) if frames else {})
    frames = list(_frames(raw, page))
    pages: dict[int, bytes] = {}
    pending: dict[int, bytes] = {}
    count = bad = 0
    for frame in frames:
        if not frame.page or frame.salts != salts or not frame.valid_after(sums, order):
            break
        bad, sums = bad + 1, frame.sums
        pending[frame.page] = frame.summed[8:]
        if frame.commit:
            pages, pending, count = pages | pending, {}, frame.commit
    left = [frame for frame in frames[bad:] if _same_use(frame.salts, salts)]
    return Log(_state(left, order), page, count, pages, _whole_alone(left, 1, order))


def _state(left: list[_Frame], order: str) -> State:
    """The log's state, from its frames after the last good one; those of earlier uses are left out.

    Each transaction is flushed before the next one begins. So a whole frame behind a damaged
    transaction shows that this transaction had been confirmed.
    """
    if not left:
        return State.WHOLE
    ends = [nth for nth, frame in enumerate(left) if frame.commit]
    later = range(ends[0] + 1, len(left)) if ends else range(0)
    confirmed = any(left[nth].valid_after(left[nth - 1].sums, order) for nth in later)
    return State.DAMAGED if confirmed else State.TORN


def _whole_alone(frames: list[_Frame], first: int, order: str) -> dict[int, bytes]:
    """The pages of frames that continue the checksum stored in the frame before them."""
    pages = {}
    for nth in range(max(first, 1), len(frames)):
        if frames[nth].valid_after(frames[nth - 1].sums, order):
            pages[frames[nth].page] = frames[nth].summed[8:]
    return pages


def _frames(raw: bytes, page: int) -> Iterator[_Frame]:
    for at in range(_HEAD, len(raw) - _FRAME_HEAD - page + 1, _FRAME_HEAD + page):
        head = struct.unpack_from(">6I", raw, at)
        data = raw[at : at + 8] + raw[at + _FRAME_HEAD : at + _FRAME_HEAD + page]
        yield _Frame(head[0], head[1], (head[2], head[3]), (head[4], head[5]), data)


def _same_use(salts: Sums, own: Sums) -> bool:
    """Whether a frame belongs to this use of the log; one bit of its salts may be flipped.

    A log is started over with new salts, of which 32 bits are random; frames of the use before
    remain behind the new ones.
    """
    return sum((mine ^ its).bit_count() for mine, its in zip(own, salts, strict=True)) <= 1


def _sums(data: bytes, former: Sums, order: str) -> Sums:
    """SQLite's checksum of the data, continued from a former one. Source: section 4.2."""
    first, second = former
    words = iter(struct.unpack(f"{order}{len(data) // 4}I", data))
    for even, odd in zip(words, words, strict=True):
        first = first + even + second & _MASK
        second = second + odd + first & _MASK
    return first, second


# --- file and log together ------------------------------------------------------------------


def merged(main: bytes, log: Log, beyond: bool = False) -> bytes:
    """The game's file with the log's pages put into it; `beyond`: also those behind the damage."""
    pages = {**log.pages, **(log.beyond if beyond else {})}
    count = max([log.count, *pages] if beyond else [log.count])
    count = min(count, len(main) // log.page_bytes + len(pages) + _MOST_CLAIMED)
    whole = bytearray(main)
    if pages:
        whole = whole[: count * log.page_bytes].ljust(count * log.page_bytes, b"\x00")
    for number, page in pages.items():
        if number <= count:
            whole[(number - 1) * log.page_bytes : number * log.page_bytes] = page
    if len(whole) >= 100:
        whole[18:20] = b"\x01\x01"  # "This file has no log": file format, section 1.3.3.
    return bytes(whole)


def pages_short(main: bytes, log: Log) -> tuple[int, int] | None:
    """The pages that a file has and those that it should have, if some are missing; else None.

    Source: the same format, sections 1.3.2 and 1.3.7: the size in the header is valid if the newest
    change wrote it.
    """
    head = merged(main, log)[:100]
    if len(head) < 100 or head[24:28] != head[92:96]:
        return None
    page = int.from_bytes(head[16:18], "big")
    size, expected = 65_536 if page == 1 else page, int.from_bytes(head[28:32], "big")
    if size not in _PAGE_SIZES:
        return None
    there = sum(1 for number in log.pages if number > len(main) // size) + len(main) // size
    return (there, expected) if there < expected else None


def open_image(image: bytes) -> sqlite3.Connection:
    """A file's bytes as a database in memory, which is read but not trusted."""
    database = sqlite3.connect(":memory:", isolation_level=None, check_same_thread=False)
    if image:
        database.deserialize(image)
    database.execute("PRAGMA trusted_schema = OFF")
    database.text_factory = lambda raw: raw.decode(errors="replace")
    left = iter(range(_MOST_CALLBACKS))
    # A view can be crafted so that reading it never ends; this ends it with an error of SQLite.
    database.set_progress_handler(lambda: next(left, None) is None, _STEPS)
    return database
