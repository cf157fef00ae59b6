"""Whether two sounds are of one person.

Source of the ratio: arithmetic of normal distributions. The voices are the default one, and the
same played faster: higher, and from a shorter throat.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from callout.data import data_folder
from callout.edges.ear.own_voice.features import Array, mfcc
from callout.edges.ear.own_voice.speaker import VECTOR, Extractor
from callout.edges.ear.own_voice.verification import CALLS, Plda
from callout.errors import ModelError
from tests.speech import FASTER, call_by

KNOWN = data_folder("models") / "vosk-model-en-speakers.npz"
FIRST = ("home two number thirteen", "guest foul number thirty", "guest three number forty",
        "home timeout", "guest charge number five", "home shot good number nine")  # fmt: skip
LATER = ("guest two number eleven", "home foul number seven", "sub waiting", "start clock",
         "home three number twenty three", "guest shot missed number four")  # fmt: skip


@pytest.mark.parametrize("own", [1.0, FASTER])
def test_a_voice_is_told_from_another_by_calls_it_has_not_said(model: Path, own: float) -> None:
    extractor, plda = Extractor(model), Plda(KNOWN)
    said = {faster: [extractor.of_loud(mfcc(call_by(text, faster))) for text in (*FIRST, *LATER)]
            for faster in (1.0, FASTER)}  # fmt: skip
    voice = np.mean(said[own][: len(FIRST)], 0)
    ratios = {faster: [plda.log_likelihood_ratio(each, voice) for each in found[len(FIRST) :]]
              for faster, found in said.items()}  # fmt: skip
    others = ratios.pop(FASTER if own == 1.0 else 1.0)
    assert min(ratios[own]) > 0.0 > max(others)


def log_density(x: Array, covariance: Array) -> float:
    """Of a normal distribution with mean 0. Source: its definition."""
    _, log_determinant = np.linalg.slogdet(2.0 * np.pi * covariance)
    return float(-0.5 * (log_determinant + x @ np.linalg.solve(covariance, x)))


def test_the_ratio_is_that_of_one_speaker_to_two(tmp_path: Path) -> None:
    """Two vectors of one speaker have his own mean in common, and vary together by its spread."""
    random = np.random.default_rng(2)
    mean, spread = random.standard_normal(VECTOR), random.uniform(0.1, 4.0, VECTOR)
    directions = random.standard_normal((VECTOR, VECTOR))
    path = tmp_path / "speakers.npz"
    np.savez(path, mean=mean, directions=directions, spread=spread)
    one, other = random.standard_normal((2, VECTOR))
    turned = np.concatenate([(each - mean) @ directions for each in (one, other)])
    shared = np.diag(spread)
    own = [shared + np.eye(VECTOR) / CALLS, shared + np.eye(VECTOR)]
    apart = np.block([[own[0], np.zeros_like(shared)], [np.zeros_like(shared), own[1]]])
    together = np.block([[own[0], shared], [shared, own[1]]])
    right = log_density(turned, together) - log_density(turned, apart)
    assert Plda(path).log_likelihood_ratio(other, one) == pytest.approx(right, rel=1e-6)


def test_a_damaged_file_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "speakers.npz"
    with pytest.raises(ModelError, match=r"speakers\.npz"):
        Plda(path)
    with np.load(KNOWN) as known:
        parts = dict(known)
    np.savez(path, **{**parts, "spread": parts["spread"][1:]})
    with pytest.raises(ModelError, match="expected what tells speakers apart"):
        Plda(path)
