"""The grammar's file, read back by the reference library: it holds exactly the network's language.

Source: OpenFst as kaldifst wraps it. It runs in a process of its own, since it and the recognizer
break each other's heap.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from callout.edges.ear.grammar_fst import (
    UNKNOWN,
    Costs,
    Settings,
    acceptor,
    lean,
    private_model,
)
from callout.game.terms import Team
from callout.language.compiler import compile_network
from callout.language.folder import load_grammar
from callout.language.grammar import Grammar, Scope, language_folder
from callout.language.network import Network
from callout.language.parser import Parser
from callout.language.sample import every
from tests.language.test_compiler import sentences
from tests.patience import HANG_S

SCOPE = Scope({Team.HOME: ("5",), Team.GUEST: ("15",)}, legal=("50",))


@pytest.fixture(scope="module")
def grammar() -> Grammar:
    """English."""
    return load_grammar(language_folder())


def numbered(network: Network) -> dict[str, int]:
    """A number for each word, as a model has one."""
    return {word: 7 + 3 * at for at, word in enumerate(sorted(network.words() | {UNKNOWN, "yes"}))}


@pytest.fixture(scope="module")
def told(
    grammar: Grammar, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Mapping[str, Any], Network, dict[str, int]]:
    """What the reference library says of the file, the network, and the words' numbers."""
    folder = tmp_path_factory.mktemp("fst")
    network = compile_network(grammar, SCOPE)
    labels = numbered(network)
    data = acceptor(network, labels.__getitem__, Costs(join=12.0, unknown=1.0), ("yes",))
    (folder / "Gr.fst").write_bytes(data)
    parser = Parser(grammar, SCOPE)
    decoys = {words for words in sentences(network) if parser.is_decoy(words)}
    wanted_words = decoys | {sample.words for sample in every(grammar, SCOPE)}
    said = [[labels[word] for word in words] for words in sorted(wanted_words)]
    wanted = {"unknown": labels[UNKNOWN], "sentences": said}
    (folder / "wanted.json").write_text(json.dumps(wanted), encoding="utf-8")
    command = [sys.executable, str(Path(__file__).parent / "reference_fst.py")]
    done = subprocess.run(
        [*command, str(folder / "Gr.fst"), str(folder / "wanted.json")],
        capture_output=True, text=True, check=True, timeout=HANG_S,
    )  # fmt: skip
    return json.loads(done.stdout), network, labels


Told = tuple[Mapping[str, Any], Network, dict[str, int]]


@pytest.mark.thorough
def test_the_file_holds_every_sentence_and_no_other(told: Told) -> None:
    read, network, _ = told
    assert read["file"] == read["sentences"]
    assert read["states"] == len(network.arcs)


@pytest.mark.thorough
def test_around_the_calls_are_two_kinds_of_loop(told: Told) -> None:
    read, network, labels = told
    unknown = labels[UNKNOWN]
    assert read["start"] == 0
    assert read["start_final"] == 0.0
    assert [0, unknown, unknown, 1.0, 0] in read["loops"]
    joins = [loop for loop in read["loops"] if loop[1] == 0]
    ends = {state: network.dear_ends.get(state, 0.0) for state in sorted(network.finals)}
    assert joins == [[state, 0, 0, 12.0 + cost, 0] for state, cost in ends.items()]
    assert len(read["loops"]) == len(joins) + 1
    assert dict(read["finals"]) == {0: 0.0, **ends}


@pytest.mark.thorough
def test_arcs_are_sorted_and_named(told: Told) -> None:
    read, _, labels = told
    assert read["sorted"]
    words = {label: word for word, label in labels.items()} | {0: "<eps>"}
    assert read["symbols"] == {str(label): words[int(label)] for label in read["symbols"]}


MODEL_CONF = "--beam=13.0\n--endpoint.silence-phones=1:2:3\n--other=4\n"


def make_model(folder: Path) -> Path:
    """A folder laid out as a model is."""
    for name in ("am/final.mdl", "graph/Gr.fst", "graph/HCLr.fst", "conf/model.conf"):
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(MODEL_CONF if name.endswith(".conf") else name, encoding="utf-8")
    return folder


def test_a_private_model_shares_all_but_grammar_and_settings(tmp_path: Path) -> None:
    model = make_model(tmp_path / "model")
    private = private_model(model, tmp_path / "private", b"grammar", Settings(rule2=0.25))
    assert (private / "graph" / "Gr.fst").read_bytes() == b"grammar"
    assert (model / "graph" / "Gr.fst").read_text() == "graph/Gr.fst"
    assert (private / "am" / "final.mdl").samefile(model / "am" / "final.mdl")
    assert (model / "conf" / "model.conf").read_text() == MODEL_CONF
    lines = (private / "conf" / "model.conf").read_text().splitlines()
    assert "--endpoint.rule2.min-trailing-silence=0.25" in lines
    assert "--endpoint.silence-phones=1:2:3" in lines
    assert "--other=4" in lines
    assert [line for line in lines if line.startswith("--beam=")] == ["--beam=8.0"]


def test_a_grammar_that_names_its_words_twice_names_them_once(grammar: Grammar) -> None:
    """The recognizer itself, on all English, is asked by `test_decoder`."""
    network = compile_network(grammar, SCOPE)
    whole = acceptor(network, numbered(network).__getitem__)
    once = lean(whole)
    names = b"\x05\x00\x00\x00words"
    assert (whole.count(names), once.count(names)) == (2, 1)
    assert len(whole) - len(once) == whole.rindex(names) - whole.index(names)
    for odd in (once, b"", b"grammar", whole[:40], whole[: whole.rindex(names)]):
        assert lean(odd) == odd, "what is not of that form stays as it is"


def test_where_links_cannot_be_made_files_are_copied(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise OSError("no links here")

    monkeypatch.setattr("os.link", refuse)
    model = make_model(tmp_path / "model")
    private = private_model(model, tmp_path / "private", b"grammar", Settings())
    assert (private / "am" / "final.mdl").read_text() == "am/final.mdl"
    assert not (private / "am" / "final.mdl").samefile(model / "am" / "final.mdl")
