"""What all tests share: every league's profile, and a game of it before its first call."""

from __future__ import annotations

import gc

import pytest
from hypothesis import settings

from callout.game.fold import new_game
from callout.game.profile.file import load_profile, profile_names
from callout.game.profile.profile import Profile
from callout.game.state import Game, Side

# A busy machine is slow, and that is no fault of what is tested. Every machine tries the same
# examples, so that nobody's tests fail by a chance that others did not have; new ones are drawn by
# `pytest --hypothesis-profile fresh`.
settings.register_profile("any-machine", deadline=None, derandomize=True)
settings.register_profile("fresh", deadline=None, max_examples=1_000)
settings.load_profile("any-machine")

# A test makes many small values and few cycles; looking for cycles as often as Python does by
# itself took a third of the processor's time.
gc.set_threshold(100_000, 50, 100)

HOME = Side("Harbour Kites", ("4", "5", "7", "10", "11", "12", "23"))
GUEST = Side("Quarry Foxes", ("3", "5", "8", "14", "15", "20", "33"))


@pytest.fixture(params=profile_names())
def profile(request: pytest.FixtureRequest) -> Profile:
    """Each league in turn, as found in its folder."""
    return load_profile(request.param)


@pytest.fixture
def game(profile: Profile) -> Game:
    """A game of that league before its first call."""
    return new_game(profile, HOME, GUEST)
