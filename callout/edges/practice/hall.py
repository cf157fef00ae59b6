"""The hall of practice: a voice that tells the plays, whistles, and a crowd made by arithmetic."""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import partial
from typing import Final, Protocol

import numpy as np
from numpy.typing import NDArray

from callout.edges.ear.hall_noise import hall_noise
from callout.edges.live.inbox import Put, Sounded
from callout.edges.live.voice import Outlets
from callout.edges.sound_devices import has_output
from callout.edges.voice.device import DeviceVoice, Happening
from callout.edges.voice.output import DeviceStream, Fill, OpenStream, Stream
from callout.edges.voice.phrases import Phrases
from callout.edges.voice.player import Player
from callout.edges.voice.voice import phrases_for
from callout.errors import CalloutError, DeviceError
from callout.words import Words

CROWD_S: Final = 12.0
"""The crowd is as long as that, and begins anew."""
CROWD_GAIN: Final = 0.06
"""Its peak, against 0.5 for speech: it makes a hall, and must not hide a word."""
SEED: Final = 23


class PlaySounded(Sounded):
    """The telling of a play began, or ended."""


class Hall(Protocol):
    """Tells plays, and puts on the queue when the telling of each begins and ends."""

    aloud: bool
    """Whether it is heard, so that an open ear might hear it, too."""

    def tell(self, text: str, sound: str) -> None:
        """Tell a play, after a whistle or a horn."""

    def close(self) -> None:
        """End when all has been told."""


class PrintedHall:
    """Prints the plays, on machines without sound."""

    aloud = False

    def __init__(self, words: Words, put: Put, write: Callable[[str], None] | None = None) -> None:
        self._words, self._put = words, put
        self._write = write or partial(print, flush=True)

    def tell(self, text: str, sound: str) -> None:
        """Print it."""
        self._put(PlaySounded("started", text))
        before = f"({self._words(f'sound_{sound}')}) " if sound else ""
        self._write(f"        * {before}{text}")
        self._put(PlaySounded("finished", text))

    def close(self) -> None:
        """All has been printed."""


class SpokenHall:
    """Speaks the plays into a crowd."""

    aloud = True

    def __init__(
        self,
        put: Put,
        phrases: Phrases,
        device: str | None,
        open_stream: OpenStream = DeviceStream,
    ) -> None:
        """Open the device.

        Raises:
            DeviceError: it cannot be opened.
        """
        self._put = put
        play = partial(Player, open_stream=crowded(open_stream))
        self._voice = DeviceVoice(phrases, "both", device, self._told, play)

    def _told(self, what: Happening, text: str) -> None:
        if what != "notice":
            self._put(PlaySounded(what, text))

    def tell(self, text: str, sound: str) -> None:
        """Say it."""
        self._voice.speak(text, sound)

    def close(self) -> None:
        """End when all has been told."""
        self._voice.close()


def crowded(open_stream: OpenStream) -> OpenStream:
    """Opens a device with a crowd behind all that is played."""

    def opened(device: str | None, fill: Fill) -> Stream:
        crowd: list[NDArray[np.float32]] = []
        at = [0]

        def mixed(out: NDArray[np.float32], frames: int) -> None:
            fill(out, frames)
            if crowd:
                places = (at[0] + np.arange(frames)) % len(crowd[0])
                out += crowd[0][places, np.newaxis]
                at[0] = int(places[-1]) + 1

        stream = open_stream(device, mixed)
        noise = CROWD_GAIN * hall_noise(CROWD_S, SEED, stream.rate_hz)
        crowd.append(noise.astype(np.float32))
        return stream

    return opened


def why_silent(words: Words, outlets: Outlets, found: Callable[[], bool] = has_output) -> str:
    """Why no play can be spoken here; empty if it can."""
    if outlets.voice == "print":
        return words("voice_is_print")
    if outlets.voice.endswith(".wav"):
        return words("not_into_a_file")
    try:
        return "" if found() else words("no_sound_device")
    except DeviceError as error:
        return str(error)


def open_hall(words: Words, outlets: Outlets, put: Put) -> Hall:
    """The hall through these outlets; in print, where nothing can be spoken.

    Raises:
        CalloutError: a voice that was chosen by name cannot be had.
    """
    if why_silent(words, outlets):
        return PrintedHall(words, put)
    try:
        return SpokenHall(put, phrases_for(outlets.voice, words.language), outlets.headset)
    except CalloutError as error:
        if outlets.voice != "auto":
            raise
        print(words("no_voice", why=error), file=sys.stderr)
        return PrintedHall(words, put)
