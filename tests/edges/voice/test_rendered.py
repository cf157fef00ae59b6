"""What is left of a voice's own silence."""

from __future__ import annotations

import numpy as np
import pytest

from callout.edges.voice.rendered import PAUSE_S, SOFT_S, Rendered


def test_the_silence_of_a_voice_gives_way_to_a_short_pause() -> None:
    rate_hz = 1_000
    said = np.concatenate([np.zeros(400), np.full(300, 0.5), np.zeros(600)]).astype(np.float32)
    made = Rendered.of(said, rate_hz)
    soft, pause = int(SOFT_S * rate_hz), int(PAUSE_S * rate_hz)
    assert len(made.samples) == soft + 300 + soft - 1 + pause
    assert made.samples[soft : soft + 300].min() == 0.5
    assert not made.samples[-pause:].any()


@pytest.mark.parametrize("count", [0, 1, 500])
def test_a_sound_that_is_all_silence_stays(count: int) -> None:
    assert len(Rendered.of(np.zeros(count, dtype=np.float32), 1_000).samples) == count
