"""One open stream to a sound device that plays."""

from __future__ import annotations

import atexit
import ctypes
import sys
from collections.abc import Callable
from typing import Any, Final, Protocol

import numpy as np
from numpy.typing import NDArray

from callout.edges.sound_devices import sound_library
from callout.edges.sound_errors import in_plain_words
from callout.errors import DeviceError

LATENCY_S: Final = 0.06
"""The device's buffer. It is filled a quarter at a time, so a new sound waits no longer than that.
On two cores with four other busy programs the sound had no gap, at 0.04 neither."""

USUAL: Final = "the usual sound output"
"""What a device without a name is called."""


def quiet_library() -> Any:
    """The library for sound devices, which writes nothing onto the terminal.

    Linux's part of it would write each gap of the sound there, between the calls.

    Raises:
        DeviceError: the part of it that belongs to the system is missing.
    """
    library = sound_library()
    if sys.platform == "linux":
        _silence_alsa()
    return library


_Message = ctypes.CFUNCTYPE(
    None, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p
)
"""`snd_lib_error_handler_t`; the arguments of its last one are not read. Source: alsa/error.h."""
_silent = _Message(lambda _file, _line, _function, _code, _format: None)
"""Kept for as long as the program runs: the library calls it at any time."""


def _silence_alsa() -> None:
    try:
        set_handler = ctypes.CDLL("libasound.so.2").snd_lib_error_set_handler
    except (OSError, AttributeError):
        return  # a system without ALSA
    set_handler(_silent)
    # A thread of the device's may still call it when Python has ended.
    atexit.register(set_handler, None)


class Stream(Protocol):
    """An open sound output, which asks for blocks of samples on a thread of its own."""

    rate_hz: int
    channels: int
    latency_s: float
    """The time from the request of a block until it is heard."""
    name: str
    """What the device is called."""

    def start(self) -> None:
        """Begin to ask for blocks.

        Raises:
            DeviceError: the device does not play.
        """

    def close(self) -> None:
        """Ask for no more, and free the device."""


Fill = Callable[[NDArray[np.float32], int], None]
"""Fills a block of that many frames, one column a channel; called by the stream."""

OpenStream = Callable[[str | None, Fill], Stream]
"""Opens the device of that name, or the usual one.

Raises: DeviceError if it cannot be opened.
"""


class DeviceStream:
    """A stream of the sound library."""

    def __init__(self, device: str | None, fill: Fill) -> None:
        """Open the device.

        Raises:
            DeviceError: it cannot be opened.
        """
        sd = quiet_library()
        self._failures = (sd.PortAudioError, ValueError)
        try:
            info: Any = sd.query_devices(device, "output")
            self.rate_hz = int(info["default_samplerate"])
            self.channels = min(2, info["max_output_channels"])
            self._stream = sd.OutputStream(
                samplerate=self.rate_hz,
                device=device,
                channels=self.channels,
                dtype="float32",
                latency=LATENCY_S,
                callback=lambda out, frames, _time, _status: fill(out, frames),
            )
        except self._failures as error:
            raise _not_opened(device or USUAL, error) from None
        self.name = str(info["name"])
        self.latency_s = float(self._stream.latency)

    def start(self) -> None:
        """Begin to ask for blocks.

        Raises:
            DeviceError: the device does not play.
        """
        try:
            self._stream.start()
        except self._failures as error:
            raise _not_opened(self.name, error) from None

    def close(self) -> None:
        """Ask for no more, and free the device."""
        self._stream.close(ignore_errors=True)


def _not_opened(name: str, error: Exception) -> DeviceError:
    return DeviceError(f"{name}: cannot be opened for playing: {in_plain_words(error)}")
