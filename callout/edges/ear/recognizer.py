"""The recognizer's models: an exact acceptor for each network, and one for open speech."""

from __future__ import annotations

import json
import shutil
import sys
from functools import cached_property
from pathlib import Path
from typing import Any, Final

import numpy as np
import vosk

from callout.edges.ear.callers import Callers
from callout.edges.ear.grammar_fst import Settings, acceptor, lean, private_model
from callout.edges.ear.hall_change import adapted, read_change
from callout.edges.ear.hypotheses import Reading, readings_of
from callout.edges.ear.options import MEASURED, Options
from callout.edges.ear.own_voice.kept import OwnVoice, with_voice
from callout.edges.ear.own_voice.speaker import VECTOR, Extractor
from callout.edges.ear.own_voice.verification import Plda
from callout.edges.ear.sound import RATE_HZ
from callout.edges.models.catalogue import change_for, speakers_for
from callout.edges.models.folder import EXTRACTOR, GRAMMAR, NEEDED, NETWORK
from callout.errors import ModelError
from callout.language.network import Network

NOBODY: Final = np.zeros((0, VECTOR), np.float32)
"""The vectors of no voice."""

NEVER_S: Final = 1_000.0
"""Open speech has no end of its own: it ends where the acceptor does."""


class Models:
    """The recognizer's model, loaded once for each network and once for open speech."""

    def __init__(self, model: Path, folder: Path, options: Options = MEASURED) -> None:
        """`folder` is private, for copies while they are loaded.

        Raises:
            ModelError: a file is missing, or the recognizer cannot load them.
        """
        vosk.SetLogLevel(-1)
        missing = [name for name in NEEDED if not (model / name).is_file()]
        if missing:
            raise ModelError(f"{model}: expected a recognizer model, {missing[0]} is missing; "
                             "get it with: callout models")  # fmt: skip
        self.options = options
        self.model, self._folder = model, folder
        never = Settings(2.0, NEVER_S, NEVER_S, NEVER_S)
        self._network = hall_network(model) if options.in_hall else None
        self._learned = NOBODY
        if options.voice and (own := _own_voice(self.network_heard, Path(options.voice))):
            self._network, self._learned = own.network, own.speaker
        english = lean((model / GRAMMAR).read_bytes())
        self.speech = self._load("speech", english, never)
        self.networks: dict[str, Network] = {}
        self._idle: list[Speech] = []
        self._acceptors: dict[str, Any] = {}

    @property
    def network_heard(self) -> bytes:
        """The acoustic network in use."""
        return self._network or (self.model / NETWORK).read_bytes()

    def callers(self) -> Callers | None:
        """Nobody yet but the learned voice; None where voices are not told apart.

        Raises:
            ModelError: the file with what is known of speakers is missing or damaged.
        """
        return Callers(*self._voices, self._learned) if self._voices else None

    @cached_property
    def _voices(self) -> tuple[Extractor, Plda] | None:
        # Only an open ear needs them: 9 MB, and a tenth of a second at the start.
        known = speakers_for(self.model / EXTRACTOR) if self.options.by_caller else None
        return (Extractor(self.model), Plda(known)) if known else None

    def check(self, network: Network) -> None:
        """Check that the model knows every word.

        Raises:
            ModelError: it lacks some; all of them are named.
        """
        unknown = sorted(word for word in network.words() if not self.knows(word))
        if unknown:
            raise ModelError(f"words that the model does not know: {', '.join(unknown)}")

    def use(self, name: str, network: Network) -> None:
        """Load a network under that name, for the utterances that follow.

        Raises:
            ModelError: it has a word that the model does not know.
        """
        self.check(network)
        made = acceptor(network, self.speech.vosk_model_find_word, self.options.costs)
        self._acceptors[name] = self._load(name, made, self.options.settings)
        self.networks[name] = network

    def _load(self, name: str, grammar: bytes, settings: Settings) -> Any:
        folder = self._folder / name
        try:
            return load(private_model(self.model, folder, grammar, settings, self._network))
        finally:
            # It is in memory now; a process that dies later leaves no copies behind.
            shutil.rmtree(folder, ignore_errors=True)

    def knows(self, word: str) -> bool:
        """Whether the model has that word."""
        return bool(self.speech.vosk_model_find_word(word) >= 0)

    def recognizer(self, name: str | None) -> Any:
        """A new recognizer of a network, or of open speech where `name` is None."""
        model = self._acceptors[name] if name else self.speech
        made = vosk.KaldiRecognizer(model, RATE_HZ)
        made.SetMaxAlternatives(self.options.alternatives if name else 1)
        made.SetWords(True)
        return made

    def borrow_speech(self) -> Speech:
        """A recognizer of open speech, ready for a new sound; return it by `give_back`."""
        return self._idle.pop() if self._idle else Speech(self.recognizer(None))

    def as_english(self, sound: bytes) -> Reading:
        """Decode a whole sound as open speech, and give the best hypothesis.

        `sound` holds 16-bit samples at `RATE_HZ`.
        """
        speech = self.borrow_speech()
        speech.feed(sound)
        return self.give_back(speech)

    def give_back(self, speech: Speech) -> Reading:
        """The best hypothesis of what a borrowed recognizer was fed."""
        self._idle.append(speech)
        return speech.end()


class Speech:
    """A recognizer of open speech, reused for one sound after another.

    It expands the graph of all English as it goes: a used one is three times as fast as a new one.
    """

    def __init__(self, recognizer: Any) -> None:
        self._recognizer = recognizer
        self._fed = self._before = 0

    def feed(self, data: bytes) -> None:
        """Take more of a sound: 16-bit samples."""
        self._recognizer.AcceptWaveform(data)
        self._fed += len(data) // 2

    def end(self) -> Reading:
        """The best hypothesis of the sound since the last end, its times counted from there."""
        result = json.loads(self._recognizer.FinalResult())
        since_s, self._before = self._before / RATE_HZ, self._fed
        return readings_of(result, since_s)[0]


def hall_network(model: Path) -> bytes | None:
    """The model's acoustic network, adapted to hall noise; None if there is no change for it.

    Raises:
        ModelError: the file of the change is missing or damaged.
    """
    network = (model / NETWORK).read_bytes()
    change = change_for(network)
    return None if change is None else adapted(network, read_change(change))


def _own_voice(network: bytes, voice: Path) -> OwnVoice | None:
    """A learned voice; None where the file cannot be used."""
    try:
        return with_voice(network, voice)
    except ModelError as error:
        print(f"ear: {error}; going on without it", file=sys.stderr, flush=True)
        return None


def load(folder: Path) -> Any:
    """The model in that folder.

    Raises:
        ModelError: the recognizer refuses it.
    """
    try:
        return vosk.Model(str(folder))
    except Exception:  # vosk raises it without a kind or a reason of its own.
        raise ModelError("the recognizer cannot load its model; "
                         "get it anew with: callout models") from None  # fmt: skip
