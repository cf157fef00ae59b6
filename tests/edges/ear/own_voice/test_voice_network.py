"""The network in numpy: what it answers, and what its answers depend on."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from callout.edges.ear.hall_change import adapted
from callout.edges.ear.own_voice.features import Array
from callout.edges.ear.own_voice.network import Change, Network
from callout.edges.models.folder import NETWORK


@pytest.fixture(scope="module")
def file(model: Path) -> bytes:
    return (model / NETWORK).read_bytes()


def heard(seed: int = 3) -> tuple[Array, Array]:
    random = np.random.default_rng(seed)
    features = 10.0 * random.standard_normal((40, 40))
    return features.astype(np.float32), random.standard_normal(30).astype(np.float32)


def some_change(network: Network) -> Change:
    random = np.random.default_rng(4)
    return {name: (0.1 * random.standard_normal(each.shape)).astype(np.float32)
            for name, each in network.no_change().items()}  # fmt: skip


def test_it_answers_for_each_third_frame_and_each_state(file: bytes) -> None:
    network = Network(file)
    course = network.hear(*heard(), {})
    assert course.answers.shape == (14, 2192)
    same = network.hear(*heard(), network.no_change())
    assert np.abs(course.answers - same.answers).max() < 1e-5


def test_a_change_is_the_same_when_it_is_added_to_the_file(file: bytes) -> None:
    network = Network(file)
    change = some_change(network)
    added = {key: by for norm in network.norms for key, by in norm.as_added(change).items()}
    of_file = Network(adapted(file, added)).hear(*heard(), {})
    assert np.abs(of_file.answers - network.hear(*heard(), change).answers).max() < 0.01


NORMS = ("tdnnf2.batchnorm", "tdnnf6.batchnorm", "tdnnf12.batchnorm", "prefinal-chain.batchnorm2")


@pytest.mark.parametrize("name", NORMS)
def test_slopes_are_the_differences_that_small_changes_make(file: bytes, name: str) -> None:
    """Source: the definition of a derivative, by central differences."""
    network, random = Network(file), np.random.default_rng(5)
    change = some_change(network)
    course = network.hear(*heard(), change)
    by = random.standard_normal(course.answers.shape).astype(np.float32)
    slope = network.slopes(course, by, change)[name]
    # Along the slope itself the difference is large beside what single precision loses.
    along, small = (slope / np.linalg.norm(slope)).astype(np.float32), 0.01
    above, below = (
        (network.hear(*heard(), {**change, name: change[name] + sign * small * along}).answers * by)
        .astype(np.float64).sum()
        for sign in (1.0, -1.0)
    )  # fmt: skip
    assert (above - below) / (2 * small) == pytest.approx(np.linalg.norm(slope), rel=0.03)
