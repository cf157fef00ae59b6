"""A microphone is opened by a part of its name."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from callout.edges.ear.device import open_microphone
from callout.errors import DeviceError


def test_without_the_library_for_sound_devices_it_says_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "sounddevice.py").write_text('raise OSError("PortAudio library not found")')
    monkeypatch.delitem(sys.modules, "sounddevice", raising=False)
    monkeypatch.syspath_prepend(tmp_path)
    with pytest.raises(DeviceError, match="not found; install libportaudio2"):
        open_microphone(None, lambda samples: None, lambda kind, what: None)
