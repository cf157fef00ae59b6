"""Sound out: one stream of its own, a queue of sounds, a level that cannot hurt."""

from __future__ import annotations

import sys
import threading
import time
from collections import deque
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from callout.edges.sounding import limited
from callout.edges.tones import Sound
from callout.errors import DeviceError

RAMP_S: Final = 0.01
"""What is stopped fades out this long."""

LATENCY_S: Final = 0.06
"""What the device keeps in store; it takes a quarter of that at a time, so that a new sound waits
no longer. On two cores with four busy programs beside it the sound had no gap, nor at 0.04."""

STALLED_S: Final = 2.0
"""A device that asked for no sound this long is gone: no library tells of an unplugged one."""

RETRY_S: Final = 2.0
"""How often a device that is gone is looked for again."""

EARS: Final = {"left": (1.0, 0.0), "right": (0.0, 1.0), "both": (1.0, 1.0)}
"""How much of the voice the left and the right channel have: one ear is left to the hall."""


def sound_library() -> Any:
    """The library for sound devices; imported late, as print and files do without it.

    Raises:
        DeviceError: the part of it that belongs to the system is missing.
    """
    try:
        import sounddevice
    except OSError as error:
        raise DeviceError(f"no sound devices: {error}; install libportaudio2") from None
    return sounddevice


def has_output() -> bool:
    """Whether this machine has a device that can play.

    Raises:
        DeviceError: the library for sound devices is missing.
    """
    library = sound_library()
    try:
        return any(device["max_output_channels"] > 0 for device in library.query_devices())
    except library.PortAudioError:
        return False


@dataclass(frozen=True, slots=True)
class Speech:
    """Something being played, made of sounds that follow one another."""

    name: str
    turn: int
    """The player's turn when it was asked for: an older one has been stopped."""
    gain: float = 1.0
    """A part of the loudest that is safe."""


@dataclass(frozen=True, slots=True)
class _Piece:
    speech: Speech
    sound: Sound
    last: bool


class _Shared:
    """The library, as all players of this process have it.

    What is plugged in it looks up only when it begins anew, and then every stream of the process
    ends: so one does that for all, and no device is opened or closed meanwhile.
    """

    def __init__(self) -> None:
        self.lock = threading.RLock()
        self.players: list[Player] = []

    def renew(self, lost: Player) -> None:
        """Look anew at what is plugged in, unless another player sounds just now."""
        with self.lock:
            others = [each for each in self.players if each is not lost and not each.lost]
            if any(each.sounds for each in others):
                return
            for each in others:
                each.let_go()
            library = sound_library()
            library._terminate()
            library._initialize()
            for each in others:
                each.take_up()


_SHARED: Final = _Shared()


