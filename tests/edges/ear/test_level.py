"""The level of a microphone, from sound that the test makes."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from callout.edges.ear.level import LOUD_DB, NOTHING_DB, QUIET_DB, Level, Verdict, levels, verdict
from callout.edges.ear.sound import RATE_HZ, Samples
from callout.errors import DeviceError


class Fake:
    """A microphone that gave all its sound when it was opened."""

    name = "Headset"

    def __init__(self, *blocks: Samples, trouble: str = "") -> None:
        self.blocks, self.trouble, self.closed = blocks, trouble, False

    def open(
        self, device: str | None, take: Callable[[Samples], None], tell: Callable[[str, str], None]
    ) -> Fake:
        for block in self.blocks:
            take(block)
        if self.trouble:
            tell("clipped", self.trouble)
        return self

    def close(self) -> None:
        self.closed = True


def sine(height: float) -> Samples:
    """A tenth of a second; full scale has -3.01 dB, by the energy of a sine."""
    time = np.arange(RATE_HZ // 10) / RATE_HZ
    made: Samples = (height * 32_767 * np.sin(2 * np.pi * 500 * time)).astype(np.int16)
    return made


def told(fake: Fake, seconds: float = 1.0) -> list[Level]:
    now = iter(np.arange(0.0, 10.0, 0.6))
    return list(levels(None, seconds, opener=fake.open, now_s=lambda: float(next(now))))


@pytest.mark.parametrize(("height", "level"), [(1.0, -3.0), (0.1, -23.0), (0.01, -43.0)])
def test_the_level_is_that_of_the_loudest_frame(height: float, level: float) -> None:
    (first,) = told(Fake(sine(height)))
    assert first.name == "Headset"
    assert first.level_db == pytest.approx(level, abs=0.1)


def test_no_sound_at_all_is_below_everything() -> None:
    (first,) = told(Fake(np.zeros(1_600, dtype=np.int16)))
    assert first.level_db < NOTHING_DB


@pytest.mark.parametrize(
    ("loudest_db", "found", "words"),
    [(-120.0, Verdict.MUTE, "Headset: mute"), (-96.0, Verdict.MUTE, "Headset: mute"),
     (-89.0, Verdict.SOFT, "Headset: -89 dB, too soft"), (QUIET_DB - 0.1, Verdict.SOFT, ""),
     (QUIET_DB, Verdict.GOOD, "Headset: -45 dB, good"), (LOUD_DB, Verdict.GOOD, ""),
     (LOUD_DB + 0.1, Verdict.LOUD, "Headset: -6 dB, too loud, it clips"),
     (0.0, Verdict.LOUD, "Headset: 0 dB, too loud")],
)  # fmt: skip
def test_each_level_has_its_verdict(loudest_db: float, found: Verdict, words: str) -> None:
    """Our own thresholds: where `callout check --ear` gives advice, the meter says the same."""
    level = Level("Headset", -60.0, loudest_db)
    assert verdict(loudest_db) is found
    assert level.told()["verdict"] == found.name.lower()
    assert "".join(level.told()["told"]).startswith(words)


def test_a_loud_moment_is_judged_for_three_seconds() -> None:
    """A microphone that was moved away must not be called too loud for ever."""
    loud, soft = sine(1.0), sine(0.001)
    now = iter(np.arange(0.0, 20.0, 0.6))
    fake = Fake(*[loud, *[soft] * 9])
    blocks = iter(fake.blocks)

    def one_at_a_time(device: str | None, take: Callable[[Samples], None], tell: Any) -> Any:
        fake.take = take  # type: ignore[attr-defined]
        take(next(blocks))
        return fake

    seen = []
    for level in levels(None, 6.0, opener=one_at_a_time, now_s=lambda: float(next(now))):
        seen.append(verdict(level.loudest_db))
        fake.take(next(blocks))  # type: ignore[attr-defined]
        if len(seen) == 8:
            break
    assert seen[:6] == [Verdict.LOUD] * 6
    assert seen[6:] == [Verdict.SOFT] * 2


def test_what_the_microphone_complains_of_is_told_and_it_is_closed() -> None:
    fake = Fake(sine(1.0), trouble="Headset: is too loud")
    assert [each.trouble for each in told(fake)] == ["Headset: is too loud"]
    assert fake.closed


def test_a_microphone_that_is_not_there_is_an_error() -> None:
    def absent(*_: Any) -> Any:
        raise DeviceError("Headset: cannot be opened")

    with pytest.raises(DeviceError):
        next(levels("Headset", 1.0, opener=absent))
