"""The word network as the recognizer reads it: an OpenFst file, and a model folder around it.

vosk makes a bigram model of a list of phrases, which accepts word orders that are no call. Its
small models keep their grammar in a file of its own, graph/Gr.fst, which an exact acceptor can
replace.
"""

from __future__ import annotations

import io
import math
import os
import shutil
import struct
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from callout.edges.models.folder import CONF_FILE, GRAMMAR, NETWORK
from callout.edges.models.openfst import (
    FIELDS,
    INPUT_SYMBOLS,
    OUTPUT_SYMBOLS,
    SORTED_BY_INPUT,
    SYMBOLS_MAGIC,
    Head,
    read_head,
    read_symbols_head,
    text,
)
from callout.language.network import Network

UNKNOWN: Final = "[unk]"
"""The model's word for speech outside its vocabulary."""

JOIN_COST: Final = 12.0
"""The cost of another call in the same breath; at 2 half of other people's talk gave a call."""

UNKNOWN_COST: Final = 1.0
"""The cost of each stretch of other speech before a call."""

BOTH: Final = INPUT_SYMBOLS | OUTPUT_SYMBOLS


@dataclass(frozen=True, slots=True)
class Costs:
    """What the loops around the network cost, in natural logarithms."""

    join: float = JOIN_COST
    unknown: float = UNKNOWN_COST


def acceptor(
    network: Network,
    label: Callable[[str], int],
    costs: Costs = Costs(),
    more_words: Iterable[str] = (),
) -> bytes:
    """The file's bytes: the network, with a loop for other speech and an arc from call to call.

    `label` gives the model's number of a word; `more_words` are added to the symbol table though
    the network lacks them, so that a phrase list may use them on the same model.
    """
    labels = {word: label(word) for word in network.words() | {UNKNOWN} | set(more_words)}
    symbols = _symbols({"<eps>": 0, **labels})
    states = [_state(network, labels, state, costs) for state in range(len(network.arcs))]
    arcs = sum(len(row.arcs) for row in states)
    body = b"".join(row.bytes() for row in states)
    head = Head(2, BOTH, SORTED_BY_INPUT, 0, len(states), arcs)
    return head.bytes() + symbols + symbols + body


@dataclass(frozen=True, slots=True)
class _State:
    final: float
    arcs: tuple[tuple[int, int, float, int], ...]

    def bytes(self) -> bytes:
        rows = (struct.pack("<iifi", *arc) for arc in sorted(self.arcs))
        return struct.pack("<fq", self.final, len(self.arcs)) + b"".join(rows)


def _state(network: Network, labels: dict[str, int], state: int, costs: Costs) -> _State:
    arcs = [(labels[a.word], labels[a.word], a.cost, a.to) for a in network.arcs[state]]
    if state == 0:
        arcs.append((labels[UNKNOWN], labels[UNKNOWN], costs.unknown, 0))
    final = math.inf
    if state in network.finals:
        final = network.dear_ends.get(state, 0.0)
        arcs.append((0, 0, costs.join + final, 0))
    # The start is final too: an utterance may hold nothing but other speech.
    return _State(0.0 if state == 0 else final, tuple(arcs))


def _symbols(labels: dict[str, int]) -> bytes:
    rows = b"".join(
        text(word) + struct.pack("<q", key)
        for word, key in sorted(labels.items(), key=lambda pair: pair[1])
    )
    keys = max(labels.values()) + 1
    return struct.pack("<i", SYMBOLS_MAGIC) + text("words") + struct.pack(
        "<qq", keys, len(labels)
    ) + rows  # fmt: skip


def lean(grammar: bytes) -> bytes:
    """The grammar file without its input symbol table, which the recognizer does not use.

    The graph of all English then loads in two thirds of the time, and takes 20 MB less.
    """
    file = io.BytesIO(grammar)
    try:
        head = read_head(file)
        first = file.tell()
        read_symbols_head(file)
    except (struct.error, ValueError):
        return grammar
    second = grammar.find(grammar[first : file.tell()], first + 1)
    words = grammar[first:second]
    if second < 0 or head.flags != BOTH or not grammar.startswith(words, second):
        return grammar
    fields = FIELDS.pack(*head._replace(flags=OUTPUT_SYMBOLS))
    return grammar[: first - FIELDS.size] + fields + grammar[second:]


CONF: Final = """\
--min-active=200
--max-active=1500
--beam=8.0
--lattice-beam={lattice_beam}
--acoustic-scale=1.0
--frame-subsampling-factor=3
--endpoint.silence-phones=1:2:3:4:5:6:7:8:9:10
--endpoint.rule2.min-trailing-silence={rule2}
--endpoint.rule3.min-trailing-silence={rule3}
--endpoint.rule4.min-trailing-silence={rule4}
"""
"""The recognizer's settings; the silence of each rule is in seconds.

A beam of 8 takes half the time of a beam of 10 with twice the states; of 108 calls as many were
right, at 12 and at 6 dB, and there were as many false accepts.
"""


@dataclass(frozen=True, slots=True)
class Settings:
    """How the recognizer searches, and how much silence ends an utterance."""

    lattice_beam: float = 6.0
    rule2: float = 0.3
    rule3: float = 0.5
    rule4: float = 0.8

    def text(self, original: str) -> str:
        """The model's own settings, replaced by these where they have the same name."""
        ours = CONF.format(
            lattice_beam=self.lattice_beam, rule2=self.rule2, rule3=self.rule3, rule4=self.rule4
        )
        names = {line.partition("=")[0] for line in ours.splitlines()}
        kept = [x for x in original.splitlines() if x.partition("=")[0].strip() not in names]
        silence = [x for x in original.splitlines() if "silence-phones" in x]
        mine = [x for x in ours.splitlines() if "silence-phones" not in x]
        return "\n".join([*kept, *silence, *mine]) + "\n"


def private_model(
    model: Path, folder: Path, grammar: bytes, settings: Settings, network: bytes | None = None
) -> Path:
    """A folder with the model, but other settings, another grammar and maybe another network.

    All other files in it are hard links to the model's, or copies where links cannot be made.
    """
    own = settings.text((model / CONF_FILE).read_text(encoding="utf-8"))
    changed = {GRAMMAR: grammar, CONF_FILE: own.encode("utf-8")}
    if network is not None:
        changed[NETWORK] = network
    for path in sorted(model.rglob("*")):
        target = folder / path.relative_to(model)
        if path.is_dir():
            target.mkdir(parents=True, exist_ok=True)
        elif path.relative_to(model).as_posix() not in changed:
            target.parent.mkdir(parents=True, exist_ok=True)
            _link(path, target)
    for name, content in changed.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(content)
    return folder


def _link(path: Path, target: Path) -> None:
    try:
        os.link(path, target)
    except OSError:
        shutil.copyfile(path, target)
