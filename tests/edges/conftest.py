"""What the tests of the edges share."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from tests.devices import *  # noqa: F403 - all that `__all__` there names


@pytest.fixture
def no_portaudio(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """sounddevice, as it fails where the system's part of it is missing."""
    (tmp_path / "sounddevice.py").write_text('raise OSError("PortAudio library not found")')
    monkeypatch.delitem(sys.modules, "sounddevice", raising=False)
    monkeypatch.syspath_prepend(tmp_path)
