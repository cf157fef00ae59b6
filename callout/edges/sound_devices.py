"""The library for sound devices, and what it finds plugged in."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from callout.errors import DeviceError


def sound_library() -> Any:
    """The library for sound devices; imported late, as print and files need none.

    Raises:
        DeviceError: the part of it that belongs to the system is missing.
    """
    try:
        import sounddevice
    except OSError as error:
        raise DeviceError(f"no sound devices: {error}; install libportaudio2") from None
    return sounddevice


Load = Callable[[], Any]
"""Gives the library for sound devices, or what stands in for it."""


def has_output(load: Load = sound_library) -> bool:
    """Whether this machine has a device that can play.

    Raises:
        DeviceError: the library for sound devices is missing.
    """
    return bool(_names(load(), "max_output_channels"))


def microphones(load: Load = sound_library) -> list[str]:
    """The names of the devices that record; none without the library for sound devices."""
    try:
        return _names(load(), "max_input_channels")
    except DeviceError:
        return []


def _names(library: Any, channels: str) -> list[str]:
    """The names of the devices that have such channels; none where the system's sound fails."""
    try:
        devices = library.query_devices()
    except library.PortAudioError:
        return []
    return list(dict.fromkeys(str(each["name"]) for each in devices if each[channels] > 0))
