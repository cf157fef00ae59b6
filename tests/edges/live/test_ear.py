"""Whether the ear hears. What it tells is listed in `edges/ear/messages.py`."""

from __future__ import annotations

import pytest

from callout.edges.ear.client import Hearing
from callout.edges.ear.listening import LATEST_S, LONGEST_S
from callout.edges.ear.messages import FATAL, Event, Level, Listening, Mode, Problem, Ready
from callout.edges.ear.microphone import TROUBLES
from callout.edges.live.ear import MICROPHONE, LiveEar
from callout.edges.restarts import Back, Died, Gone
from callout.errors import CalloutError
from callout.table.speech.announcer import QUIET_MS

LISTENING = Listening("headset", 48_000)
DIED, GONE = Died(-9, "died (status -9)"), Gone(-9, "died (status -9)")


def live_ear(mode: Mode = Mode.OPEN) -> LiveEar:
    """An ear that is on; its process is never started."""
    ear = LiveEar(lambda event: None, Hearing)
    ear.mode = mode
    return ear


def told(ear: LiveEar, *events: Event) -> list[str | None]:
    """What the table is to say of each."""
    return [ear.follow(event) for event in events]


def trouble(sort: str) -> Problem:
    """A microphone's trouble of that sort."""
    return Problem("x", "DeviceError", sort)


def test_it_is_deaf_while_its_process_or_the_microphone_s_sound_is_gone() -> None:
    ear = live_ear()
    assert told(ear, Ready(), LISTENING, Level(5)) == [None, None, None]
    assert not ear.is_deaf
    assert told(ear, DIED, GONE) == ["recognizer_gone", "ear_gone"]
    told(ear, trouble("absent"))
    assert told(ear, Back()) == ["recognizer_back"]
    assert ear.is_deaf
    assert told(ear, LISTENING, trouble("frozen"), trouble("back")) == [
        None,
        "ear_frozen",
        "ear_back",
    ]
    assert not ear.is_deaf


@pytest.mark.parametrize(
    ("mode", "talking", "gated", "state"),
    [
        (Mode.OPEN, False, False, "open"),
        (Mode.OPEN, False, True, "waits for the voice"),
        (Mode.HOLD, False, True, "waits for the key"),
        (Mode.HOLD, True, False, "held"),
        (Mode.TAP, False, False, "hears one call after a tap"),
    ],
)
def test_its_state_in_words(mode: Mode, talking: bool, gated: bool, state: str) -> None:
    ear = live_ear(mode)
    assert ear.state(talking, gated) == state
    told(ear, DIED)
    assert ear.state(talking, gated) == "gone"


def test_an_ear_that_is_off_does_nothing_and_says_so() -> None:
    ear = LiveEar(lambda event: None, Hearing)
    ear.press()
    ear.release()
    ear.gate(True)
    ear.hear_answers(True)
    ear.close()
    assert ear.state(talking=False, gated=True) == "off"
    assert not ear.may_hear
    assert not ear.waits_for_key


def test_every_problem_of_the_microphone_has_its_notice() -> None:
    assert MICROPHONE.keys() == TROUBLES.keys() | {"absent"}


@pytest.mark.parametrize("sort", sorted(TROUBLES.keys() - {"frozen", "back"}))
def test_poor_sound_is_told_of_and_heard(sort: str) -> None:
    ear = live_ear()
    assert told(ear, trouble(sort)) == [f"ear_{sort}"]
    assert not ear.is_deaf


@pytest.mark.parametrize("kind", FATAL)
def test_an_ear_that_has_no_model_ends_the_game(kind: str) -> None:
    with pytest.raises(CalloutError, match="damaged"):
        live_ear().follow(Problem("damaged", kind))


def test_the_table_is_quiet_for_longer_than_a_key_keeps_the_ear_open() -> None:
    assert QUIET_MS > 1000 * (LONGEST_S + LATEST_S)


def test_a_microphone_that_was_never_there_is_told_from_one_that_went_away() -> None:
    ear = live_ear()
    told(ear, Ready())
    assert ear.may_hear, "it may still be found"
    told(ear, trouble("absent"))
    assert not ear.may_hear
    told(ear, LISTENING, trouble("absent"))
    assert ear.may_hear
