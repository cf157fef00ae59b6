"""Who calls is known by the calls that were sure; what others say must be clearer to be a call.

The voices are the default one, and the same played faster: higher, and from a shorter throat. The
limits are those of `callers`, set by measurement.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from callout.edges.ear.callers import FEWEST, GAINED, MOST, NEAREST, SURE, Callers
from callout.edges.ear.hypotheses import Reading, Word
from callout.edges.ear.listening import FILE_PATIENCE_S, OpenEar
from callout.edges.ear.messages import HeardCall
from callout.edges.ear.own_voice.features import Array, mfcc
from callout.edges.ear.own_voice.speaker import VECTOR, Extractor
from callout.edges.ear.own_voice.verification import Plda
from callout.edges.ear.recognizer import Models
from callout.edges.ear.sound import RATE_HZ, Samples
from callout.edges.ear.verdict import NEARLY, Judge
from callout.edges.models.catalogue import speakers_for
from callout.edges.models.folder import EXTRACTOR
from tests.speech import FASTER, call_by

LEAST, HIGHEST = GAINED
NOBODY = np.zeros((0, VECTOR), np.float32)
SAID = ("home two number twelve", "guest foul number eleven", "guest three number fifteen",
        "home foul number five", "guest two number eight", "home three number four")  # fmt: skip
NEXT = "guest two number eleven"


@pytest.fixture(scope="module")
def extractor(model: Path) -> Extractor:
    return Extractor(model)


@pytest.fixture(scope="module")
def plda(model: Path) -> Plda:
    known = speakers_for(model / EXTRACTOR)
    assert known is not None
    return Plda(known)


@pytest.fixture
def callers(extractor: Extractor, plda: Plda) -> Callers:
    return Callers(extractor, plda, NOBODY)


def vectors(extractor: Extractor, faster: float) -> Array:
    return np.stack([extractor.of_loud(mfcc(call_by(text, faster))) for text in SAID])


def test_nobody_is_a_stranger_before_six_sure_calls(callers: Callers) -> None:
    assert len(SAID) == FEWEST
    assert [callers.hear(call_by(text), SURE) for text in SAID] == [0.0] * FEWEST
    assert callers.hear(call_by(NEXT), 0.0) == HIGHEST
    assert callers.hear(call_by(NEXT, FASTER), 0.0) == LEAST


def test_what_is_not_sure_shows_no_caller(callers: Callers) -> None:
    for text in SAID:
        callers.hear(call_by(text), SURE - 0.1)
    assert callers.hear(call_by(NEXT, FASTER), 0.0) == 0.0


def test_two_people_may_call(callers: Callers) -> None:
    for text in SAID:
        callers.hear(call_by(text), SURE)
        callers.hear(call_by(text, FASTER), SURE)
    assert callers.hear(call_by(NEXT), 0.0) == HIGHEST
    assert callers.hear(call_by(NEXT, FASTER), 0.0) == HIGHEST


def test_a_learned_voice_is_known_at_once_and_stays_so(extractor: Extractor, plda: Plda) -> None:
    callers = Callers(extractor, plda, vectors(extractor, FASTER))
    assert callers.hear(call_by(NEXT), 0.0) == LEAST
    for nth in range(MOST + NEAREST):
        callers.hear(call_by(SAID[nth % len(SAID)]), SURE)
    assert callers.hear(call_by(NEXT, FASTER), 0.0) == HIGHEST


def test_the_earliest_sure_calls_are_forgotten(callers: Callers) -> None:
    for text in SAID:
        callers.hear(call_by(text, FASTER), SURE)
    for nth in range(MOST):
        callers.hear(call_by(SAID[nth % len(SAID)]), SURE)
    assert callers.hear(call_by(NEXT, FASTER), 0.0) == LEAST


class Stranger(Callers):
    """Every call is of another voice; which ones were compared."""

    def __init__(self) -> None:
        self.heard: list[tuple[float, float]] = []

    def hear(self, sound: Samples, margin: float) -> float:
        self.heard.append((len(sound) / RATE_HZ, margin))
        return LEAST


def judged(
    models: Models, text: str, score: float, callers: Callers | None, meant: bool = False
) -> HeardCall:
    """A call with a pause of a second before and after it."""
    words = tuple(Word(each, 1.0 + 0.3 * nth, 1.3 + 0.3 * nth)
                  for nth, each in enumerate(text.split()))  # fmt: skip
    sound = np.zeros(4 * RATE_HZ, np.int16)
    judge = Judge(models, "question", sound, Reading((), 0.0), 0.7, meant, callers)
    (call,) = judge.judge([Reading(words, score)], 0.0).calls
    return call


def test_a_call_loses_by_another_voice(models: Models) -> None:
    stranger = Stranger()
    plain, lost = (judged(models, NEXT, 60.0, each) for each in (None, stranger))
    assert lost.margin == pytest.approx(plain.margin + LEAST, abs=0.01)
    assert lost.score == plain.score
    ((long_s, margin),) = stranger.heard
    assert long_s == pytest.approx(4 * 0.3 + 0.3, abs=0.01)
    assert margin == pytest.approx(plain.margin, abs=0.01)


@pytest.mark.parametrize(
    ("text", "score", "meant"), [("five", 60.0, False), (NEXT, 60.0, True), (NEXT, -60.0, False)],
    ids=["one word", "a key is down", "far from a call"],
)  # fmt: skip
def test_no_voice_is_compared_where_it_tells_nothing(
    models: Models, text: str, score: float, meant: bool
) -> None:
    stranger = Stranger()
    plain, heard = (judged(models, text, score, each, meant) for each in (None, stranger))
    assert plain.margin == heard.margin
    assert not stranger.heard
    assert (heard.margin < NEARLY) == (score < 0.0)


def test_the_open_ear_comes_to_know_who_calls(models: Models) -> None:
    """Another voice's call has a smaller margin than with an ear that has heard nobody yet."""
    quiet = np.zeros(2 * RATE_HZ, np.int16)

    def margin(ear: OpenEar, sound: Samples) -> float:
        found = [call for each in ear.feed(np.concatenate([quiet, sound, quiet]))
                 for call in each.calls]  # fmt: skip
        return found[-1].margin

    fresh, used = (OpenEar(models, "always", FILE_PATIENCE_S) for _ in range(2))
    heard = [margin(used, call_by(text)) for text in SAID]
    assert sum(each >= SURE for each in heard) >= FEWEST
    stranger = call_by(NEXT, FASTER)
    # What the sound of the call before leaves in the recognizer moves a score a little.
    assert margin(used, stranger) == pytest.approx(margin(fresh, stranger) + LEAST, abs=1.5)
