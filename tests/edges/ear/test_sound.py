"""Sound files of every usual kind, and what is no whole sound.

Source: libsndfile wrote the good files; the RIFF/WAVE layout (Microsoft, 1991) for the bad ones.
"""

from __future__ import annotations

import os
import struct
import tracemalloc
from pathlib import Path

import numpy as np
import pytest
import soundfile
import soxr

from callout.edges.ear.sound import BLOCK, FASTEST_HZ, RATE_HZ, SLOWEST_HZ, Samples, sound_blocks
from callout.errors import InputError


def read_sound(path: Path) -> Samples:
    """The whole sound of a file."""
    return np.concatenate([*sound_blocks(path), np.zeros(0, dtype=np.int16)])


def tone(rate_hz: int, seconds: float = 0.5) -> np.ndarray:
    time = np.arange(int(seconds * rate_hz)) / rate_hz
    return (0.5 * np.sin(2 * np.pi * 440 * time)).astype(np.float32)


def pitch_hz(samples: np.ndarray) -> float:
    spectrum = np.abs(np.fft.rfft(samples.astype(float)))
    return float(np.argmax(spectrum)) * RATE_HZ / len(samples)


@pytest.mark.parametrize("rate_hz", [8_000, 11_025, 16_000, 22_050, 44_100, 48_000, 96_000])
@pytest.mark.parametrize(
    ("ending", "subtype"),
    [("wav", "PCM_16"), ("wav", "PCM_24"), ("wav", "FLOAT"), ("flac", "PCM_24"), ("ogg", "VORBIS")],
)
def test_any_rate_and_kind_is_read(tmp_path: Path, rate_hz: int, ending: str, subtype: str) -> None:
    path = tmp_path / f"tone.{ending}"
    soundfile.write(path, tone(rate_hz), rate_hz, subtype=subtype)
    samples = read_sound(path)
    assert samples.dtype == np.int16
    assert len(samples) == pytest.approx(RATE_HZ / 2, abs=2)
    assert pitch_hz(samples) == pytest.approx(440, abs=4)
    assert np.abs(samples).max() == pytest.approx(0.5 * 32767, rel=0.1)


def test_of_two_channels_the_loud_one_is_taken(tmp_path: Path) -> None:
    path = tmp_path / "stereo.wav"
    loud = tone(16_000)
    soundfile.write(path, np.stack([0.1 * loud[::-1], -loud], axis=1), 16_000)
    assert np.abs(read_sound(path)).max() == pytest.approx(0.5 * 32767, rel=0.02)


def test_clipped_sound_stays_within_range(tmp_path: Path) -> None:
    path = tmp_path / "clipped.wav"
    soundfile.write(path, 8 * tone(44_100), 44_100, subtype="FLOAT")
    samples = read_sound(path)
    assert samples.max() == 32767
    assert samples.min() == -32767


def whole(tmp_path: Path) -> bytes:
    path = tmp_path / "whole.wav"
    soundfile.write(path, tone(16_000), 16_000, subtype="PCM_16")
    return path.read_bytes()


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (lambda data: data[:-100], "cut short"),
        (lambda data: data[:44], "expected 16000 bytes of sound, got 0: cut short"),
        (lambda data: data[:20], "got a header without any"),
        (lambda data: b"", "expected a sound file (WAV, FLAC, OGG), got none"),
        (lambda data: b"home two, number five\n", "expected a sound file"),
        (lambda data: data[:40] + b"\0\0\0\0", "got a file without any"),
    ],
)
def test_what_is_no_whole_sound_is_one_line(tmp_path: Path, spoil: object, says: str) -> None:
    path = tmp_path / "bad.wav"
    path.write_bytes(spoil(whole(tmp_path)))  # type: ignore[operator]
    with pytest.raises(InputError) as caught:
        read_sound(path)
    assert str(caught.value).startswith(f"{path}: ")
    assert says in str(caught.value)


def test_a_length_that_was_not_known_is_let_pass(tmp_path: Path) -> None:
    path = tmp_path / "stream.wav"
    data = whole(tmp_path)
    path.write_bytes(data[:40] + b"\xff\xff\xff\xff" + data[44:])
    assert len(read_sound(path)) > 7_000


def test_a_missing_file_and_numbers_that_are_none_are_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="got nothing there"):
        read_sound(tmp_path / "absent.wav")
    path = tmp_path / "nan.wav"
    soundfile.write(path, np.full(800, np.nan, dtype=np.float32), 16_000, subtype="FLOAT")
    with pytest.raises(InputError, match="samples that are numbers"):
        read_sound(path)


@pytest.mark.parametrize("rate_hz", [16_000, 48_000])
def test_a_sound_in_blocks_is_the_sound_at_once(tmp_path: Path, rate_hz: int) -> None:
    """The reference is the resampler given all of it at once."""
    path = tmp_path / "long.wav"
    sound = tone(rate_hz, 2.5 * BLOCK / rate_hz) + 0.1 * tone(rate_hz, 2.5 * BLOCK / rate_hz)[::-1]
    soundfile.write(path, np.stack([0.5 * sound, sound], axis=1), rate_hz, subtype="FLOAT")
    wanted = soxr.resample(sound, rate_hz, RATE_HZ) * 32767.0
    blocks = list(sound_blocks(path))
    assert len(blocks) > 4
    got = np.concatenate(blocks)
    assert len(got) == len(wanted)
    assert np.abs(got - wanted).max() < 2.0


@pytest.mark.parametrize("channels", [2, 200])
def test_a_long_sound_is_never_held_whole(tmp_path: Path, channels: int) -> None:
    path = tmp_path / "long.flac" if channels == 2 else tmp_path / "wide.wav"
    frames = 16_000_000 // channels
    with soundfile.SoundFile(path, "w", 48_000, channels, "PCM_16") as file:
        for _ in range(100):
            file.write(np.zeros((frames // 100, channels), dtype=np.int16))
    tracemalloc.start()
    try:
        count = sum(len(block) for block in sound_blocks(path))
        _, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert count == pytest.approx(frames / 3, abs=2)
    assert most < 8 << 20, "of 64 MB as floats"


@pytest.mark.parametrize("rate_hz", [1, 100, SLOWEST_HZ - 1, FASTEST_HZ + 1, 2**31 - 1])
def test_a_rate_that_no_speech_has_is_refused(tmp_path: Path, rate_hz: int) -> None:
    path = tmp_path / "rate.wav"
    data = whole(tmp_path)
    path.write_bytes(data[:24] + struct.pack("<II", rate_hz, 2 * rate_hz & 0xFFFF_FFFF) + data[32:])
    with pytest.raises(InputError, match=rf"rate\.wav: expected 4000 to 768000 .* got {rate_hz}$"):
        read_sound(path)


def test_what_cannot_be_opened_is_blamed_itself(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"x: cannot be read: file name too long"):
        read_sound(tmp_path / ("x" * 300))
    with pytest.raises(InputError, match="got what is no file"):
        read_sound(tmp_path)
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(InputError, match="got what is no file"):
        read_sound(tmp_path / "pipe")
