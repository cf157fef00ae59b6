"""The hall of practice: plays told in print or over a crowd."""

from __future__ import annotations

import time

import numpy as np
import pytest
from numpy.typing import NDArray

from callout.edges.live.inbox import Item
from callout.edges.live.voice import Outlets
from callout.edges.practice.hall import (
    CROWD_GAIN,
    PlaySounded,
    PrintedHall,
    SpokenHall,
    crowded,
    open_hall,
    why_silent,
)
from callout.edges.voice.output import Fill
from callout.edges.voice.phrases import Phrases
from callout.edges.voice.piper import PiperSynthesizer
from callout.edges.voice.sounding import LOUDEST
from callout.errors import DeviceError
from tests.english import WORDS
from tests.patience import HANG_S
from tests.speech import FOLDER, even_voice


def test_in_print_a_play_is_told_at_once_with_its_sound() -> None:
    put: list[Item] = []
    written: list[str] = []
    hall = PrintedHall(WORDS, put.append, written.append)
    hall.tell("Home scores.", "whistle")
    hall.close()
    assert written == ["        * (whistle) Home scores."]
    assert put == [PlaySounded("started", "Home scores."), PlaySounded("finished", "Home scores.")]


class Recorded:
    """A stream that plays when it is told to."""

    rate_hz, channels, latency_s, name = 8_000, 2, 0.0, "recorded"

    def __init__(self, device: str | None, fill: Fill) -> None:
        self.fill = fill

    def start(self) -> None:
        """It plays by hand."""

    def close(self) -> None:
        """Nothing is open."""

    def block(self, frames: int) -> NDArray[np.float32]:
        """The next block."""
        out = np.zeros((frames, 2), dtype=np.float32)
        self.fill(out, frames)
        return out


def test_a_crowd_lies_behind_what_is_said_and_hides_none_of_it() -> None:
    def said(out: NDArray[np.float32], frames: int) -> None:
        out[:] = LOUDEST

    stream = crowded(Recorded)(None, said)
    assert isinstance(stream, Recorded)
    crowd = np.concatenate([stream.block(4_000) for _ in range(50)]) - LOUDEST
    assert np.abs(crowd).max() == pytest.approx(CROWD_GAIN, abs=0.001)
    assert 0 < float(np.sqrt((crowd**2).mean())) < 0.3 * CROWD_GAIN
    # It begins anew without a gap after 12 s.
    assert np.allclose(crowd[:4_000], crowd[96_000:100_000], atol=1e-6)
    assert np.array_equal(crowd[:, 0], crowd[:, 1])


@pytest.mark.thorough
def test_a_play_is_spoken_after_a_whistle() -> None:
    """The whistle is two tones near 3 kHz; speech of this voice has little there."""
    put: list[Item] = []
    streams: list[Recorded] = []

    def opened(device: str | None, fill: Fill) -> Recorded:
        streams.append(Recorded(device, fill))
        return streams[-1]

    phrases = Phrases(PiperSynthesizer(even_voice(FOLDER)), FOLDER / "phrases")
    hall = SpokenHall(put.append, phrases, None, opened)
    hall.tell("Home, number five, scores.", "whistle")
    blocks, end = [], time.monotonic() + HANG_S
    while PlaySounded("finished", "Home, number five, scores.") not in put:
        assert time.monotonic() < end
        blocks.append(streams[0].block(400)[:, 0])
        time.sleep(0.01)
    hall.close()
    assert put[0] == PlaySounded("started", "Home, number five, scores.")
    heard = np.concatenate(blocks)
    loud = np.flatnonzero(np.abs(heard) > 2 * CROWD_GAIN)
    whistle = heard[loud[0] : loud[0] + 4_000]
    words = heard[loud[0] + 6_000 : loud[-1]]
    assert _share_at_3_khz(whistle) > 0.8
    assert _share_at_3_khz(words) < 0.2
    assert len(words) > 8_000


def _share_at_3_khz(sound: NDArray[np.float32]) -> float:
    power = np.abs(np.fft.rfft(sound)) ** 2
    hertz = np.fft.rfftfreq(len(sound), 1 / Recorded.rate_hz)
    return float(power[(hertz > 2_700) & (hertz < 3_300)].sum() / power.sum())


def lacks() -> bool:
    raise DeviceError("no sound devices: install libportaudio2")


def test_why_nothing_is_spoken_is_told() -> None:
    auto = Outlets(ears="left")
    assert why_silent(WORDS, auto, lambda: True) == ""
    assert why_silent(WORDS, auto, lambda: False) == "no sound device was found"
    assert "libportaudio2" in why_silent(WORDS, auto, lacks)
    assert why_silent(WORDS, Outlets(voice="print", ears="left")) == "--voice print"
    assert "file" in why_silent(WORDS, Outlets(voice="a.wav", ears="left"))


def test_without_sound_the_hall_is_in_print() -> None:
    assert isinstance(
        open_hall(WORDS, Outlets(voice="print", ears="left"), lambda _: None), PrintedHall
    )
