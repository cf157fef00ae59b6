"""How two voices that say the same words are paired, frame by frame."""

from __future__ import annotations

import numpy as np

from callout.edges.ear.own_voice.lessons import LOUDEST, logs, prepared, warped


def test_equal_sounds_are_paired_frame_by_frame() -> None:
    costs = np.abs(np.arange(6.0)[:, None] - np.arange(6.0)[None])
    assert warped(costs) == [(at, at) for at in range(6)]


def test_a_slower_voice_has_more_frames_for_each() -> None:
    """The second says everything at half the pace."""
    costs = np.abs(np.arange(4.0)[:, None] - np.repeat(np.arange(4.0), 2)[None])
    path = warped(costs)
    assert {(at, frame) for frame in range(8) for at in [frame // 2]} == set(path)


def test_probabilities_add_up_to_one() -> None:
    told = logs(np.random.default_rng(1).standard_normal((5, 7)).astype(np.float32))
    assert np.abs(np.exp(told).sum(1) - 1.0).max() < 1e-5


def test_how_loud_a_call_is_makes_no_difference() -> None:
    sound = (1_000 * np.sin(np.arange(4_000) / 9.0)).astype(np.int16)
    soft, loud = prepared(sound), prepared(8 * sound)
    assert np.abs(soft - loud).max() < 0.002
    assert np.abs(loud).max() == np.float32(LOUDEST)
