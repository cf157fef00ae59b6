"""Other ways to hear the same calls, each with the same parser behind it."""

from __future__ import annotations

import json
from typing import Any, Final, Protocol

import vosk

from callout.edges.acceptor import UNKNOWN
from callout.edges.models import RECOGNIZER, find_model
from callout.edges.sound import RATE_HZ, Samples
from callout.language.parser import Parsed, Parser, Sentence
from callout.language.sample import draw

PHRASES: Final = 3_000
"""Sentences drawn for the phrase list, from which its library makes its word pairs."""

ALTERNATIVES: Final = 5


class Peer(Protocol):
    """Samples in, sentences out."""

    name: str

    def hear(self, samples: Samples) -> tuple[Sentence, ...]:
        """What is booked of a sound; nothing where it is refused."""


class _Vosk:
    name = ""

    def __init__(self, parser: Parser, model: Any) -> None:
        self._parser, self._model = parser, model

    def _recognizer(self) -> Any:
        raise NotImplementedError

    def hear(self, samples: Samples) -> tuple[Sentence, ...]:
        recognizer = self._recognizer()
        recognizer.SetMaxAlternatives(ALTERNATIVES)
        recognizer.AcceptWaveform(samples.tobytes())
        for reading in json.loads(recognizer.FinalResult())["alternatives"]:
            result = self._parser.parse(reading["text"])
            if isinstance(result, Parsed):
                return result.sentences
        return ()


class PhraseList(_Vosk):
    """vosk with its own phrase list: the best of its readings that the parser takes whole."""

    name = "phrase list"

    def __init__(self, parser: Parser, model: Any, scope: Any) -> None:
        super().__init__(parser, model)
        said = {" ".join(s.words) for s in draw(parser.grammar, scope, PHRASES, seed=1)}
        self._phrases = json.dumps([*sorted(said), UNKNOWN])

    def _recognizer(self) -> Any:
        return vosk.KaldiRecognizer(self._model, RATE_HZ, self._phrases)


class Dictation(_Vosk):
    """vosk writing down whatever is said, read by the parser."""

    name = "dictation"

    def _recognizer(self) -> Any:
        return vosk.KaldiRecognizer(self._model, RATE_HZ)


def peers(parser: Parser, scope: Any) -> tuple[Peer, ...]:
    """Both of them."""
    model = vosk.Model(str(find_model(RECOGNIZER)))
    return PhraseList(parser, model, scope), Dictation(parser, model)
