"""The voice through a sound device."""

from __future__ import annotations

import queue
import sys
import threading
from collections.abc import Callable, Iterable
from typing import Literal

import numpy as np

from callout.edges.voice.phrases import Phrases, sentences
from callout.edges.voice.player import Player, Speech
from callout.edges.voice.sounding import sound_or_tone
from callout.edges.voice.tones import tone
from callout.table.speech.delivery import Delivery
from callout.table.speech.kinds import HEADSET_BACK, VOICE_BACK

Happening = Literal["started", "finished", "stopped", "notice"]
"""A text began to sound, ended, or was cut short; or the voice or the headset was gone and is back,
and the text is the kind of notice."""

Told = Callable[[Happening, str], None]
"""Called with what happened, and the text."""


def ignore(what: Happening, text: str) -> None:
    """Tells nobody."""


class DeviceVoice:
    """Speaks through a sound device, on a thread of its own."""

    tells = True

    def __init__(
        self,
        phrases: Phrases,
        ears: str,
        device: str | None = None,
        told: Told = ignore,
        play: Callable[..., Player] = Player,
    ) -> None:
        """`ears` is left, right or both; `play` makes the player, as `Player` does."""
        self._phrases = phrases
        self._told = told
        self._delivery = Delivery()
        self._player = play(device, ears, self._ended, lambda: told("notice", HEADSET_BACK))
        phrases.synthesizer.back = lambda: told("notice", VOICE_BACK)
        self._wanted: queue.Queue[tuple[Speech, str] | None] = queue.Queue()
        self._thread = threading.Thread(target=self._work, name="voice", daemon=True)
        self._thread.start()

    def speak(self, text: str, tone_name: str = "") -> None:
        """Queues the tone and the text; cached phrases start at once."""
        self._wanted.put((Speech(text, self._player.turn, self._delivery.gain), tone_name))

    def hush(self) -> None:
        """Stops within 10 ms."""
        self._player.stop()

    def deliver(self, delivery: Delivery) -> None:
        """Sets the speed and the volume from now on."""
        self._delivery = delivery

    def prepare(self, texts: Iterable[str]) -> None:
        """Renders these in the background, in place of those that were prepared last."""
        self._phrases.prepare(texts, self._delivery.speed)

    def close(self) -> None:
        """Waits until all has been said, then frees the device."""
        self._wanted.put(None)
        self._thread.join()
        self._player.drain()
        self._player.close()
        self._phrases.close()

    def _work(self) -> None:
        while (wanted := self._wanted.get()) is not None:
            speech, tone_name = wanted
            self._told("started", speech.name)
            try:
                self._say(speech, tone_name)
            except Exception as error:
                # Whatever fails, this thread goes on and reports an end: the open ear is closed
                # until then.
                print(f"voice: {error!r}\n  > {speech.name}", file=sys.stderr, flush=True)
            finally:
                self._player.add(speech, np.zeros(0, dtype=np.float32), last=True)

    def _say(self, speech: Speech, tone_name: str) -> None:
        """Plays each sentence as soon as it is rendered, while the next one is rendered."""
        if tone_name:
            self._player.add(speech, tone(tone_name, self._player.rate_hz))
        for sentence in sentences(speech.name):
            if speech.turn == self._player.turn:
                speed, rate_hz = self._delivery.speed, self._player.rate_hz
                self._player.add(speech, sound_or_tone(self._phrases, sentence, "", rate_hz, speed))

    def _ended(self, speech: Speech, whole: bool) -> None:
        self._told("finished" if whole else "stopped", speech.name)
