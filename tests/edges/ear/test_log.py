"""The log of what dead ears wrote: small, private, and no reason to end a game."""

from __future__ import annotations

import stat
from pathlib import Path

import pytest

from callout.edges.ear.log import MOST_BYTES, EarLog, ear_log_file


@pytest.fixture
def log(tmp_path: Path) -> EarLog:
    """Its own folder, and that of the user."""
    (tmp_path / "private").mkdir()
    return EarLog(tmp_path / "private", tmp_path / "state" / "ear.log")


def write(log: EarLog, *parts: bytes) -> None:
    with log.open() as file:
        for part in parts:
            file.write(part)
            log.trim()


def test_each_death_is_added_with_what_happened(log: EarLog) -> None:
    write(log, b"first\n")
    place = log.keep("died (status 1)")
    assert place is not None
    write(log, b"second\n")
    assert log.keep("hung, and was ended") == place
    first, _, second, _ = place.read_text(encoding="utf-8").splitlines()
    assert first.endswith(" the ear died (status 1)")
    assert second.endswith(" the ear hung, and was ended")
    assert stat.S_IMODE(place.stat().st_mode) == 0o600


def test_where_nothing_was_written_there_is_no_log(log: EarLog) -> None:
    assert log.keep("died (status -9)") is None
    write(log, b"\n")
    assert log.keep("died (status -9)") is None


def test_it_stays_small_and_keeps_what_came_last(log: EarLog, tmp_path: Path) -> None:
    """A sound library complains twice a second while there is no device."""
    noise = b"ALSA lib: no such device\n" * 100
    write(log, *[noise] * 200, b"Traceback: the last words\n")
    assert (tmp_path / "private" / "stderr").stat().st_size <= MOST_BYTES + len(noise)
    place = log.keep("died (status 1)")
    assert place is not None
    for _ in range(5):
        write(log, *[noise] * 20, b"Traceback: the last words\n")
        log.keep("died (status 1)")
    data = place.read_bytes()
    assert len(data) == MOST_BYTES
    assert data.endswith(b"Traceback: the last words\n")


def test_a_log_that_cannot_be_written_is_let_be(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    log = EarLog(tmp_path, tmp_path / "file" / "ear.log")
    log.trim()
    write(log, b"words")
    assert log.keep("died (status 1)") is None


def test_it_lies_among_what_a_program_keeps_of_its_past(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Source: the XDG base directory specification, $XDG_STATE_HOME."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    assert ear_log_file() == tmp_path / "callout" / "ear.log"
