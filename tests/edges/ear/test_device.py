"""The microphones of a machine by name, from libraries that stand in for sounddevice.

Source: python-sounddevice, `query_devices`: a mapping for each device; `PortAudioError`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from callout.edges.ear.device import microphones


class Library:
    """Two microphones, one of them under two interfaces, and a loudspeaker."""

    class PortAudioError(Exception):
        """As the library's own."""

    def query_devices(self) -> list[Mapping[str, Any]]:
        found = [("Headset", 1), ("Loudspeaker", 0), ("Camera", 2), ("Headset", 1)]
        return [{"name": name, "max_input_channels": count} for name, count in found]


class Failing(Library):
    """The system's sound fails."""

    def query_devices(self) -> list[Mapping[str, Any]]:
        raise self.PortAudioError("Error querying devices")


def missing() -> Library:
    raise OSError("PortAudio library not found")


def test_what_records_is_named_once() -> None:
    assert microphones(Library) == ["Headset", "Camera"]


def test_where_sound_cannot_be_had_there_is_none() -> None:
    assert microphones(Failing) == []
    assert microphones(missing) == []
