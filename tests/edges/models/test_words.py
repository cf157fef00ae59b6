"""A model's words, against the model itself: the recognizer must find each, and no other."""

from __future__ import annotations

from pathlib import Path

import pytest
import vosk

from callout.edges.ear.grammar_fst import acceptor
from callout.edges.models.catalogue import RECOGNIZER, find_model
from callout.edges.models.words import model_words
from callout.errors import ModelError
from callout.language.network import Arc, Network


def test_the_recognizer_knows_each_word_and_no_other() -> None:
    """Source: the recognizer's own `vosk_model_find_word`."""
    model = find_model(RECOGNIZER)
    words = model_words(model)
    vosk.SetLogLevel(-1)
    recognizer = vosk.Model(str(model))
    assert len(words) > 100_000
    assert all(recognizer.vosk_model_find_word(word) >= 0 for word in sorted(words)[::50])
    for word in ("foxez", "zzyzx", "Foxes", "foxes", "harbour"):
        assert (word in words) == (recognizer.vosk_model_find_word(word) >= 0), word


def test_signs_are_no_words(tmp_path: Path) -> None:
    """The acceptor's own file has the sign of other speech in it."""
    network = Network(((Arc("home", 1, 0.0),), (Arc("two", 2, 0.0),), ()), frozenset({2}))
    (tmp_path / "graph").mkdir()
    made = acceptor(network, {"home": 1, "two": 2, "[unk]": 3}.__getitem__)
    (tmp_path / "graph" / "Gr.fst").write_bytes(made)
    assert model_words(tmp_path) == {"home", "two"}


@pytest.mark.parametrize("kept", [0, 3, 60, 200])
def test_a_cut_file_is_an_error_in_a_line(tmp_path: Path, kept: int) -> None:
    (tmp_path / "graph").mkdir()
    whole = (find_model(RECOGNIZER) / "graph" / "Gr.fst").read_bytes()[:kept]
    (tmp_path / "graph" / "Gr.fst").write_bytes(whole)
    with pytest.raises(ModelError, match="expected a grammar with its words"):
        model_words(tmp_path)


def test_a_missing_file_is_an_error_in_a_line(tmp_path: Path) -> None:
    with pytest.raises(ModelError, match="no such file"):
        model_words(tmp_path)
