"""Sound into calls: an exact acceptor for what was said, open speech to doubt it by.

Every stretch of speech is decoded twice by the same acoustic model: by the acceptor, which can
hear nothing but calls and "something else", and by the model's own graph of all English. The
difference of the two scores is the logarithm of a likelihood ratio: how much better the calls
explain the sound than any other words do.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path
from typing import Any, Final

import numpy as np
import vosk

from callout.edges.acceptor import UNKNOWN, Costs, Settings, acceptor, private_model
from callout.edges.models import NEEDED
from callout.edges.sound import RATE_HZ, Samples
from callout.errors import ModelError
from callout.language.network import Network

NEVER_S: Final = 1_000.0
"""Silence that never comes: open speech ends only where the acceptor does."""

EDGE_S: Final = 0.15
"""Sound kept on both sides of a call that is judged by itself; the model looks ahead as far."""


@dataclass(frozen=True, slots=True)
class Options:
    """What the ear trusts."""

    least_score: float = 3.0
    """A call that explains its sound no better than this is ignored."""
    ask_gap: float = 1.0
    """A reading this much worse than the best one is asked about."""
    longest_word_s: float = 1.5
    """A longer word is noise that was taken for one."""
    alternatives: int = 6
    costs: Costs = field(default_factory=Costs)
    settings: Settings = field(default_factory=Settings)


@dataclass(frozen=True, slots=True)
class Word:
    """A word and when it was said, in seconds of the sound."""

    word: str
    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to hear an utterance."""

    words: tuple[Word, ...]
    score: float


class Models:
    """The recognizer's model, loaded once for calls, once for answers, and once for all speech."""

    def __init__(self, model: Path, folder: Path, options: Options = Options()) -> None:
        """`folder` is private, and holds the changed copies.

        Raises:
            ModelError: a file is missing, or the recognizer cannot load them.
        """
        vosk.SetLogLevel(-1)
        missing = [name for name in NEEDED if not (model / name).is_file()]
        if missing:
            raise ModelError(f"{model}: expected a recognizer model, {missing[0]} is missing; "
                             "get it with: callout models")  # fmt: skip
        self.options = options
        self._model, self._folder = model, folder
        never = Settings(2.0, NEVER_S, NEVER_S, NEVER_S)
        self.speech = self._load("speech", None, never)
        self.networks: dict[str, Network] = {}
        self._acceptors: dict[str, Any] = {}

    def use(self, name: str, network: Network) -> None:
        """Hear by this network under that name, from the next utterance on."""
        unknown = sorted(word for word in network.words() if not self.knows(word))
        if unknown:
            raise ModelError(f"words that the model does not know: {', '.join(unknown)}")
        made = acceptor(network, self.speech.vosk_model_find_word, self.options.costs)
        self._acceptors[name] = self._load(name, made, self.options.settings)
        self.networks[name] = network

    def _load(self, name: str, grammar: bytes | None, settings: Settings) -> Any:
        folder = self._folder / name
        try:
            return load(private_model(self._model, folder, grammar, settings))
        finally:
            # All of it is in memory now; a process that dies later leaves no copies behind.
            shutil.rmtree(folder, ignore_errors=True)

    def knows(self, word: str) -> bool:
        """Whether the model has that word."""
        return bool(self.speech.vosk_model_find_word(word) >= 0)

    def recognizer(self, name: str | None) -> Any:
        """A fresh recognizer of a network, or of all speech."""
        model = self._acceptors[name] if name else self.speech
        made = vosk.KaldiRecognizer(model, RATE_HZ)
        made.SetMaxAlternatives(self.options.alternatives if name else 1)
        made.SetWords(True)
        return made


def load(folder: Path) -> Any:
    """The model in that folder.

    Raises:
        ModelError: the recognizer refuses it.
    """
    try:
        return vosk.Model(str(folder))
    except Exception:
        raise ModelError("the recognizer cannot load its model; "
                         "get it anew with: callout models") from None  # fmt: skip


class Stretch:
    """One stretch of sound being decoded, from its first sample to its end."""

    def __init__(self, models: Models, name: str, start: int) -> None:
        """`start` is the place of its first sample in the whole sound."""
        self._models, self._name, self.start = models, name, start
        self._calls = models.recognizer(name)
        self._speech: Any = None
        self._sound: list[Samples] = []

    def feed(self, samples: Samples) -> bool:
        """Take more sound; whether the speaker has come to an end."""
        self._sound.append(samples)
        data = samples.tobytes()
        ended = bool(self._calls.AcceptWaveform(data))
        if self._speech is not None:
            self._speech.AcceptWaveform(data)
        elif self._heard_something():
            # Open speech is costly: it is decoded only once there is speech, from the start.
            self._speech = self._models.recognizer(None)
            self._speech.AcceptWaveform(np.concatenate(self._sound).tobytes())
        return ended

    def _heard_something(self) -> bool:
        return bool(self._heard_so_far())

    def _heard_so_far(self) -> list[str]:
        partial: str = json.loads(self._calls.PartialResult()).get("partial", "")
        return partial.split()

    def may_go_on(self) -> bool:
        """Whether what was said so far is a part of a call, or of a longer one."""
        words = self._heard_so_far()
        last = len(words) - words[::-1].index(UNKNOWN) if UNKNOWN in words else 0
        network = self._models.networks[self._name]
        ends = network.split(words[last:])
        if ends is None:
            return last < len(words)
        return network.can_go_on(words[last:][ends[-2] if len(ends) > 1 else 0 :])

    def again(self, name: str) -> Stretch:
        """The same sound, heard by another network."""
        other = Stretch(self._models, name, self.start)
        if self._sound:
            other.feed(np.concatenate(self._sound))
        return other

    def end(self) -> dict[str, Any] | None:
        """What was said in it; None for silence."""
        # Not `Result`, which leaves out the last frames: both scores must be of the same sound.
        readings = _readings(json.loads(self._calls.FinalResult()))
        if not readings or not readings[0].words:
            return None
        sound = np.concatenate(self._sound)
        return Judge(self._models, self._name, sound, self._whole_score(sound)).judge(
            readings, self.start / RATE_HZ
        )

    def _whole_score(self, sound: Samples) -> float:
        """The score of all English over the whole stretch."""
        if self._speech is None:
            self._speech = self._models.recognizer(None)
            self._speech.AcceptWaveform(sound.tobytes())
        return _best_score(self._speech)


