"""A write-ahead log read without SQLite, against what SQLite itself makes of the same bytes.

Source: SQLite, "Database File Format", section 4.
"""

from __future__ import annotations

import random
import shutil
import sqlite3
import struct
from contextlib import closing
from pathlib import Path

import pytest

from callout.table.book.write_ahead_log import Log, State, merged, open_image, pages_short, read_log

HEAD, FRAME = 32, 24 + 4_096


@pytest.fixture
def crashed(tmp_path: Path) -> tuple[Path, Path]:
    """A database of one table, and a log of ten transactions that no program closed."""
    path = tmp_path / "whole"
    database = sqlite3.connect(path, isolation_level=None)
    database.execute("PRAGMA journal_mode = WAL")
    database.execute("CREATE TABLE t (id INTEGER PRIMARY KEY, text TEXT)")
    database.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    for number in range(10):
        database.execute("INSERT INTO t VALUES (?, ?)", (number, f"{number}" * 1_500))
    main, log = tmp_path / "x", tmp_path / "x-wal"
    shutil.copyfile(path, main)
    shutil.copyfile(f"{path}-wal", log)
    database.close()
    return main, log


def shown(main: Path, log: bytes) -> list[int]:
    """What SQLite shows of the file with such a log."""
    main.with_name("y").write_bytes(main.read_bytes())
    main.with_name("y-wal").write_bytes(log)
    with closing(sqlite3.connect(main.with_name("y"))) as database:
        return [row[0] for row in database.execute("SELECT id FROM t")]


def read(main: Path, log: bytes) -> list[int]:
    """What we show of it."""
    with closing(open_image(merged(main.read_bytes(), read_log(log)))) as database:
        return [row[0] for row in database.execute("SELECT id FROM t")]


def test_a_whole_log_gives_what_sqlite_gives(crashed: tuple[Path, Path]) -> None:
    main, log = crashed
    raw = log.read_bytes()
    assert read_log(raw).state is State.WHOLE
    assert read(main, raw) == shown(main, raw) == list(range(10))
    assert read_log(b"") == Log()
    assert read(main, b"") == []


def test_a_log_that_ends_anywhere_was_cut_short_by_a_crash(crashed: tuple[Path, Path]) -> None:
    """So it is taken up to its last commit, as SQLite takes it."""
    main, log = crashed
    raw = log.read_bytes()
    for end in range(0, len(raw), 512):
        assert read_log(raw[:end]).state is State.WHOLE
        assert read(main, raw[:end]) == shown(main, raw[:end])


def test_one_bit_turned_over_anywhere_is_seen(crashed: tuple[Path, Path]) -> None:
    main, log = crashed
    whole = log.read_bytes()
    commits = [nth for nth in range((len(whole) - HEAD) // FRAME) if commit_of(whole, nth)]
    dice = random.Random(5)
    for _ in range(200):
        bit = dice.randrange(8 * len(whole))
        raw = flipped(whole, bit)
        frame = (bit // 8 - HEAD) // FRAME
        assert read(main, raw) == shown(main, raw)
        state = read_log(raw).state
        assert state is not State.WHOLE
        # Behind it there is at least one transaction that is whole.
        if bit // 8 < HEAD or frame < commits[-3]:
            assert state is State.DAMAGED, (bit, frame)


def test_every_bit_of_a_frame_s_head_and_of_the_log_s(crashed: tuple[Path, Path]) -> None:
    _, log = crashed
    whole = log.read_bytes()
    last = HEAD + ((len(whole) - HEAD) // FRAME - 1) * FRAME
    for place in (*range(HEAD), *range(HEAD, HEAD + 24), *range(last, last + 24)):
        for bit in range(8):
            assert read_log(flipped(whole, 8 * place + bit)).state is not State.WHOLE


def test_pages_behind_the_damage_are_there_for_recovery(crashed: tuple[Path, Path]) -> None:
    main, log = crashed
    raw = flipped(log.read_bytes(), 8 * (HEAD + FRAME // 2))
    found = read_log(raw)
    assert found.state is State.DAMAGED
    with closing(open_image(merged(main.read_bytes(), found, beyond=True))) as database:
        assert database.execute("SELECT max(id) FROM t").fetchone() == (9,)


def test_frames_of_an_earlier_use_of_the_log_are_not_taken_for_damage(tmp_path: Path) -> None:
    """A log is begun anew after a checkpoint, over its old frames, which have other salts."""
    path = tmp_path / "x"
    database = sqlite3.connect(path, isolation_level=None)
    for order in ("PRAGMA journal_mode = WAL", "CREATE TABLE t (id INTEGER PRIMARY KEY, text)"):
        database.execute(order)
    for number in range(20):
        database.execute("INSERT INTO t VALUES (?, ?)", (number, "x" * 3_000))
    database.execute("PRAGMA wal_checkpoint(RESTART)")
    database.execute("INSERT INTO t VALUES (99, 'new')")
    raw, main = Path(f"{path}-wal").read_bytes(), path.read_bytes()
    database.close()
    found = read_log(raw)
    assert len(raw) > 20 * FRAME
    assert (found.state, len(found.pages)) == (State.WHOLE, 1)
    with closing(open_image(merged(main, found))) as database:
        assert database.execute("SELECT count(*) FROM t").fetchone() == (21,)


def test_a_log_that_claims_a_huge_file_is_not_believed(crashed: tuple[Path, Path]) -> None:
    main, log = crashed
    found = read_log(log.read_bytes())
    huge = Log(State.WHOLE, 4_096, 2**31, found.pages)
    assert len(merged(main.read_bytes(), huge)) < 10_000_000


def test_pages_that_are_missing_are_counted(crashed: tuple[Path, Path]) -> None:
    main, log = crashed
    raw, found = main.read_bytes(), read_log(log.read_bytes())
    assert pages_short(raw, Log()) is None
    assert pages_short(raw, found) is None
    assert pages_short(raw[:4_096], Log()) == (1, 2)
    assert pages_short(b"", Log()) is None
    database = sqlite3.connect(main)
    database.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
    database.close()
    whole = main.read_bytes()
    pages = len(whole) // 4_096
    assert pages_short(whole[: -2 * 4_096], Log()) == (pages - 2, pages)


def test_a_view_without_an_end_ends_as_an_error() -> None:
    with closing(sqlite3.connect(":memory:")) as made:
        made.execute("CREATE VIEW v AS WITH RECURSIVE n(x) AS (SELECT 1 UNION ALL SELECT x FROM n) "
                     "SELECT x FROM n")  # fmt: skip
        image = made.serialize()
    with closing(open_image(image)) as database, pytest.raises(sqlite3.Error, match="interrupted"):
        database.execute("SELECT count(*) FROM v").fetchall()


def commit_of(raw: bytes, frame: int) -> int:
    """The size of the file after a frame, if a transaction ends with it."""
    size: int = struct.unpack_from(">I", raw, HEAD + frame * FRAME + 4)[0]
    return size


def flipped(raw: bytes, bit: int) -> bytes:
    """The bytes with that bit turned over."""
    data = bytearray(raw)
    data[bit // 8] ^= 1 << bit % 8
    return bytes(data)
