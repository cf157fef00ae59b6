"""Plays sounds through a device: one stream, a queue, and a level that is safe to hear."""

from __future__ import annotations

import sys
import threading
import time
from collections import deque
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from callout.edges.voice.output import USUAL, DeviceStream, OpenStream, Stream, quiet_library
from callout.edges.voice.sounding import limited
from callout.edges.voice.tones import Sound
from callout.errors import DeviceError

RAMP_S: Final = 0.01
"""The fade-out of a sound that is stopped."""

LOOKS_S: Final = 0.01
"""How often it is looked whether a sound has left the device."""

STALLED_S: Final = 2.0
"""A device that asks for no sound for this time is gone: no library reports an unplugged one."""

RETRY_S: Final = 2.0
"""The interval at which a device that is gone is looked for."""

EARS: Final = {"left": (1.0, 0.0), "right": (0.0, 1.0), "both": (1.0, 1.0)}
"""The gain of the left and the right channel: one ear is kept free for the hall."""


@dataclass(frozen=True, slots=True)
class Speech:
    """A speech to be played, made of sounds that follow one another."""

    name: str
    turn: int
    """The player's turn when it was asked for; speeches of earlier turns were stopped."""
    gain: float = 1.0
    """Relative to the loudest level that is safe."""


@dataclass(frozen=True, slots=True)
class _Piece:
    speech: Speech
    sound: Sound
    last: bool


class _Shared:
    """The sound library, which all players of this process share.

    PortAudio refreshes its list of devices only when it is initialized again, which ends every
    stream of the process. So one player does that for all, under one lock.
    """

    def __init__(self) -> None:
        self.lock = threading.RLock()
        self.players: list[Player] = []

    def renew(self, lost: Player) -> None:
        """Refresh the list of devices, unless another player is playing."""
        with self.lock:
            others = [each for each in self.players if each is not lost and not each.lost]
            if any(each.sounds for each in others):
                return
            for each in others:
                each.let_go()
            library = quiet_library()
            library._terminate()
            library._initialize()
            for each in others:
                each.take_up()


_SHARED: Final = _Shared()


