"""The fuzz itself: it reports tracebacks, slow files, blocked reads and crashed children."""

from __future__ import annotations

import gc
import mmap
import os
import random
import time
from pathlib import Path

import pytest

from callout.errors import CalloutError
from tests.faults.fuzz import LIMITS, Limits, some, tally_of, told
from tests.faults.spoiled import CHANGES, spoiled

FIRST = "x 0"
"""What the first try of a reader that is called x draws from."""


def is_first(rng: random.Random) -> bool:
    return rng.random() == random.Random(FIRST).random()


def good(folder: Path, rng: random.Random) -> None:
    (folder / "made").touch()


def refuses(folder: Path, rng: random.Random) -> None:
    raise CalloutError("no")


def breaks(folder: Path, rng: random.Random) -> None:
    if is_first(rng):
        raise ValueError("of its own\tkind\n")


def spins(folder: Path, rng: random.Random) -> None:
    first = is_first(rng)
    while first:
        pass


def waits(folder: Path, rng: random.Random) -> None:
    if is_first(rng):
        time.sleep(1_000)


def dies(folder: Path, rng: random.Random) -> None:
    if is_first(rng):
        os._exit(3)


GROWS_MB = 300
"""Far more than the 64 MB of freed heap that malloc may give back to the system during a try, which
hides as much growth. From mallopt(3): twice the largest M_MMAP_THRESHOLD."""


def grows(folder: Path, rng: random.Random) -> None:
    # From the system: malloc may give what an earlier test of this process has freed.
    with mmap.mmap(-1, GROWS_MB << 20):
        pass


@pytest.mark.parametrize(
    ("reader", "limits", "says"),
    [
        (breaks, LIMITS, "x 0: ValueError: of its own kind at"),
        (spins, Limits(stopped_s=0.1), "x 0: TooLongError"),
        (spins, Limits(stopped_s=0.1, longest_s=0.01), "x 0: TooLongError"),
        (waits, Limits(silent_s=1.0), "x 0: nothing came of it for 1 s"),
        (dies, LIMITS, "x 0: its child ended with 3"),
    ],
)
def test_a_fault_is_seen_and_the_rest_is_tried(
    tmp_path: Path, reader: object, limits: Limits, says: str
) -> None:
    tally = tally_of("x", reader, tmp_path, 5, limits)  # type: ignore[arg-type]
    assert (tally.tried, tally.accepted) == (5, 4)
    (fault,) = tally.faults
    assert fault.startswith(says)


def test_memory_is_seen(tmp_path: Path) -> None:
    tally = tally_of("x", grows, tmp_path, 1, Limits(most_mb=50.0))
    assert [fault.split(" with ")[0] for fault in tally.faults] == ["x 0: accepted"]
    assert tally.most_mb > 50


def frees_and_grows(folder: Path, rng: random.Random) -> None:
    gc.collect()
    grows(folder, rng)


@pytest.mark.thorough
def test_memory_is_seen_though_as_much_is_freed_meanwhile(tmp_path: Path) -> None:
    """Once in a whole run a worker's garbage was freed in the child, during the try."""
    gc.disable()
    try:
        garbage: list[object] = [mmap.mmap(-1, GROWS_MB << 20)]
        garbage.append(garbage)
        del garbage
        tally = tally_of("x", frees_and_grows, tmp_path, 1, Limits(most_mb=50.0))
    finally:
        gc.enable()
        gc.collect()
    assert tally.most_mb > 50


def test_a_slow_file_is_seen(tmp_path: Path) -> None:
    tally = tally_of("x", good, tmp_path, 1, Limits(longest_s=-1.0))
    assert tally.faults[0].startswith("x 0: accepted after")


def test_what_comes_of_it_is_counted(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    both = [tally_of("good", good, tmp_path, 3), tally_of("bad", refuses, tmp_path, 2)]
    assert [(each.tried, each.refused, each.accepted) for each in both] == [(3, 0, 3), (2, 2, 0)]
    result = told(both, 7)
    assert (result.tried, result.lost, result.counts) == (5, 0, {"seconds": 7})
    assert "good" in capsys.readouterr().out
    assert list(tmp_path.iterdir()) == []


def test_a_number_draws_the_same_file() -> None:
    drawn = [spoiled(random.Random(f"x {number}"), b"home: A | 4\n" * 3) for number in range(300)]
    again = [spoiled(random.Random(f"x {number}"), b"home: A | 4\n" * 3) for number in range(300)]
    assert drawn == again
    assert len(set(drawn)) > 150


@pytest.mark.parametrize("change", CHANGES)
@pytest.mark.parametrize("whole", [b"", b"a", b"a: 1\nb = 2\n"])
def test_any_file_can_be_spoiled(change: object, whole: bytes) -> None:
    for number in range(20):
        assert isinstance(change(random.Random(number), whole), bytes)  # type: ignore[operator]


@pytest.mark.thorough
def test_every_reader_accepts_some_files_and_refuses_some(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A reader that refuses every file, or none, is not really being tried."""
    some(tmp_path, 12)
    rows = [line.split() for line in capsys.readouterr().out.splitlines()[1:14]]
    assert len(rows) == 13
    assert [row[0] for row in rows if row[2] == "0" or row[3] == "0"] == []
