"""Twenty calls that teach a voice, and what does not: each is refused with a reason.

The voices are the default one, and the same played faster: higher, and from a shorter throat.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from callout.commands.check_ear import ALIKE
from callout.commands.learn_voice import may_learn, refusal
from callout.commands.read_call import ReadCall
from callout.edges.ear.own_voice.kept import keep, with_voice
from callout.edges.ear.own_voice.learning import divergence, learned
from callout.edges.ear.own_voice.lessons import lessons, vectors
from callout.edges.ear.own_voice.network import Network
from callout.edges.ear.own_voice.read_out import READ_OUT
from callout.edges.ear.own_voice.speaker import Extractor
from callout.edges.ear.recognizer import Models
from callout.edges.models.folder import NETWORK
from callout.game.terms import Team
from callout.language.check import load_language
from callout.language.grammar import Scope, language_folder
from callout.language.parser import Parsed, Parser
from tests.speech import FASTER, call_by

PARSER = Parser(load_language(language_folder()), Scope(dict.fromkeys(Team, ALIKE)))


def read(
    heard: Callable[[int, str], str] = lambda nth, text: text,
    faster: Callable[[int], float] = lambda nth: 1.0,
    level_db: float = -20.0,
) -> list[ReadCall]:
    """The twenty calls, each heard as the test says."""
    tried = []
    for nth, text in enumerate(READ_OUT):
        words = heard(nth, text)
        made = call_by(text, faster(nth)) if words else np.zeros(0, np.int16)
        tried.append(ReadCall(text, words, level_db, 5.0 if words == text else None, made))
    return tried


def test_every_call_that_is_read_out_is_one() -> None:
    assert len(set(READ_OUT)) == 20
    assert all(isinstance(PARSER.parse(text), Parsed) for text in READ_OUT)


@pytest.mark.parametrize(
    ("tried", "reason"),
    [
        (read(lambda nth, text: "", level_db=-96.0), "Nothing was heard"),
        (read(lambda nth, text: ""), "no call in it"),
        (read(lambda nth, text: "shot good"), "The same words were heard each time, 'shot good'"),
        (read(lambda nth, text: text if nth % 2 else "undo that"), "11 of 20 calls were heard as "
         "said, 15 are needed; 'undo that' was heard 10 times"),
        (read(lambda nth, text: text if nth % 2 else ""), "10 of 20 calls were heard as said"),
    ],
    ids=["silence", "talk", "one call twenty times", "another call", "music"],
)  # fmt: skip
def test_what_teaches_no_voice_is_refused(model: Path, tried: list[ReadCall], reason: str) -> None:
    assert reason in (refusal(tried, Extractor(model)) or "")


def test_two_people_are_told_from_one(model: Path) -> None:
    speaker = Extractor(model)
    other = read(faster=lambda nth: FASTER if nth >= 10 else 1.0)
    assert "sound like two people" in (refusal(other, speaker) or "")
    in_turn = read(faster=lambda nth: FASTER if nth % 2 else 1.0)
    assert "sounds like another person" in (refusal(in_turn, speaker) or "")
    assert refusal(read(), speaker) is None
    assert refusal(read(faster=lambda nth: FASTER), speaker) is None


def test_it_is_said_why_nothing_was_learned(model: Path, tmp_path: Path) -> None:
    models = Models(model, tmp_path / "private")
    said: list[str] = []
    assert not may_learn(read(lambda nth, text: "", level_db=-96.0), models, said.append)
    assert said == ["Nothing was learned or kept. Nothing was heard. "
                    "Is the microphone on, and near the mouth?"]  # fmt: skip
    assert may_learn(read(), models, said.append)
    assert len(said) == 1


@pytest.mark.thorough
def test_what_some_calls_teach_helps_others_of_that_voice(model: Path, tmp_path: Path) -> None:
    """Three calls teach; the divergence falls in three that say something else."""
    network, speaker = Network(file := (model / NETWORK).read_bytes()), Extractor(model)
    pairs = [(call_by(text, FASTER), call_by(text)) for text in READ_OUT[:8]]
    taught, others = lessons(network, speaker, pairs[::2]), lessons(network, speaker, pairs[1::2])
    change = learned(network, taught)
    assert divergence(network, others, change) < 0.9 * divergence(network, others, {})
    keep(change, vectors(speaker, taught), file, path := tmp_path / "ann.npz")
    kept = Network(with_voice(file, path).network)
    assert divergence(kept, others, {}) < 0.9 * divergence(network, others, {})
