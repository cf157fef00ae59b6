"""The log of what dead processes wrote: small, private, and no reason to end a game."""

from __future__ import annotations

import stat
import threading
from pathlib import Path

import pytest

from callout.edges.child_log import MOST_BYTES, ChildLog, child_log_file


@pytest.fixture
def log(tmp_path: Path) -> ChildLog:
    """One in a folder that is not there yet."""
    return ChildLog("ear", tmp_path / "state" / "ear.log")


def test_each_death_is_added_with_what_happened(log: ChildLog) -> None:
    place = log.keep("died (status 1)", b"first\n")
    assert place is not None
    assert log.keep("hung, and was ended", b"second\n") == place
    first, _, second, _ = place.read_text(encoding="utf-8").splitlines()
    assert first.endswith(" ear died (status 1)")
    assert second.endswith(" ear hung, and was ended")
    assert stat.S_IMODE(place.stat().st_mode) == 0o600


def test_where_nothing_was_written_there_is_no_log(log: ChildLog, tmp_path: Path) -> None:
    assert log.keep("died (status -9)", b"") is None
    assert log.keep("died (status -9)", b"\n") is None
    assert list(tmp_path.iterdir()) == []


def test_it_stays_small_and_keeps_what_came_last(log: ChildLog) -> None:
    noise = b"ALSA lib: no such device\n" * 100
    for _ in range(50):
        place = log.keep("died (status 1)", noise + b"Traceback: the last words\n")
    assert place is not None
    data = place.read_bytes()
    assert len(data) == MOST_BYTES
    assert data.endswith(b"Traceback: the last words\n")


def test_a_log_that_cannot_be_written_is_let_be(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    log = ChildLog("ear", tmp_path / "file" / "ear.log")
    assert log.keep("died (status 1)", b"words") is None


def test_it_lies_among_what_a_program_keeps_of_its_past(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Source: the XDG base directory specification, $XDG_STATE_HOME."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    assert child_log_file("voice") == tmp_path / "callout" / "voice.log"


def test_two_tables_that_write_at_the_same_time_lose_nothing(tmp_path: Path) -> None:
    def complain(name: str) -> None:
        log = ChildLog(name, tmp_path / "ear.log")
        for nth in range(50):
            assert log.keep("died", f"{name} {nth}".encode())

    threads = [threading.Thread(target=complain, args=(name,)) for name in ("one", "two")]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    lines = (tmp_path / "ear.log").read_text(encoding="utf-8").splitlines()
    expected = sorted(f"{name} {nth}" for name in ("one", "two") for nth in range(50))
    assert sorted(line for line in lines if not line.startswith("---")) == expected
    assert len(lines) == 200
