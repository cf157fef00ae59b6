"""The recognizer's models: loaded once each, refused in one line, and what they hear by."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import numpy as np
import pytest
import vosk

from callout.edges.ear.grammar_fst import Settings, lean, private_model
from callout.edges.ear.options import Options
from callout.edges.ear.recognizer import NEVER_S, Models, Speech, hall_network, load
from callout.edges.ear.sound import RATE_HZ
from callout.edges.models.folder import NEEDED
from callout.errors import ModelError
from callout.language.network import Arc, Network
from tests.speech import spoken


def line(*said: str) -> Network:
    """A network of one sentence."""
    arcs = tuple((Arc(word, at + 1, 0.0),) for at, word in enumerate(said))
    return Network((*arcs, ()), frozenset({len(said)}))


def sound(text: str) -> bytes:
    return (spoken([text]) * 32767).astype(np.int16).tobytes()


def heard(models: Models, name: str, text: str) -> list[str]:
    """What the recognizer of that network makes of a spoken text, the best reading first."""
    recognizer = models.recognizer(name)
    recognizer.AcceptWaveform(sound(text))
    return [each["text"] for each in json.loads(recognizer.FinalResult())["alternatives"]]


def test_trust_begins_where_the_design_says() -> None:
    """Source: the design, words of at most 1.5 s; the more a call looks cut out of talk or of
    nothing, the better it must fit."""
    options = Options()
    assert options.longest_word_s == 1.5
    assert options.least_when_meant < options.least_score < options.least_beside < options.least_cut
    assert options.costs.join == 12.0
    assert 0 <= options.costs.unknown <= 2
    assert options.settings.lattice_beam <= 6


def test_nothing_but_the_network_can_be_heard(models: Models) -> None:
    models.use("line", line("home", "two"))
    for text in ("home two.", "two home.", "guest foul eleven.", "away three foul."):
        for reading in heard(models, "line", text):
            calls = reading.replace("[unk]", " ").split()
            assert calls == ["home", "two"] * (len(calls) // 2), reading
    assert heard(models, "line", "home two.")[0] == "home two"


@pytest.mark.thorough
def test_english_is_heard_the_same_with_its_words_listed_once(
    models: Models, model: Path, tmp_path: Path
) -> None:
    grammar = (model / "graph" / "Gr.fst").read_bytes()
    assert len(lean(grammar)) < 0.9 * len(grammar)
    settings = Settings(2.0, NEVER_S, NEVER_S, NEVER_S)
    network = hall_network(model)
    whole = load(private_model(model, tmp_path / "whole", grammar, settings, network))
    told = []
    for loaded in (whole, models.speech):
        recognizer = vosk.KaldiRecognizer(loaded, RATE_HZ)
        recognizer.SetMaxAlternatives(1)
        recognizer.AcceptWaveform(sound("I would like a cup of coffee."))
        told.append(json.loads(recognizer.FinalResult())["alternatives"][0])
    assert [each["text"] for each in told] == ["i would like a cup of coffee"] * 2
    assert told[1]["confidence"] == pytest.approx(told[0]["confidence"], abs=0.01)


def test_another_network_of_the_same_name_takes_its_place(models: Models) -> None:
    models.use("changing", line("start", "clock"))
    assert heard(models, "changing", "start clock.")[0] == "start clock"
    models.use("changing", line("guest", "foul"))
    assert "clock" not in heard(models, "changing", "start clock.")[0]
    assert heard(models, "changing", "guest foul.")[0] == "guest foul"
    assert models.networks["changing"] == line("guest", "foul")


def test_words_that_the_model_lacks_are_named_all_at_once(models: Models) -> None:
    assert models.knows("home")
    assert not models.knows("xyzzy")
    with pytest.raises(ModelError, match=r"does not know: plugh, xyzzy$"):
        models.use("strange", line("xyzzy", "home", "plugh"))
    assert "strange" not in models.networks


def test_a_recognizer_used_again_reads_as_a_fresh_one_does(models: Models) -> None:
    said = sound("guest foul eleven.")
    fresh = Speech(models.recognizer(None))
    fresh.feed(said)
    wanted = fresh.end()
    used = models.borrow_speech()
    used.feed(sound("I would like a cup of coffee."))
    models.give_back(used)
    again = models.borrow_speech()
    assert again is used
    again.feed(said)
    read = models.give_back(again)
    assert read.score == pytest.approx(wanted.score, abs=0.01)
    # Its times are those of the sound, not of all that was ever read.
    assert read.words[-1].end_s == pytest.approx(wanted.words[-1].end_s, abs=0.1)


def test_two_that_are_wanted_at_once_are_two(models: Models) -> None:
    one, other = models.borrow_speech(), models.borrow_speech()
    assert one is not other
    for each in (one, other):
        each.feed(bytes(2 * RATE_HZ))
        models.give_back(each)


def test_no_copy_is_left_behind(model: Path, tmp_path: Path) -> None:
    models = Models(model, tmp_path)
    models.use("line", line("home", "two"))
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("missing", NEEDED)
def test_a_model_that_lacks_a_file_is_refused_before_it_is_loaded(
    model: Path, tmp_path: Path, missing: str
) -> None:
    broken = tmp_path / "broken"
    shutil.copytree(model, broken)
    (broken / missing).unlink()
    with pytest.raises(ModelError, match=f"{missing} is missing; get it with: callout models"):
        Models(broken, tmp_path / "private")


def test_what_the_recognizer_refuses_is_one_line(tmp_path: Path) -> None:
    with pytest.raises(ModelError, match="cannot load its model; get it anew with: callout models"):
        load(tmp_path / "nothing")