class Player:
    """Plays speeches one after another, and tells when each has ended, whole or cut short."""

    def __init__(
        self,
        device: str | None,
        ears: str,
        ended: Callable[[Speech, bool], None],
        back: Callable[[], None] = lambda: None,
    ) -> None:
        """Open the device; `ears` is left, right or both; `back` is called when a lost one is back.

        Raises:
            DeviceError: it cannot be opened.
        """
        self.device = device
        self.turn = 0
        self._ears = ears
        self._ended, self._back = ended, back
        self._waiting: deque[_Piece] = deque()
        self._now: _Piece | None = None
        self._at = 0
        self._gain = 1.0
        self._over: deque[tuple[float, Speech, bool]] = deque()
        self._closed = threading.Event()
        self.lost = False
        self.name = device or "the usual sound output"
        self._stream: Any = None
        with _SHARED.lock:
            self._open()
            _SHARED.players.append(self)
        self._teller = threading.Thread(target=self._tell, name="player", daemon=True)
        self._teller.start()

    def _open(self) -> None:
        sd = sound_library()
        try:
            info: Any = sd.query_devices(self.device, "output")
            self.rate_hz = int(info["default_samplerate"])
            channels = min(2, info["max_output_channels"])
            self._gains = EARS[self._ears] if channels == 2 else (1.0,)
            stream = sd.OutputStream(
                samplerate=self.rate_hz,
                device=self.device,
                channels=channels,
                dtype="float32",
                latency=LATENCY_S,
                callback=self._fill,
            )
            stream.start()
        except (sd.PortAudioError, ValueError) as error:
            raise DeviceError(f"{self.name}: cannot be opened for playing: {error}") from None
        self._stream, self.name = stream, str(info["name"])
        self.latency_s = float(stream.latency)
        self._beat_s = time.monotonic()

    @property
    def sounds(self) -> bool:
        """Whether it plays, or has something to play."""
        return self._now is not None or bool(self._waiting)

    def let_go(self) -> None:
        """Ends the stream; what is queued waits for the next."""
        stream, self._stream = self._stream, None
        if stream is not None:
            stream.close(ignore_errors=True)

    def take_up(self) -> None:
        """Opens the device again; one that is gone meanwhile is found out as any other."""
        with suppress(DeviceError):
            self._open()

    def add(self, speech: Speech, sound: Sound, last: bool = False) -> None:
        """Queues a sound of a speech; nothing in it is louder than is safe."""
        self._waiting.append(_Piece(speech, limited(sound, speech.gain), last))

    def stop(self) -> None:
        """Fades out what sounds, and drops what waits; what is asked for later is played."""
        self.turn += 1

    def drain(self) -> None:
        """Waits until everything queued has left the device, and has been told of."""
        while (self.sounds or self._over) and not self._closed.is_set():
            time.sleep(0.01)

    def close(self) -> None:
        """Free the device."""
        self._closed.set()
        self._teller.join(2 * RETRY_S)
        with _SHARED.lock:
            _SHARED.players.remove(self)
            self.let_go()

    # The device's own thread: it only copies, and never raises.
    def _fill(self, out: Any, frames: int, _time: object, _status: object) -> None:
        self._beat_s = time.monotonic()
        block = np.zeros(frames, dtype=np.float32)
        filled = 0
        while filled < frames:
            piece = self._now or self._next()
            if piece is None:
                break
            filled += self._copy(piece, block[filled:])
        for channel, gain in enumerate(self._gains):
            out[:, channel] = block * gain

    def _next(self) -> _Piece | None:
        """The next sound that was not stopped before it began."""
        while self._waiting:
            piece = self._waiting.popleft()
            if piece.speech.turn == self.turn:
                self._now, self._at, self._gain = piece, 0, 1.0
                return piece
            self._end(piece)
        return None

    def _copy(self, piece: _Piece, block: Sound) -> int:
        part = piece.sound[self._at : self._at + len(block)]
        if piece.speech.turn != self.turn:
            part = self._fade(part)
        block[: len(part)] = part
        self._at += len(part)
        if self._gain <= 0.0 or self._at >= len(piece.sound):
            self._now = None
            self._end(piece)
        return len(part)

    def _fade(self, part: Sound) -> Sound:
        """The part growing silent; devices ask for blocks shorter than the ramp, too."""
        step = 1.0 / (RAMP_S * self.rate_hz)
        gains = self._gain - step * np.arange(len(part), dtype=np.float32)
        faint = part[gains > 0.0] * gains[gains > 0.0]
        self._gain -= step * max(1, len(part))
        return faint

    def _end(self, piece: _Piece) -> None:
        if piece.last:
            whole = piece.speech.turn == self.turn
            self._over.append((time.monotonic() + self.latency_s, piece.speech, whole))

    # The player's thread: it tells of ends once the sound has left the device, and watches over it.
    def _tell(self) -> None:
        while not self._closed.wait(0.01):
            while self._over and self._over[0][0] <= time.monotonic():
                _, speech, whole = self._over[0]
                self._ended(speech, whole)
                self._over.popleft()
            if time.monotonic() - self._beat_s > STALLED_S:
                self._find_again()

    def _find_again(self) -> None:
        """Waits for a lost device to be back; nothing is said late, so what waited is dropped."""
        self.lost = True
        self._say("is gone; it is looked for again")
        with _SHARED.lock:
            self.let_go()
        while not self._closed.wait(RETRY_S):
            self._drop()
            with _SHARED.lock:
                _SHARED.renew(self)
                self.take_up()
                self.lost = self._stream is None
            if not self.lost:
                self._say("is back")
                self._back()
                return

    def _say(self, what: str) -> None:
        print(f"voice: {self.name} {what}", file=sys.stderr, flush=True)

    def _drop(self) -> None:
        self.stop()
        if self._now is not None:
            self._end(self._now)
            self._now = None
        while self._waiting:
            self._end(self._waiting.popleft())
        while self._over:
            self._ended(self._over.popleft()[1], False)
