"""The recognizer and the voice are killed; sound devices are removed and come back."""

from __future__ import annotations

import os
import queue
import signal
import time
from collections.abc import Sequence
from pathlib import Path
from typing import TypeVar

from callout.edges.ear.client import Hearing
from callout.edges.ear.messages import Event, FileDone, Ready, Utterance
from callout.edges.ear.sound import RATE_HZ
from callout.edges.models.catalogue import find_model
from callout.edges.voice.phrases import Phrases
from callout.edges.voice.piper import PiperSynthesizer
from callout.language.check import load_language
from callout.language.compiler import compile_network
from callout.language.scope import Sentences
from callout.table.language import english, scope_of
from callout.table.setup.setup import read_setup
from tests.faults.playing import SETUP, Live, booked, hall_file, new_game
from tests.faults.result import Result
from tests.pulse import Pulse, pulse_server
from tests.speech import speech_file

E = TypeVar("E", bound=Event)


def recognizer_killed(folder: Path, count: int) -> Result:
    """The recognizer's process is killed; the next call is heard by its successor."""
    setup = folder / "x.setup"
    setup.write_text(SETUP, encoding="utf-8")
    grammar, scope = load_language(english()), scope_of(read_setup(setup))
    networks = {
        "always": compile_network(grammar, scope),
        "question": compile_network(grammar, scope, Sentences.BOTH),
    }
    events: queue.Queue[Event] = queue.Queue()
    hearing = Hearing(find_model("vosk-model-en"), networks, events.put)
    call = speech_file(folder, "home two number five.")
    hearing.start()
    _until(events, Ready)
    soon, up, unheard = [], [], 0
    try:
        for _ in range(count):
            assert hearing.pid is not None
            os.kill(hearing.pid, signal.SIGKILL)
            killed_s = time.monotonic()
            _until(events, Ready)
            up.append(time.monotonic() - killed_s)
            hearing.hear_file(call)
            unheard += _until(events, Utterance).text != "home two number five"
            soon.append(time.monotonic() - killed_s)
            _until(events, FileDone)
    finally:
        hearing.close()
    return Result("recognizer killed", count, unheard, soon, most={"hears again after, s": max(up)})


def _until(events: queue.Queue[Event], kind: type[E]) -> E:
    while True:
        event = events.get(timeout=60)
        if isinstance(event, kind):
            return event


def voice_killed(folder: Path, count: int) -> Result:
    """The voice's process is killed between two phrases; the next one is not in the cache."""
    piper, unsaid = PiperSynthesizer(), 0
    phrases = Phrases(piper)
    back: queue.Queue[float] = queue.Queue()
    piper.back = lambda: back.put(time.monotonic())
    phrases.render("Number one.")
    soon = []
    try:
        for nth in range(count):
            assert piper._child is not None
            piper._child.kill()
            killed_s = time.monotonic()
            soon.append(back.get(timeout=60) - killed_s)
            unsaid += len(phrases.render(f"Number one, number {nth}.").samples) < RATE_HZ
    finally:
        phrases.close()
    return Result("voice killed", count, unsaid, soon, note="seconds until it speaks again")


def unplugged(
    folder: Path,
    count: int,
    sinks: Sequence[str] = ("hall", "headset"),
    fault: str = "headset unplugged",
) -> Result:
    """The headset's sink and the microphone's source are unloaded for some seconds and come back.

    Both go at once, as when one plug is pulled, and their streams end. If the microphone's source
    goes alone, the server connects its stream to the other source and does not move it back.
    """
    place = folder / "pulse"
    place.mkdir(mode=0o700, exist_ok=True)
    noise, soon = hall_file(folder / "noise.wav", 600.0), list[float]()
    with pulse_server(place) as pulse:
        game = new_game(folder)
        live = Live(game, "--ear", "open", "--voice", "auto", environment=pulse.environment)
        try:
            call = speech_file(folder, "home two number five.")
            with pulse.noise(noise):
                _called(live, pulse, call)
            for _ in range(count):
                for name in sinks:
                    pulse.unload(name)
                time.sleep(4)
                for name in sinks:
                    pulse.load(name)
                loaded_s = time.monotonic()
                with pulse.noise(noise):
                    _called(live, pulse, call)
                soon.append(time.monotonic() - loaded_s)
        finally:
            live.process.send_signal(signal.SIGINT)
            live.end()
    answered = sum("Home two, number five" in text for text in live.said())
    in_book = sum("Home two, number five" in text for text in booked(game, "voice"))
    note = "with the speech itself, 3 s each time it is tried"
    return Result(fault, count, abs(answered - in_book), soon, note=note)


def _called(live: Live, pulse: Pulse, call: Path) -> None:
    """Speak the call until it is answered, since a table that is speaking does not listen."""
    before, end = len(live.said()), time.monotonic() + 60
    while len(live.said()) == before:
        assert time.monotonic() < end, (live.answers, live.errors)
        pulse.play(call)
        patient = time.monotonic() + 3
        while len(live.said()) == before and time.monotonic() < patient:
            time.sleep(0.05)
