"""Sound out: one stream of its own, a queue of sounds, a level that cannot hurt."""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Callable
from typing import Any, Final

import numpy as np
import sounddevice as sd

from callout.edges.tones import Sound
from callout.errors import DeviceError

LOUDEST: Final = 0.5
"""No sample goes above this: a headset set to full must not hurt."""

RAMP_S: Final = 0.01
"""What is stopped fades out this long."""


def has_output() -> bool:
    """Whether this machine has a device that can play."""
    try:
        return any(device["max_output_channels"] > 0 for device in sd.query_devices())
    except sd.PortAudioError:
        return False


class Player:
    """Plays sounds one after another, and tells when each has ended."""

    def __init__(self, device: str | None, ears: str, ended: Callable[[str], None]) -> None:
        """Open the device; `ears` is left, right or both.

        Raises:
            DeviceError: it cannot be opened.
        """
        self._ended = ended
        self._waiting: deque[tuple[str, Sound]] = deque()
        self._now: tuple[str, Sound] | None = None
        self._at = 0
        self._stopping = False
        self._gains = {"left": (1.0, 0.0), "right": (0.0, 1.0), "both": (1.0, 1.0)}[ears]
        self._over: deque[str] = deque()
        self._closed = threading.Event()
        try:
            info: Any = sd.query_devices(device, "output")
            self.rate_hz = int(info["default_samplerate"])
            channels = min(2, info["max_output_channels"])
            self._stream = sd.OutputStream(
                samplerate=self.rate_hz,
                device=device,
                channels=channels,
                dtype="float32",
                latency="high",
                callback=self._fill,
            )
            self._stream.start()
        except (sd.PortAudioError, ValueError) as error:
            name = device or "the usual sound output"
            raise DeviceError(f"{name}: cannot be opened for playing: {error}") from None
        self.latency_s = float(self._stream.latency)
        threading.Thread(target=self._tell, name="player", daemon=True).start()

    def play(self, name: str, sound: Sound) -> None:
        """Queues a sound; nothing in it is louder than `LOUDEST`."""
        peak = float(np.abs(sound).max(initial=0.0))
        self._waiting.append((name, sound * min(1.0, LOUDEST / peak) if peak else sound))

    def stop(self) -> None:
        """Fades out what sounds, and drops what waits."""
        self._waiting.clear()
        self._stopping = True

    def drain(self) -> None:
        """Waits until everything queued has left the device."""
        while self._waiting or self._now is not None:
            time.sleep(0.01)
        time.sleep(self.latency_s)

    def close(self) -> None:
        """Free the device."""
        self._closed.set()
        self._stream.close()

    # The device's own thread: it only copies, and never raises.
    def _fill(self, out: Any, frames: int, _time: object, _status: object) -> None:
        block = np.zeros(frames, dtype=np.float32)
        filled = 0
        while filled < frames:
            if self._now is None and not self._next():
                break
            filled += self._copy(block[filled:])
        for channel in range(out.shape[1]):
            out[:, channel] = block * self._gains[channel]

    def _next(self) -> bool:
        if not self._waiting:
            self._stopping = False
            return False
        self._now = self._waiting.popleft()
        self._at = 0
        return True

    def _copy(self, block: Sound) -> int:
        name, sound = self._now or ("", block[:0])
        part = sound[self._at : self._at + len(block)]
        if self._stopping:
            ramp = min(len(part), int(RAMP_S * self.rate_hz))
            part = part[:ramp] * np.linspace(1.0, 0.0, ramp, dtype=np.float32)
            self._stopping = False
            self._at = len(sound)
        block[: len(part)] = part
        self._at += len(part)
        if self._at >= len(sound):
            self._now = None
            self._over.append(name)
        return len(part)

    def _tell(self) -> None:
        """Tells of ends outside the device's thread, once the sound has left the device."""
        while not self._closed.wait(0.01):
            while self._over:
                time.sleep(self.latency_s)
                self._ended(self._over.popleft())