class Player:
    """Plays speeches one after another, and reports when each has ended, whole or cut short."""

    def __init__(
        self,
        device: str | None,
        ears: str,
        ended: Callable[[Speech, bool], None],
        back: Callable[[], None] = lambda: None,
        open_stream: OpenStream = DeviceStream,
        clock_s: Callable[[], float] = time.monotonic,
    ) -> None:
        """Open the device; `ears` is left, right or both; `back` is called when a lost one is back.

        `clock_s` gives seconds since any moment, for the ends of speeches.

        Raises:
            DeviceError: it cannot be opened.
        """
        self.device = device
        self.turn = 0
        self._ears = ears
        self._ended, self._back = ended, back
        self._open_stream, self._clock_s = open_stream, clock_s
        self._waiting: deque[_Piece] = deque()
        self._now: _Piece | None = None
        self._at = 0
        self._filled = 0
        """Samples of the device's block filled so far."""
        self._gain = 1.0
        self._over: deque[tuple[float, Speech, bool]] = deque()
        self._asked = 0
        self._told = 0
        """Speeches added whole, and speeches whose end was reported: each count has one writer."""
        self._telling = threading.Lock()
        self._closed = threading.Event()
        self.lost = False
        self.name = device or USUAL
        self._stream: Stream | None = None
        with _SHARED.lock:
            self._open()
            _SHARED.players.append(self)
        self._teller = threading.Thread(target=self._tell, name="player", daemon=True)
        self._teller.start()

    def _open(self) -> None:
        stream = self._open_stream(self.device, self.fill)
        self.rate_hz, self.latency_s, self.name = stream.rate_hz, stream.latency_s, stream.name
        self._gains = EARS[self._ears] if stream.channels == 2 else (1.0,)
        self._beat_s = self._clock_s()
        try:
            stream.start()
        except DeviceError:
            stream.close()
            raise
        self._stream = stream

    @property
    def sounds(self) -> bool:
        """Whether it plays, or has something to play."""
        return self._now is not None or bool(self._waiting)

    @property
    def owes(self) -> int:
        """The number of speeches whose end has not been reported."""
        return self._asked - self._told

    def let_go(self) -> None:
        """Closes the stream; queued sounds wait for the next one."""
        stream, self._stream = self._stream, None
        if stream is not None:
            stream.close()

    def take_up(self) -> None:
        """Opens the device again; one that is gone is noticed as it is at any other time."""
        with suppress(DeviceError):
            self._open()

    def add(self, speech: Speech, sound: Sound, last: bool = False) -> None:
        """Queues a sound of a speech, limited to a safe level."""
        self._asked += last
        self._waiting.append(_Piece(speech, limited(sound, speech.gain), last))

    def stop(self) -> None:
        """Fades out the current sound, and drops the queue; what is added later is played."""
        self.turn += 1

    def drain(self) -> None:
        """Waits until everything queued has left the device, and its end has been reported."""
        while (self.sounds or self.owes) and not self._closed.is_set():
            time.sleep(LOOKS_S)

    def close(self) -> None:
        """Free the device."""
        self._closed.set()
        self._teller.join(2 * RETRY_S)
        with _SHARED.lock:
            _SHARED.players.remove(self)
            self.let_go()

    def fill(self, out: NDArray[np.float32], frames: int) -> None:
        """Fill a block, on the device's own thread: this only copies, and never raises."""
        self._beat_s = self._clock_s()
        block = np.zeros(frames, dtype=np.float32)
        self._filled = 0
        while self._filled < frames:
            piece = self._now or self._next()
            if piece is None:
                break
            self._copy(piece, block[self._filled :])
        for channel, gain in enumerate(self._gains):
            out[:, channel] = block * gain

    def _next(self) -> _Piece | None:
        """The next sound of the current turn; earlier ones end unplayed."""
        while self._waiting:
            piece = self._waiting.popleft()
            if piece.speech.turn == self.turn:
                self._now, self._at, self._gain = piece, 0, 1.0
                return piece
            self._end(piece)
        return None

    def _copy(self, piece: _Piece, block: Sound) -> None:
        part = piece.sound[self._at : self._at + len(block)]
        if piece.speech.turn != self.turn:
            part = self._fade(part)
        block[: len(part)] = part
        self._at += len(part)
        self._filled += len(part)
        if self._gain <= 0.0 or self._at >= len(piece.sound):
            self._now = None
            self._end(piece)

    def _fade(self, part: Sound) -> Sound:
        """The part, fading out; a device may ask for blocks shorter than the ramp."""
        step = 1.0 / (RAMP_S * self.rate_hz)
        gains = self._gain - step * np.arange(len(part), dtype=np.float32)
        faint = part[gains > 0.0] * gains[gains > 0.0]
        self._gain -= step * max(1, len(part))
        return faint

    def _end(self, piece: _Piece) -> None:
        if piece.last:
            whole = piece.speech.turn == self.turn
            played_s = self.latency_s + self._filled / self.rate_hz
            self._over.append((self._clock_s() + played_s, piece.speech, whole))

    # The player's thread: it reports ends once the sound has left the device, and watches that.
    def _tell(self) -> None:
        while not self._closed.wait(LOOKS_S):
            self.tell_ends()
            if self._clock_s() - self._beat_s > STALLED_S:
                self._find_again()

    def tell_ends(self) -> None:
        """Report the speeches whose last sound has left the device by now."""
        with self._telling:
            while self._over and self._over[0][0] <= self._clock_s():
                _, speech, whole = self._over.popleft()
                self._tell_end(speech, whole)

    def _find_again(self) -> None:
        """Waits until a lost device is back, and drops what was queued: nothing is said late."""
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
            self._tell_end(self._over.popleft()[1], False)

    def _tell_end(self, speech: Speech, whole: bool) -> None:
        self._ended(speech, whole)
        self._told += 1
