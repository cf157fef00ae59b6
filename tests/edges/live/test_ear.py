"""Whether the ear hears. What it tells is written in the head of `edges/ear/process.py`."""

from __future__ import annotations

import pytest

from callout.edges.ear.client import FATAL
from callout.edges.ear.listening import LATEST_S, LONGEST_S
from callout.edges.ear.microphone import TROUBLES
from callout.edges.live.ear import LiveEar
from callout.errors import CalloutError
from callout.table.speech.announcer import QUIET_MS
from callout.table.speech.kinds import ALL_KINDS


def told(ear: LiveEar, *names: str) -> list[str | None]:
    """What the table is to say of each: a thing that happened to the process, or a trouble."""
    return [
        ear.follow({"event": "problem", "what": "x", "kind": "DeviceError", "sort": name[4:]})
        if name.startswith("ear_")
        else ear.follow({"event": name, "device": "x", "status": -9})
        for name in names
    ]


def test_it_is_deaf_while_its_process_or_the_microphone_s_sound_is_gone() -> None:
    ear = LiveEar()
    assert told(ear, "ready", "listening", "level") == [None, None, None]
    assert not ear.is_deaf
    assert told(ear, "died", "gone") == ["recognizer_gone", "ear_gone"]
    told(ear, "ear_absent")
    assert told(ear, "back") == ["recognizer_back"]
    assert ear.is_deaf
    assert told(ear, "listening", "ear_frozen", "ear_back") == [None, "ear_frozen", "ear_back"]
    assert not ear.is_deaf


@pytest.mark.parametrize(
    ("mode", "talking", "gated", "state"),
    [
        ("open", False, False, "open"),
        ("open", False, True, "waits for the voice"),
        ("hold", False, True, "waits for the key"),
        ("hold", True, False, "held"),
        ("tap", False, False, "hears one call after a tap"),
    ],
)
def test_its_state_in_words(mode: str, talking: bool, gated: bool, state: str) -> None:
    ear = LiveEar()
    assert ear.state(mode, talking, gated) == state
    told(ear, "died")
    assert ear.state(mode, talking, gated) == "gone"


@pytest.mark.parametrize("sort", sorted(TROUBLES.keys() - {"frozen", "back"}))
def test_poor_sound_is_told_of_and_heard(sort: str) -> None:
    ear = LiveEar()
    assert told(ear, f"ear_{sort}") == [f"ear_{sort}"]
    assert f"ear_{sort}" in ALL_KINDS
    assert not ear.is_deaf


@pytest.mark.parametrize("kind", FATAL)
def test_an_ear_that_has_no_model_ends_the_game(kind: str) -> None:
    with pytest.raises(CalloutError, match="damaged"):
        LiveEar().follow({"event": "problem", "what": "damaged", "kind": kind})


def test_the_table_is_quiet_for_longer_than_a_key_keeps_the_ear_open() -> None:
    assert QUIET_MS > 1000 * (LONGEST_S + LATEST_S)
