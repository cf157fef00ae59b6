"""Other ways to recognise the same calls, each with the same parser behind it."""

from __future__ import annotations

import json
from collections.abc import Sequence
from contextlib import suppress
from typing import Any, Final, Protocol

import pocketsphinx
import vosk

from callout.edges.ear.grammar_fst import UNKNOWN
from callout.edges.ear.sound import RATE_HZ, Samples
from callout.edges.models.catalogue import RECOGNIZER, find_model
from callout.language.parser import Parsed, Parser, Sentence
from tests.drawn import draw

PHRASES: Final = 3_000
"""Sentences drawn for the phrase list, from which the library makes a bigram model."""

ALTERNATIVES: Final = 5


class Peer(Protocol):
    """A recognizer: samples in, sentences out."""

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
    """vosk with its own phrase list: the best hypothesis that the parser accepts whole."""

    name = "phrase list"

    def __init__(self, parser: Parser, model: Any, scope: Any) -> None:
        super().__init__(parser, model)
        said = {" ".join(s.words) for s in draw(parser.grammar, scope, PHRASES, seed=1)}
        self._phrases = json.dumps([*sorted(said), UNKNOWN])

    def _recognizer(self) -> Any:
        return vosk.KaldiRecognizer(self._model, RATE_HZ, self._phrases)


class Dictation(_Vosk):
    """vosk's free dictation, read by the parser."""

    name = "dictation"

    def _recognizer(self) -> Any:
        return vosk.KaldiRecognizer(self._model, RATE_HZ)


class PocketSphinx:
    """An older recognizer, with its own acoustic model of English and the same exact network.

    It reads JSGF, too, but expands every sentence: 17 s to load this grammar and 30 s for a call.
    So the network is given to it directly as states and arcs.
    """

    name = "pocketsphinx"

    def __init__(self, parser: Parser) -> None:
        self._parser = parser
        self._decoder = pocketsphinx.Decoder(lm=None, loglevel="FATAL")
        for word, phones in SAID_AS.items():
            self._decoder.add_word(word, phones, True)
        lacking = [w for w in parser.network.words() if self._decoder.lookup_word(w) is None]
        if lacking:
            raise ValueError(f"pocketsphinx lacks {', '.join(sorted(lacking))}")
        network = parser.network
        end = len(network.arcs)
        ways = [len(row) + (state in network.finals) for state, row in enumerate(network.arcs)]
        arcs = [
            (state, arc.to, 1 / ways[state], arc.word)
            for state, row in enumerate(network.arcs)
            for arc in row
        ] + [(state, end, 1 / ways[state]) for state in network.finals]
        self._decoder.add_fsg("calls", self._decoder.create_fsg("calls", 0, end, arcs))
        self._decoder.activate_search("calls")

    def hear(self, samples: Samples) -> tuple[Sentence, ...]:
        """What is booked of a sound; nothing where it is refused."""
        self._decoder.start_utt()
        self._decoder.process_raw(samples.tobytes(), full_utt=True)
        self._decoder.end_utt()
        best = self._decoder.hyp()
        result = self._parser.parse(best.hypstr if best else "")
        return result.sentences if isinstance(result, Parsed) else ()


SAID_AS: Final = {"timeouts": "T AY M AW T S"}
"""Words of calls that are missing from its dictionary."""


def peers(parser: Parser, scope: Any, names: Sequence[str]) -> tuple[Peer, ...]:
    """The peers of these names; pocketsphinx only for the table's own calls, whose words it has."""
    if not names:
        return ()
    model = vosk.Model(str(find_model(RECOGNIZER)))
    found: list[Peer] = []
    if PhraseList.name in names:
        found.append(PhraseList(parser, model, scope))
    if Dictation.name in names:
        found.append(Dictation(parser, model))
    if PocketSphinx.name in names:
        with suppress(ValueError):
            found.append(PocketSphinx(parser))
    return tuple(found)


PEERS: Final = (PhraseList.name, Dictation.name, PocketSphinx.name)
"""The names of all peers."""
