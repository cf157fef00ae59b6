"""One stretch of sound: what may still go on, and the same sound heard by another network."""

from __future__ import annotations

import numpy as np
import pytest

from callout.edges.ear.recognizer import Models
from callout.edges.ear.sound import RATE_HZ, Samples
from callout.edges.ear.utterance import Stretch
from tests.speech import spoken

PAUSE_S = 0.7


def fed(models: Models, sound: Samples, name: str = "always", start: int = 0) -> Stretch:
    """A stretch that has taken all of the sound, a tenth of a second at a time."""
    stretch = Stretch(models, name, start, PAUSE_S)
    for at in range(0, len(sound), RATE_HZ // 10):
        stretch.feed(sound[at : at + RATE_HZ // 10])
    return stretch


def said(text: str) -> Samples:
    return (spoken([text], gap_s=0.3) * 32767).astype(np.int16)


@pytest.mark.parametrize(
    ("text", "goes_on"),
    [
        ("home two.", True),  # "number five"
        ("guest foul.", True),  # the number
        ("guest foul number.", True),
        ("start clock.", False),
        ("start clock, guest foul.", True),
        ("guest foul, start clock.", False),
    ],
)
def test_a_call_may_go_on_or_not(models: Models, text: str, goes_on: bool) -> None:
    assert fed(models, said(text)).may_go_on() is goes_on


def test_silence_is_nothing_and_costs_no_open_speech(models: Models) -> None:
    stretch = fed(models, np.zeros(2 * RATE_HZ, dtype=np.int16))
    assert stretch._speech is None
    assert not stretch.may_go_on()
    assert stretch.end() is None


def test_times_are_those_of_the_whole_sound(models: Models) -> None:
    first = fed(models, said("start clock.")).end()
    later = fed(models, said("start clock."), start=60 * RATE_HZ).end()
    assert first is not None
    assert later is not None
    assert later.start_s == pytest.approx(first.start_s + 60)
    assert later.calls[0].words[-1].end_s == pytest.approx(later.end_s)
    assert later.calls[0].score == pytest.approx(first.calls[0].score, abs=0.01)


def test_another_network_hears_it_from_its_first_word(models: Models) -> None:
    stretch = fed(models, said("yes."))
    told = stretch.again("question").end()
    assert told is not None
    assert told.calls[0].said == ["yes"]
    assert Stretch(models, "always", 0, PAUSE_S).again("question").end() is None
