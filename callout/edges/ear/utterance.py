"""Sound into calls: an exact acceptor for what was said, open speech to doubt it by.

The sound between two pauses is decoded twice by the same acoustic model: by the acceptor, which can
hear nothing but calls and "something else", and by the model's own graph of all English. The
difference of the two scores is a log-likelihood ratio: how much better the calls explain the sound
than any other words.
"""

from __future__ import annotations

import json

import numpy as np

from callout.edges.ear.callers import Callers
from callout.edges.ear.grammar_fst import UNKNOWN
from callout.edges.ear.hypotheses import readings_of
from callout.edges.ear.messages import Utterance
from callout.edges.ear.recognizer import Models, Speech
from callout.edges.ear.sound import RATE_HZ, Samples
from callout.edges.ear.verdict import Judge


class Stretch:
    """The sound of one utterance while it is decoded."""

    def __init__(
        self,
        models: Models,
        name: str,
        start: int,
        pause_s: float,
        meant: bool = False,
        callers: Callers | None = None,
    ) -> None:
        """`start` is the index of its first sample in the whole sound.

        `meant`: a key to talk is down, and all that is said is meant for the table. `callers` are
        those who have called so far.
        """
        self._models, self._name, self.start = models, name, start
        self._pause_s, self._meant, self._callers = pause_s, meant, callers
        self._calls = models.recognizer(name)
        self._speech: Speech | None = None
        self._sound: list[Samples] = []
        self._words: list[str] = []
        self._changed = 0
        self._fed = 0

    def feed(self, samples: Samples) -> bool:
        """Take more sound; whether the recognizer sees the end of the utterance."""
        self._sound.append(samples)
        self._fed += len(samples)
        data = samples.tobytes()
        ended = bool(self._calls.AcceptWaveform(data))
        if self._speech is not None:
            self._speech.feed(data)
        words = self._heard_so_far()
        if words != self._words:
            self._words, self._changed = words, self._fed
        if self._speech is None and words:
            # Open speech is expensive: it is decoded only once there are words, from the start.
            self._speech = self._models.borrow_speech()
            self._speech.feed(np.concatenate(self._sound).tobytes())
        return ended

    @property
    def has_words(self) -> bool:
        """Whether there is speech in it so far, calls or other words."""
        return bool(self._words)

    @property
    def stood_still_s(self) -> float:
        """How long the partial result has not changed, in seconds; 0 while there is none."""
        return (self._fed - self._changed) / RATE_HZ if self._words else 0.0

    def _heard_so_far(self) -> list[str]:
        partial: str = json.loads(self._calls.PartialResult()).get("partial", "")
        return partial.split()

    def may_go_on(self) -> bool:
        """Whether the words so far are the beginning of a call, or of a longer one."""
        words, network = self._since_other_speech(), self._models.networks[self._name]
        ends = network.split(words)
        if ends is None:
            return bool(words)
        return network.can_go_on(words[ends[-2] if len(ends) > 1 else 0 :])

    def is_whole(self) -> bool:
        """Whether the words so far end with a call that no longer call extends."""
        return bool(self._since_other_speech()) and not self.may_go_on()

    def _since_other_speech(self) -> list[str]:
        words = self._words
        return words[len(words) - words[::-1].index(UNKNOWN) :] if UNKNOWN in words else words

    def again(self, name: str) -> Stretch:
        """The same sound, decoded by another network."""
        kept = self.start, self._pause_s, self._meant, self._callers
        other = Stretch(self._models, name, *kept)
        if self._sound:
            other.feed(np.concatenate(self._sound))
        return other

    def end(self) -> Utterance | None:
        """The utterance; None for silence."""
        # `Result` would leave out the last frames: both scores must be of the same sound.
        readings = readings_of(json.loads(self._calls.FinalResult()))
        if not readings or not readings[0].words:
            if self._speech is not None:
                self._models.give_back(self._speech)
            return None
        sound = np.concatenate(self._sound)
        if self._speech is None:
            speech = self._models.as_english(sound.tobytes())
        else:
            speech = self._models.give_back(self._speech)
        judge = Judge(
            self._models, self._name, sound, speech, self._pause_s, self._meant, self._callers
        )
        return judge.judge(readings, self.start / RATE_HZ)
