"""The microphone: resampled to 16 kHz, watched, and opened again when it falls silent."""

from __future__ import annotations

import math
import queue
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from functools import partial
from typing import Any, Final

import numpy as np
import sounddevice as sd
import soxr

from callout.edges.ear.quality import Quality
from callout.edges.ear.sound import RATE_HZ, Samples
from callout.edges.sound_errors import in_plain_words
from callout.errors import DeviceError

FROZEN_S: Final = 1.0
"""A device that gives nothing for this time is closed and opened again."""

SILENT_S: Final = 1.0
"""Only zeros for this time mean a switch or a missing permission, not a quiet hall."""

SILENT_AGAIN_S: Final = 20.0
"""The same once zeros were reported: some headsets give zeros between words."""

RENEW_S: Final = (2.0, 2.0, 4.0, 4.0, 8.0, 15.0)
"""A device that gives zeros is opened again when that is reported, and after these pauses, the last
for ever: a sound server that lost the device takes another one, and does not go back by itself."""

BLOCK_S: Final = 0.05
"""The length of the blocks in which a device gives its sound."""

FRESH: Final = 4
"""Opening it again has helped if there is sound within this many blocks: no room is silent."""

RETRY_S: Final = 0.5
"""The pause before a device that could not be opened is tried again."""

TELL_LOST_S: Final = 30.0
"""Lost sound is reported at most once in this time."""


TROUBLES: Final = {
    "frozen": "gives no sound; it is opened again until it does",
    "back": "is back",
    "zeros": "gives only zeros; check its switch, the cable, and the permission to use it",
    "lost": "some sound was lost; the machine is too busy",
    "clipped": "is too loud for its scale; turn its level down, or hold it farther from the mouth",
    "telephone": "sounds like a telephone; in Bluetooth's call mode much is misheard: use a cable",
    "rate": "gives sound at another rate than before",
}
"""What may be reported of a microphone."""


