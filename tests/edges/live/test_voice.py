"""What is said at a game, in the ear and to all; the files spoken into are the witness."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from callout.edges.live.inbox import Item, Sounded
from callout.edges.live.voice import STUCK_S, LiveVoice, Outlets
from callout.table.speech.announcer import Hush, Speak
from callout.table.speech.delivery import Delivery


class Put:
    """The table's queue, as a list."""

    def __init__(self) -> None:
        self.events: list[Item] = []

    def __call__(self, event: Item) -> None:
        self.events.append(event)


def test_both_outlets_are_told_of_and_counted(tmp_path: Path) -> None:
    put = Put()
    voice = LiveVoice(
        Outlets(voice="print", ears="both", loudspeaker="hall"),
        put,
        lambda: 0.0,
        tmp_path / "a.wav",
        "en",
    )
    assert not voice.do([Speak("Home two."), Speak("", "horn", aloud=True)])
    assert put.events == [
        Sounded("started", "Home two."),
        Sounded("finished", "Home two."),
        Sounded("started", aloud=True),
        Sounded("finished", aloud=True),
    ]
    voice.count(Sounded("started"))
    voice.count(Sounded("started"))
    voice.count(Sounded("stopped"))
    assert voice.sounds
    voice.count(Sounded("finished"))
    assert not voice.sounds
    voice.close()


@pytest.mark.parametrize(("talk_over", "headset"), [(False, True), (True, False)])
def test_the_ear_is_closed_to_what_the_microphone_hears(
    tmp_path: Path, talk_over: bool, headset: bool
) -> None:
    outlets = Outlets(voice="print", ears="both", loudspeaker="hall", talk_over=talk_over)
    voice = LiveVoice(outlets, Put(), lambda: 0.0, tmp_path / "a.wav", "en")
    voice.count(Sounded("started"))
    assert (voice.sounds, voice.reaches_the_ear) == (True, headset)
    voice.count(Sounded("started", aloud=True))
    assert voice.reaches_the_ear
    voice.count(Sounded("finished", aloud=True))
    voice.count(Sounded("stopped"))
    assert not voice.reaches_the_ear
    voice.close()


def test_a_sound_whose_end_is_never_told_does_not_close_the_ear_for_ever(tmp_path: Path) -> None:
    now = [0.0]
    outlets = Outlets(voice="print", ears="both")
    voice = LiveVoice(outlets, Put(), lambda: now[0], tmp_path / "a.wav", "en")
    voice.count(Sounded("started"))
    now[0] = STUCK_S
    assert not voice.settle()
    assert voice.reaches_the_ear
    now[0] = STUCK_S + 0.1
    assert voice.settle()
    assert not voice.reaches_the_ear
    assert not voice.settle()
    voice.close()


def test_without_a_loudspeaker_the_headset_has_all(tmp_path: Path) -> None:
    put = Put()
    voice = LiveVoice(
        Outlets(voice="print", ears="both"), put, lambda: 0.0, tmp_path / "a.wav", "en"
    )
    voice.do([Speak("", "horn", aloud=True)])
    assert put.events == [Sounded("started"), Sounded("finished")]
    voice.close()


def test_it_speaks_as_it_is_told_and_stops(tmp_path: Path) -> None:
    now, path = [0.0], tmp_path / "a.wav"
    voice = LiveVoice(
        Outlets(voice=str(path), ears="both"), Put(), lambda: now[0], tmp_path / "b.wav", "en"
    )
    voice.do([Speak("", "horn")])
    now[0] = 2.0
    assert voice.do([Delivery(gain=0.25)])
    voice.do([Speak("", "horn")])
    now[0] = 4.0
    voice.do([Speak("", "horn")])
    now[0] = 4.3
    voice.do([Hush()])
    voice.close()
    sound, rate_hz = soundfile.read(path)
    loud, soft = (np.abs(sound[at * rate_hz : (at + 1) * rate_hz]).max() for at in (0, 2))
    assert soft / loud == pytest.approx(0.25 / Delivery().gain, abs=0.01)
    assert len(sound) / rate_hz == pytest.approx(4.3, abs=0.01)
