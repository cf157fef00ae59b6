"""A game's write-ahead log, read without SQLite: the pages in it, and whether all of it is whole.

SQLite takes a log up to the first frame whose checksum fails, and removes all of it when the file
is closed. That is right after a crash, where what follows was never committed. Where a bit is bad,
what follows are calls that were confirmed; so the log is read here before SQLite may open it.

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
"""How a log begins, and in which order its checksums take the bytes of a word."""
_USUAL_PAGE: Final = 4_096
_PAGES: Final = frozenset(512 << nth for nth in range(8))
_UNWRITTEN: Final = 1_000
"""Pages that a log may claim beyond those in it and in the main file; more is cut off."""
_MASK: Final = 0xFFFF_FFFF
_LIMIT: Final = 2_000
"""Times that SQLite may do this many steps before what is asked of a strange file is given up."""
_STEPS: Final = 10_000

Sums = tuple[int, int]


class State(Enum):
    """What became of a log."""

    WHOLE = "whole"
    """Every committed transaction can be read; one that a crash cut short was never confirmed."""
    TORN = "torn"
    """The last transaction is damaged: by a power cut, or after it was confirmed."""
    DAMAGED = "damaged"
    """Damaged with more behind: calls that were confirmed cannot be read by SQLite."""


@dataclass(frozen=True, slots=True)
class Log:
    """A log's pages."""

    state: State = State.WHOLE
    page_bytes: int = _USUAL_PAGE
    count: int = 0
    """How many pages the file has after the last commit; 0 if none was committed."""
    pages: Mapping[int, bytes] = field(default_factory=dict)
    """The newest of each page up to the last commit that SQLite would take, by its number."""
    beyond: Mapping[int, bytes] = field(default_factory=dict)
    """The same of frames behind the damage that are whole by themselves."""


class _Frame(NamedTuple):
    page: int
    commit: int
    """The file's size in pages after the transaction that ends with this frame, else 0."""
    salts: Sums
    sums: Sums
    summed: bytes
    """What its checksum is made of: the head's first eight bytes, and the page."""

    def valid_after(self, former: Sums, order: str) -> bool:
        """Whether its checksum continues that of the frame before it."""
        return _sums(self.summed, former, order) == self.sums


def read_log(raw: bytes) -> Log:
    """What is in a log's bytes."""
    if len(raw) <= _HEAD + _FRAME_HEAD:
        return Log()
    magic, _, page, _, *rest = struct.unpack(">8I", raw[:_HEAD])
    order, salts, sums = _MAGIC.get(magic, "<"), (rest[0], rest[1]), (rest[2], rest[3])
    if magic not in _MAGIC or page not in _PAGES or _sums(raw[:24], (0, 0), order) != sums:
        frames = list(_frames(raw, _USUAL_PAGE))
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
    left = [frame for frame in frames[bad:] if _alike(frame.salts, salts)]
    return Log(_state(left, order), page, count, pages, _whole_alone(left, 1, order))


def _state(left: list[_Frame], order: str) -> State:
    """What the frames from the first bad one on show; those of an earlier use of the log are out.

    Each transaction is flushed before the next one begins. So a frame that is whole, behind the
    end of a transaction that is not, shows that the latter had been confirmed.
    """
    if not left:
        return State.WHOLE
    ends = [nth for nth, frame in enumerate(left) if frame.commit]
    later = range(ends[0] + 1, len(left)) if ends else range(0)
    confirmed = any(left[nth].valid_after(left[nth - 1].sums, order) for nth in later)
    return State.DAMAGED if confirmed else State.TORN


def _whole_alone(frames: list[_Frame], first: int, order: str) -> dict[int, bytes]:
    """Pages whose frame continues the checksum that stands in the frame before it."""
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


def _alike(salts: Sums, own: Sums) -> bool:
    """Whether a frame is of this use of the log, with one bit of its salts turned over at most.

    Each use has salts of its own, of which 32 bits are random.
    """
    return sum((mine ^ its).bit_count() for mine, its in zip(own, salts, strict=True)) <= 1


def _sums(data: bytes, former: Sums, order: str) -> Sums:
    first, second = former
    words = iter(struct.unpack(f"{order}{len(data) // 4}I", data))
    for even, odd in zip(words, words, strict=True):
        first = first + even + second & _MASK
        second = second + odd + first & _MASK
    return first, second


# --- the file that it makes -----------------------------------------------------------------


def merged(main: bytes, log: Log, beyond: bool = False) -> bytes:
    """The game's file with the log's pages in it; `beyond`: also those behind the damage."""
    pages = {**log.pages, **(log.beyond if beyond else {})}
    count = max([log.count, *pages] if beyond else [log.count])
    count = min(count, len(main) // log.page_bytes + len(pages) + _UNWRITTEN)
    whole = bytearray(main)
    if pages:
        whole = whole[: count * log.page_bytes].ljust(count * log.page_bytes, b"\x00")
    for number, page in pages.items():
        if number <= count:
            whole[(number - 1) * log.page_bytes : number * log.page_bytes] = page
    if len(whole) >= 100:
        whole[18:20] = b"\x01\x01"  # that it has no log any more: file format, section 1.3.3
    return bytes(whole)


def pages_short(main: bytes, log: Log) -> tuple[int, int] | None:
    """How many pages a file has, and how many it should have, where these are fewer.

    Source: the same format, sections 1.3.2 and 1.3.7: the size in the header holds where it was
    written with the newest change.
    """
    head = merged(main, log)[:100]
    if len(head) < 100 or head[24:28] != head[92:96]:
        return None
    page = int.from_bytes(head[16:18], "big")
    size, expected = 65_536 if page == 1 else page, int.from_bytes(head[28:32], "big")
    if size not in _PAGES:
        return None
    there = sum(1 for number in log.pages if number > len(main) // size) + len(main) // size
    return (there, expected) if there < expected else None


def open_image(image: bytes) -> sqlite3.Connection:
    """A file's bytes as a database in memory, to be read and not trusted."""
    database = sqlite3.connect(":memory:", isolation_level=None, check_same_thread=False)
    if image:
        database.deserialize(image)
    database.execute("PRAGMA trusted_schema = OFF")
    database.text_factory = lambda raw: raw.decode(errors="replace")
    left = iter(range(_LIMIT))
    # A view may be made to be read without end; this ends it as an error of SQLite.
    database.set_progress_handler(lambda: next(left, None) is None, _STEPS)
    return database