class Microphone:
    """Sound from a device; once it is started, on a thread of its own."""

    def __init__(
        self,
        device: str | None,
        take: Callable[[Samples], None],
        trouble: Callable[[str, str], None],
        patient: bool = False,
        *,
        library: Any = sd,
        now_s: Callable[[], float] = time.monotonic,
    ) -> None:
        """`device` is a part of its name, or None for the usual one.

        `trouble` is called with a kind of `TROUBLES` and a line for people. `patient`: a device
        that cannot be opened is reported as `absent`, and looked for until it is there. `library`
        stands in for sounddevice, `now_s` for the machine's seconds.

        Raises:
            DeviceError: there is no such device, or it cannot be opened.
        """
        self._device, self._library, self._now_s = device, library, now_s
        self._take, self._trouble = take, trouble
        self._raw: queue.Queue[bytes] = queue.Queue()
        """What the device that is open now gave."""
        self._closed = threading.Event()
        self._overflowed = False
        self._told_lost = -TELL_LOST_S
        self._silent_since: float | None = None
        self._silent_s = SILENT_S
        self._was_open = False
        self._mute = False
        self._renewals, self._renew_s, self._fresh = 0, math.inf, 0
        self.name, self.rate_hz, self.late_s = device or "the usual microphone", RATE_HZ, 0.0
        self._stream: sd.RawInputStream | None = None
        try:
            self._open()
        except DeviceError as error:
            if not patient:
                raise
            trouble("absent", str(error))
        self._frozen = not self.is_open
        self._thread = threading.Thread(target=self._work, name="microphone", daemon=True)

    def start(self) -> None:
        """Begin to take what the device gives."""
        self._thread.start()

    def _open(self) -> None:
        """Open the device; where that fails, all stays as it was."""
        raw: queue.Queue[bytes] = queue.Queue()
        try:
            info: Any = self._library.query_devices(self._device, "input")
            rate_hz = int(info["default_samplerate"])
            channels = max(1, min(2, info["max_input_channels"]))
            stream = self._library.RawInputStream(
                samplerate=rate_hz,
                blocksize=int(rate_hz * BLOCK_S),
                device=self._device,
                channels=channels,
                dtype="int16",
                latency="high",
                callback=partial(self._copy, raw),
            )
            stream.start()
        except (sd.PortAudioError, ValueError) as error:
            name = self._device or "the usual microphone"
            raise DeviceError(f"{name}: cannot be opened: {in_plain_words(error)}") from None
        changed = self._was_open and rate_hz != self.rate_hz
        self.name, self.rate_hz, self.late_s = str(info["name"]), rate_hz, float(stream.latency)
        self._stream, self._raw, self._channels = stream, raw, channels
        self._quality = Quality(rate_hz)
        self._resampler = soxr.ResampleStream(rate_hz, RATE_HZ, 1, dtype="int16", quality="HQ")
        self._was_open = True
        if changed:
            self._tell("rate")

    @property
    def is_open(self) -> bool:
        """Whether there is such a device now."""
        return self._stream is not None

    # Runs on the device's own thread, where an exception would end the stream silently.
    def _copy(
        self,
        raw: queue.Queue[bytes],
        data: Any,
        _frames: int,
        _time: object,
        status: sd.CallbackFlags,
    ) -> None:
        self._overflowed = self._overflowed or bool(status.input_overflow)
        raw.put_nowait(bytes(data))

    def _work(self) -> None:
        while not self._closed.is_set():
            self._closed.wait(self.step())

    def step(self, wait_s: float = FROZEN_S) -> float:
        """Take the device's next block; if none comes in time, open the device again.

        The seconds to wait before the next step.
        """
        try:
            data = self._raw.get(timeout=wait_s)
        except queue.Empty:
            if not self._frozen:
                self._tell("frozen")
            self._frozen = True
            return 0.0 if self._reopen() else RETRY_S
        if data:
            self._heard(data)
        return 0.0

    def _heard(self, data: bytes) -> None:
        if self._frozen:
            self._frozen = False
            self._is_back()
        samples = self._mono(data)
        self._take(self._resampled(samples))
        for kind in self._quality.feed(samples):
            self._tell(kind)
        self._tell_lost()
        # Looks at the device's bytes: the resampler adds a little noise.
        self._tell_silent(sounds=data.count(0) < len(data))

    def _tell_silent(self, sounds: bool) -> None:
        now = self._now_s()
        if sounds and self._mute:
            self._mute, self._renew_s = False, math.inf
            if self._fresh > 0:
                self._is_back()
        self._fresh -= 1
        if sounds or self._silent_since is None:
            self._silent_since = None if sounds else now
        elif now - self._silent_since > self._silent_s and not self._mute:
            self._silent_s, self._mute = SILENT_AGAIN_S, True
            self._renew_s, self._renewals = now, 0
            self._tell("zeros")
        if now >= self._renew_s:
            self._renew_s = now + RENEW_S[min(self._renewals, len(RENEW_S) - 1)]
            self._renewals += 1
            self._renew()
            self._fresh = FRESH

    def _is_back(self) -> None:
        """Opening it again has helped, so its zeros were no pause between words."""
        self._silent_s, self._mute, self._renew_s = SILENT_S, False, math.inf
        self._tell("back")

    def _tell_lost(self) -> None:
        lost, self._overflowed = self._overflowed, False
        if lost and self._now_s() - self._told_lost > TELL_LOST_S:
            self._told_lost = self._now_s()
            self._tell("lost")

    def _mono(self, data: bytes) -> Samples:
        frames = np.frombuffer(data, dtype=np.int16).reshape(-1, self._channels)
        loud = int(np.argmax(np.abs(frames.astype(np.int32)).sum(axis=0)))
        return np.ascontiguousarray(frames[:, loud])

    def _resampled(self, samples: Samples) -> Samples:
        if self.rate_hz == RATE_HZ:
            return samples
        out: Samples = self._resampler.resample_chunk(samples)
        return out

    def _tell(self, kind: str) -> None:
        self._trouble(kind, f"{self.name}: {TROUBLES[kind]}")

    def _reopen(self) -> bool:
        """Close the device and open it again; whether that worked."""
        try:
            self._close()
            # The library lists devices only when it starts.
            self._library._terminate()
            self._library._initialize()
            self._open()
        except (DeviceError, sd.PortAudioError):
            return False
        return True

    def _renew(self) -> None:
        """Open the device a second time before the first is closed, so that no word is lost."""
        old = self._stream
        with suppress(DeviceError, sd.PortAudioError):
            self._open()
            if old is not None:
                old.close()

    def _close(self) -> None:
        stream, self._stream = self._stream, None
        if stream is not None:
            stream.close()

    def close(self) -> None:
        """Free the device."""
        self._closed.set()
        self._raw.put(b"")
        # The thread may be opening the device, and the library is not safe for two at once.
        if self._thread.is_alive():
            self._thread.join()
        self._close()
