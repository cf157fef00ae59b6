"""A game to be played by hand, under the rules that most tests are about."""

from __future__ import annotations

import pytest

from callout.game.profile.file import load_profile
from tests.game.play import Play


@pytest.fixture
def play() -> Play:
    """A game under the high school rules, before its first call."""
    return Play(load_profile("nfhs-2026"))


@pytest.fixture
def running(play: Play) -> Play:
    """The same in its first period, the clock running."""
    return play.start()


@pytest.fixture
def youth() -> Play:
    """A game under the rules of the younger grades, the clock of its first period running."""
    return Play(load_profile("youth-7-minute")).start()