@dataclass(frozen=True)
class Judge:
    """Decides which calls of a stretch are calls."""

    models: Models
    name: str
    sound: Samples
    speech_score: float

    def judge(self, readings: Sequence[Reading], offset_s: float) -> dict[str, Any]:
        """The utterance as plain data, its times in seconds of the whole sound."""
        best = readings[0]
        parts = self.parts(best.words)
        said = [part for part in parts if part[0].word != UNKNOWN]
        alone = len(parts) == 1 and len(said) == 1
        calls = [self._call(part, readings, alone) for part in said]
        return {
            "start_s": round(best.words[0].start_s + offset_s, 2),
            "end_s": round(best.words[-1].end_s + offset_s, 2),
            "text": " ".join(word.word for word in best.words),
            "calls": [_shifted(call, offset_s) for call in calls],
        }

    def parts(self, words: Sequence[Word]) -> list[tuple[Word, ...]]:
        """Whole calls, and what lies between them."""
        found: list[tuple[Word, ...]] = []
        run: list[Word] = []
        for word in words:
            if word.word == UNKNOWN:
                found += [*self._calls(run), (word,)]
                run = []
            else:
                run.append(word)
        return [*found, *self._calls(run)]

    def _calls(self, run: Sequence[Word]) -> list[tuple[Word, ...]]:
        ends = self.models.networks[self.name].split([word.word for word in run]) or ()
        return [tuple(run[start:end]) for start, end in pairwise((0, *ends))]

    def _call(
        self, part: tuple[Word, ...], readings: Sequence[Reading], alone: bool
    ) -> dict[str, Any]:
        options = self.models.options
        others = self._others(part, readings)
        score = readings[0].score - self.speech_score if alone else self._score_alone(part)
        long = max(word.end_s - word.start_s for word in part) > options.longest_word_s
        return {
            "words": [[word.word, word.start_s, word.end_s] for word in part],
            "score": round(score, 2),
            "trusted": score >= options.least_score and not long,
            "others": others,
        }

    def _others(self, part: tuple[Word, ...], readings: Sequence[Reading]) -> list[dict[str, Any]]:
        """Other whole calls that the same sound may be, with how much worse they fit."""
        said = tuple(word.word for word in part)
        found: dict[tuple[str, ...], float] = {}
        for reading in readings[1:]:
            gap = readings[0].score - reading.score
            for other in self.parts(reading.words):
                words = tuple(word.word for word in other)
                same_place = other[0].start_s < part[-1].end_s and part[0].start_s < other[-1].end_s
                if same_place and words != said and other[0].word != UNKNOWN:
                    found.setdefault(words, gap)
        near = {words: gap for words, gap in found.items() if gap < self.models.options.ask_gap}
        return [{"words": list(words), "gap": round(gap, 2)} for words, gap in near.items()]

    def _score_alone(self, part: tuple[Word, ...]) -> float:
        """The likelihood ratio of one call over its own sound.

        Over a whole utterance a true call would carry a false one through.
        """
        start = max(0, int((part[0].start_s - EDGE_S) * RATE_HZ))
        data = self.sound[start : int((part[-1].end_s + EDGE_S) * RATE_HZ)].tobytes()
        scores = []
        for name in (self.name, None):
            recognizer = self.models.recognizer(name)
            recognizer.AcceptWaveform(data)
            scores.append(_best_score(recognizer))
        return scores[0] - scores[1]


def _best_score(recognizer: Any) -> float:
    readings = json.loads(recognizer.FinalResult())["alternatives"]
    return float(readings[0]["confidence"])


def _readings(result: dict[str, Any]) -> list[Reading]:
    return [
        Reading(
            tuple(Word(w["word"], w["start"], w["end"]) for w in each.get("result", [])),
            each["confidence"],
        )
        for each in result.get("alternatives", [])
    ]


def _shifted(call: dict[str, Any], offset_s: float) -> dict[str, Any]:
    words = [[word, round(a + offset_s, 2), round(b + offset_s, 2)] for word, a, b in call["words"]]
    return {**call, "words": words}
