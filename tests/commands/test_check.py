"""What works at a table: with a display and without, with a terminal and without."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
from pathlib import Path

import pytest

from callout.commands.check import (
    check,
    everywhere_keys,
    own_keys,
    pedals,
    sound_out,
    terminal_keys,
)
from callout.errors import DeviceError
from tests.display import Display
from tests.patience import HANG_S
from tests.pulse import Pulse


def test_keys_of_other_windows_want_a_display(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("DISPLAY", raising=False)
    monkeypatch.delenv("XDG_SESSION_TYPE", raising=False)
    without = everywhere_keys()
    assert not without.works
    assert "use a pedal of its own" in without.told
    monkeypatch.setenv("XDG_SESSION_TYPE", "wayland")
    assert "a session on Xorg" in everywhere_keys().told


@pytest.mark.thorough
def test_with_a_display_the_keys_of_other_windows_work(
    monkeypatch: pytest.MonkeyPatch, display: Display
) -> None:
    monkeypatch.delenv("XDG_SESSION_TYPE", raising=False)
    assert everywhere_keys().works


def test_a_terminal_has_keys_and_a_file_has_none(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    ours, theirs = pty.openpty()
    with os.fdopen(theirs) as terminal:
        monkeypatch.setattr(sys, "stdin", terminal)
        assert terminal_keys().works
    os.close(ours)
    (tmp_path / "in").touch()
    with (tmp_path / "in").open() as file:
        monkeypatch.setattr(sys, "stdin", file)
        assert "is no terminal" in terminal_keys().told


def test_a_machine_without_input_devices_has_no_pedal() -> None:
    found = pedals()
    devices = list(Path("/dev/input").glob("event*"))
    assert found.works == bool(devices)
    assert found.works or found.told == "no input device was found: plug the pedal in"


@pytest.mark.thorough
def test_sound_goes_out_where_there_is_a_sound_server(pulse: Pulse) -> None:
    command = [sys.executable, "-m", "callout", "check"]
    done = subprocess.run(
        command, env=pulse.environment, capture_output=True, text=True, timeout=HANG_S, check=False
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert "works     sound out: " in done.stdout
    kinds = [line.partition("  ")[0] for line in done.stdout.splitlines()]
    assert kinds.count("see to") == 3, "cords, hearing, weather"
    assert len(kinds) == 4 + 3


def test_a_file_of_keys_is_looked_at(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "own.toml"
    path.write_text('[pedal]\ndevice = "/dev/input/by-id/none"\na = "talk"\n', encoding="utf-8")
    file, pedal = own_keys(path)
    assert file.works
    assert (pedal.works, pedal.told) == (
        False, "/dev/input/by-id/none: no such device: is it plugged in?",
    )  # fmt: skip
    path.write_text("[keys]\nx = 3\n", encoding="utf-8")
    assert check(path) == 1
    assert f"FAILS     {path}: {path}:2: x: expected words, got 3" in capsys.readouterr().out


def test_what_fails_is_told_with_what_to_do() -> None:
    def lacks_its_library() -> bool:
        raise DeviceError("PortAudio is not installed: sudo apt install libportaudio2")

    assert sound_out(lambda: True).works
    silent, lacking = sound_out(lambda: False), sound_out(lacks_its_library)
    assert not silent.works
    assert "plug a headset in" in silent.told
    assert not lacking.works
    assert "sudo apt install" in lacking.told
