"""A microphone is opened by a part of its name."""

from __future__ import annotations

import pytest

from callout.edges.ear.device import open_microphone
from callout.errors import DeviceError


@pytest.mark.usefixtures("no_portaudio")
def test_without_the_library_for_sound_devices_it_says_what_to_install() -> None:
    with pytest.raises(DeviceError, match="not found; install libportaudio2"):
        open_microphone(None, lambda samples: None, lambda kind, what: None)
