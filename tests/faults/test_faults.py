"""Each fault, tried a few times. `make faults` tries them often and prints the table.

Source of what a flush promises: SQLite, "Atomic Commit In SQLite" and "Write-Ahead Logging".
"""

from __future__ import annotations

from functools import partial
from pathlib import Path
from random import Random

import pytest

from callout.table.book import database
from tests.faults import (
    damage,
    devices,
    disks,
    flips,
    fuzz,
    kills,
    network,
    pages,
    power,
    soak,
    talk,
)
from tests.faults.__main__ import Fault, moved
from tests.faults.network import Traced
from tests.faults.playing import lost
from tests.faults.power import Disk, Step
from tests.faults.result import Result, added, read_results, table, write_result
from tests.trace import Address

SHORT: dict[str, tuple[Fault, int]] = {
    "kill": (kills.killed, 1),
    "power": (partial(power.power_cut, every=4), 4),
    "limit": (partial(disks.failing, fault="file may not grow"), 1),
    "newer": (damage.newer, 3),
    "flipped": (damage.flipped, 20),
    "flips": (flips.flips, 2),
    "talk": (talk.talk, 4),
}

LONGER: dict[str, tuple[Fault, int]] = {
    "full": (partial(disks.failing, fault="disk full"), 1),
    "read-only": (partial(disks.failing, fault="read-only disk"), 1),
    "removed": (kills.removed, 2),
    "two": (kills.two_programs, 1),
    "date": (kills.dated, 3),
    "pages": (pages.pages, 10),
    "fuzz": (fuzz.some, 3),
    "sleep": (partial(kills.stopped, seconds=2), 1),
    "orphans": (kills.orphans, 1),
    "recognizer": (devices.recognizer_killed, 2),
    "voice": (devices.voice_killed, 2),
    "headset": (devices.unplugged, 1),
    "moved": (moved, 1),
    "soak": (soak.soak, 2),
}


@pytest.mark.parametrize(
    "name", [*SHORT, *(pytest.param(name, marks=pytest.mark.thorough) for name in LONGER)]
)
def test_nothing_is_lost(name: str, tmp_path: Path) -> None:
    fault, count = {**SHORT, **LONGER}[name]
    result = fault(tmp_path, count)
    print(table([result]))
    assert result.lost == 0
    assert result.tried > 0


# --- the checks themselves ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("confirmed", "book", "count"),
    [
        (["a", "b"], ["a", "b"], 0),
        (["a", "b"], ["a", "b", "c"], 0),
        (["The clock runs on. a"], ["a"], 0),
        (["a", "b"], ["a"], 1),
        (["a", "b"], [], 2),
        (["a"], ["a", "a", "a"], 1),
        (["a", "b", "c"], ["a", "c"], 2),
    ],
)
def test_what_is_lost_or_booked_twice_is_counted(
    confirmed: list[str], book: list[str], count: int
) -> None:
    assert lost(confirmed, book) == count


def test_a_disk_keeps_what_was_flushed_and_perhaps_the_rest() -> None:
    disk = Disk({"x": bytearray(b"old")})
    disk.take(Step("write", "x", 0, b"new"))
    disk.take(Step("write", "x", 3, bytes(600)))
    left = [bytes(files["x"]) for files in disk.cuts(Random(1))]
    assert left[:4] == [b"old", b"new", b"new" + bytes(600), b"new" + bytes(512)]
    disk.take(Step("flush", "x"))
    assert [bytes(files["x"]) for files in disk.cuts(Random(1))] == [b"new" + bytes(600)]


def test_a_book_that_lacks_what_was_confirmed_is_seen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """If every flush is left out, power cuts must cost calls; else the test sees nothing."""
    monkeypatch.setattr(Disk, "take", _forgetful)
    assert power.power_cut(tmp_path, 4).lost > 0


def _forgetful(disk: Disk, step: Step) -> None:
    if step.what == "confirm":
        disk.confirmed = step.at


@pytest.mark.thorough
def test_a_command_that_shows_fewer_calls_and_says_nothing_is_seen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """If the log is not examined first, bad bits in it must silently cost calls."""
    monkeypatch.setattr(database, "find_leftover", lambda path: None)
    assert flips.flips(tmp_path, 3).lost >= 3


def test_the_table_has_a_line_for_each() -> None:
    lines = table([Result("kill", 500, 0, [1.0, 2.0, 6.0]), Result("disk", 3, 1)]).splitlines()
    assert lines[1].split() == ["kill", "500", "0", "2.00", "(most", "6.00)"]
    assert lines[2].split() == ["disk", "3", "1", "-"]


def test_parts_are_added_up(tmp_path: Path) -> None:
    parts = [Result("kill", 5, 1, [1.0], {"unnamed": 1}, {"s": 2.0}), Result("disk", 1, 0),
             Result("kill", 7, 0, [3.0], {"unnamed": 2}, {"s": 1.0}, "quiet")]  # fmt: skip
    for part in parts:
        write_result(tmp_path / "results", part)
    whole = Result("kill", 12, 1, [1.0, 3.0], {"unnamed": 3}, {"s": 2.0}, "quiet")
    assert added(read_results(tmp_path / "results")) == [whole, Result("disk", 1, 0, [])]
    assert whole.cells()[-1] == "unnamed: 3; s: 2 at most; quiet"


def test_what_goes_elsewhere_is_told_from_what_may_be_reached() -> None:
    found = [Address("connect", "AF_UNIX", "/run/pulse/native"),
             Address("connect", "AF_UNIX", "/run/pulse/native-other"),
             Address("connect", "AF_UNIX", "/dev/shm/jack", "ENOENT"),
             Address("connect", "AF_INET", "192.0.2.7:443", "ENETUNREACH"),
             Address("bind", "AF_INET6", "[::1]:0"), Address("sendto", "AF_NETLINK")]  # fmt: skip
    assert Traced("hear", found, {"/run/pulse/native": "the sound server"}).counts() == {
        "the sound server": 1,
        "elsewhere: connect AF_UNIX /run/pulse/native-other": 1,
        "no program there": 1,
        "elsewhere: connect AF_INET 192.0.2.7:443 ENETUNREACH": 1,
        "a place of its own, nothing sent": 1,
        "the kernel": 1,
    }


@pytest.mark.thorough
def test_nothing_is_connected_to_but_this_machine_s_servers(tmp_path: Path) -> None:
    result = network.network(tmp_path, round(network.LEAST_S))
    assert {kind for kind in result.counts if kind.startswith(network.ELSEWHERE)} == set()
    assert (result.tried, result.lost) == (7, 0)
