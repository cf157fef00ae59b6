"""What the recognizer's model knows of words: how each sounds, and how common it is.

graph/HCLr.fst holds the pronunciations of all words in states of the network, am/final.mdl tells
which answer of the network is meant by each, graph/Gr.fst how common a word is. Source of the
formats: OpenFst's const and ngram FSTs, Kaldi's transition model (from memory).
"""

from __future__ import annotations

import math
import struct
from collections import defaultdict
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any, BinaryIO, Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from callout.edges.ear.grammar_fst import UNKNOWN
from callout.edges.models.folder import GRAMMAR, NETWORK
from callout.edges.models.openfst import read_head, read_symbols_head, read_text

PRONOUNCED: Final = "graph/HCLr.fst"

STATE: Final = np.dtype(
    [("final", "<f4"), ("begin", "<u4"), ("count", "<u4"), ("silent_in", "<u4"), ("out", "<u4")]
)
ARC: Final = np.dtype([("sound", "<i4"), ("word", "<i4"), ("cost", "<f4"), ("to", "<i4")])

NO_END: Final = 1
"""The first bit of a set of words stands for the end of all words."""


class Sounded(NamedTuple):
    """An arc of the pronunciations: 0 in place of a sound or of a word where it has none."""

    sound: int
    word: int
    cost: float
    to: int


class Words(NamedTuple):
    """A model's number for each word, and the cost of each number in nats where nothing is said
    before it."""

    number: Mapping[str, int]
    cost: Mapping[int, float]


def words_of(model: Path) -> Words:
    """All words of a model, the folder of a recognizer."""
    with (model / GRAMMAR).open("rb") as file:
        read_head(file)
        number, _ = _symbols(file), _symbols(file)
        states, futures, finals = struct.unpack("<QQQ", file.read(24))
        bits = (2 * states + 1, futures + states + 1, states)
        file.seek(sum((count + 63) // 64 * 8 for count in bits) + 4 * (states + 1), 1)
        words = np.frombuffer(file.read(4 * futures), "<i4")
        file.seek(4 * (states + 1) + 4 * finals, 1)
        costs = np.frombuffer(file.read(4 * futures), "<f4")
    # The first state's words come first, sorted; it has no word before it.
    alone = int(np.flatnonzero(np.diff(words) < 0)[0]) + 1
    cost = dict(zip(words[:alone].tolist(), costs[:alone].tolist(), strict=True))
    return Words(number, cost)


def _symbols(file: BinaryIO) -> dict[str, int]:
    number = {}
    for _ in range(read_symbols_head(file)):
        word = read_text(file)
        (number[word],) = struct.unpack("<q", file.read(8))
    return number


def answers_of(model: Path) -> NDArray[np.int64]:
    """Which of the network's answers each sound of the pronunciations is; no sound has 0.

    The topology is that of a chain model: a state has one answer when it is entered, which is the
    even sound, and another one while it lasts.
    """
    data = (model / NETWORK).read_bytes()
    at = data.index(b"<Tuples> ") + len(b"<Tuples> ")
    (count,) = struct.unpack_from("<i", data, at + 1)
    rows = np.frombuffer(data, np.dtype([("size", "i1"), ("value", "<i4")]), 4 * count, at + 5)
    _, _, entered, lasting = rows["value"].reshape(count, 4).T
    return np.concatenate([[-1], np.stack([lasting, entered], 1).ravel()]).astype(np.int64)


class Lexicon:
    """The pronunciations of some words."""

    def __init__(self, model: Path, words: Iterable[int]) -> None:
        """`words` are the model's numbers."""
        numbers = sorted(set(words))
        self.bit: Mapping[int, int] = {word: 2 << at for at, word in enumerate(numbers)}
        self.answers = answers_of(model)
        states, arcs, self.start = _read(model / PRONOUNCED)
        source = np.repeat(np.arange(len(states)), states["count"])
        kept = (arcs["word"] == 0) | np.isin(arcs["word"], numbers)
        source, arcs = source[kept], arcs[kept]
        ends = np.isfinite(states["final"])
        kept = _spread(ends, arcs["to"], source)[arcs["to"]]
        source, arcs = source[kept], arcs[kept]
        begins = np.zeros(len(states), dtype=bool)
        begins[self.start] = True
        kept = _spread(begins, source, arcs["to"])[source]
        self.arcs: dict[int, list[Sounded]] = defaultdict(list)
        for state, arc in zip(source[kept].tolist(), arcs[kept].tolist(), strict=True):
            self.arcs[state].append(Sounded(*arc))
        self.final = {int(at): float(states["final"][at]) for at in np.flatnonzero(ends)}
        self.reach = self._reach()

    def is_sound(self, sound: int) -> bool:
        """Whether it is none of the marks that tell words apart that sound alike."""
        return 0 < sound < len(self.answers)

    def used(self) -> set[int]:
        """The network's answers that its words sound like, silence among them."""
        sounds = {arc.sound for arcs in self.arcs.values() for arc in arcs}
        return {int(self.answers[sound]) for sound in sounds if self.is_sound(sound)}

    def _reach(self) -> Mapping[int, int]:
        """The words that may be the next one from each state, as bits."""
        reach: dict[int, int] = defaultdict(int, dict.fromkeys(self.final, NO_END))
        before = -1
        while (now := sum(map(int.bit_count, reach.values()))) != before:
            before = now
            for state, arcs in self.arcs.items():
                for arc in arcs:
                    reach[state] |= self.bit[arc.word] if arc.word else reach[arc.to]
        return reach


def other_speech(model: Path) -> tuple[int, ...]:
    """The network's answers for speech that is none of the words, `UNKNOWN` in the grammar.

    Silence is not among them: it may follow every word.
    """
    unknown = words_of(model).number[UNKNOWN]
    with_it, without = (Lexicon(model, words).used() for words in ({unknown}, ()))
    return tuple(sorted(with_it - without))


def _read(path: Path) -> tuple[NDArray[Any], NDArray[Any], int]:
    """The states and arcs of an FST of the kind const within another that looks ahead."""
    with path.open("rb") as file:
        read_head(file)
        file.seek(4, 1)
        head = read_head(file)
        states = np.frombuffer(file.read(STATE.itemsize * head.states), STATE)
        return states, np.frombuffer(file.read(ARC.itemsize * head.arcs), ARC), head.start


def _spread(marked: NDArray[Any], source: NDArray[Any], to: NDArray[Any]) -> NDArray[Any]:
    """The marked states, and all that arcs lead to from them."""
    found, before = marked.copy(), -1
    while (now := int(found.sum())) != before:
        before = now
        np.logical_or.at(found, to, found[source])
    return found


def likelihood(cost: float) -> float:
    """A cost in nats as a probability."""
    return math.exp(-cost)
