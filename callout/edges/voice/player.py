"""Sound out: one stream of its own, a queue of sounds, a level that cannot hurt."""

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

from callout.edges.voice.output import (
    USUAL,
    DeviceStream,
    OpenStream,
    Stream,
    sound_library,
)
from callout.edges.voice.sounding import limited
from callout.edges.voice.tones import Sound
from callout.errors import DeviceError

RAMP_S: Final = 0.01
"""What is stopped fades out this long."""

STALLED_S: Final = 2.0
"""A device that asked for no sound this long is gone: no library tells of an unplugged one."""

RETRY_S: Final = 2.0
"""How often a device that is gone is looked for again."""

EARS: Final = {"left": (1.0, 0.0), "right": (0.0, 1.0), "both": (1.0, 1.0)}
"""How much of the voice the left and the right channel have: one ear is left to the hall."""


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
        open_stream: OpenStream = DeviceStream,
        clock_s: Callable[[], float] = time.monotonic,
    ) -> None:
        """Open the device; `ears` is left, right or both; `back` is called when a lost one is back.

        `clock_s` gives seconds since any moment; ends are told by it.

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
        """How much of the device's block has been filled."""
        self._gain = 1.0
        self._over: deque[tuple[float, Speech, bool]] = deque()
        self._asked = 0
        self._told = 0
        """Speeches that were added whole, and those whose end was told: each has one writer."""
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
        """How many speeches were added whose end was not told."""
        return self._asked - self._told

    def let_go(self) -> None:
        """Ends the stream; what is queued waits for the next."""
        stream, self._stream = self._stream, None
        if stream is not None:
            stream.close()

    def take_up(self) -> None:
        """Opens the device again; one that is gone meanwhile is found out as any other."""
        with suppress(DeviceError):
            self._open()

    def add(self, speech: Speech, sound: Sound, last: bool = False) -> None:
        """Queues a sound of a speech; nothing in it is louder than is safe."""
        self._asked += last
        self._waiting.append(_Piece(speech, limited(sound, speech.gain), last))

    def stop(self) -> None:
        """Fades out what sounds, and drops what waits; what is asked for later is played."""
        self.turn += 1

    def drain(self) -> None:
        """Waits until everything queued has left the device, and has been told of."""
        while (self.sounds or self.owes) and not self._closed.is_set():
            time.sleep(0.01)

    def close(self) -> None:
        """Free the device."""
        self._closed.set()
        self._teller.join(2 * RETRY_S)
        with _SHARED.lock:
            _SHARED.players.remove(self)
            self.let_go()

    def fill(self, out: NDArray[np.float32], frames: int) -> None:
        """Fill a block for the device, on its own thread: this only copies, and never raises."""
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
        """The next sound that was not stopped before it began."""
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
        """The part growing silent; devices ask for blocks shorter than the ramp, too."""
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

    # The player's thread: it tells of ends once the sound has left the device, and watches over it.
    def _tell(self) -> None:
        while not self._closed.wait(0.01):
            self.tell_ends()
            if self._clock_s() - self._beat_s > STALLED_S:
                self._find_again()

    def tell_ends(self) -> None:
        """Tell of speeches whose last sound has left the device by now."""
        with self._telling:
            while self._over and self._over[0][0] <= self._clock_s():
                _, speech, whole = self._over.popleft()
                self._tell_end(speech, whole)

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
            self._tell_end(self._over.popleft()[1], False)

    def _tell_end(self, speech: Speech, whole: bool) -> None:
        self._ended(speech, whole)
        self._told += 1
