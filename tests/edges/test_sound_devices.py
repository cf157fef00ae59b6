"""The devices of a machine, from libraries that stand in for sounddevice.

Source: python-sounddevice, `query_devices`: a mapping for each device; `PortAudioError`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import pytest

from callout.edges.sound_devices import has_output, microphones, sound_library
from callout.errors import DeviceError


class Library:
    """Two microphones, one of them under two interfaces, and a loudspeaker."""

    devices: Sequence[tuple[str, int, int]] = (
        ("Headset", 1, 0),
        ("Loudspeaker", 0, 2),
        ("Camera", 2, 0),
        ("Headset", 1, 0),
    )

    class PortAudioError(Exception):
        """As the library's own."""

    def query_devices(self) -> list[Mapping[str, Any]]:
        return [
            {"name": name, "max_input_channels": heard, "max_output_channels": played}
            for name, heard, played in self.devices
        ]


class NothingPlays(Library):
    """A machine with a microphone alone."""

    devices = (("Camera", 2, 0),)


class NothingRecords(Library):
    """A machine with a loudspeaker alone."""

    devices = (("Loudspeaker", 0, 2),)


class Failing(Library):
    """The system's sound fails."""

    def query_devices(self) -> list[Mapping[str, Any]]:
        raise self.PortAudioError("Error querying devices")


def missing() -> Library:
    raise DeviceError("no sound devices: PortAudio library not found")


def test_what_records_is_named_once() -> None:
    assert microphones(Library) == ["Headset", "Camera"]
    assert microphones(NothingRecords) == []


def test_what_plays_is_found() -> None:
    assert has_output(Library)
    assert not has_output(NothingPlays)


def test_where_the_system_s_sound_fails_there_is_no_device() -> None:
    assert microphones(Failing) == []
    assert not has_output(Failing)


def test_without_the_library_there_is_no_microphone_and_an_output_says_why() -> None:
    assert microphones(missing) == []
    with pytest.raises(DeviceError, match="PortAudio library not found"):
        has_output(missing)


@pytest.mark.usefixtures("no_portaudio")
def test_a_library_that_cannot_be_loaded_is_named_with_what_to_install() -> None:
    with pytest.raises(DeviceError) as caught:
        sound_library()
    assert str(caught.value) == (
        "no sound devices: PortAudio library not found; install libportaudio2"
    )
    assert microphones() == []
