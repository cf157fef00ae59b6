"""What all tests share: every league's profile, and a game of it before its first call."""

from __future__ import annotations

import pytest
from hypothesis import settings

from callout.game.fold import new_game
from callout.game.profile import Profile
from callout.game.profile_file import load_profile, profile_names
from callout.game.state import Game, Side

# A busy machine is slow, and that is no fault of what is tested.
settings.register_profile("any-machine", deadline=None)
settings.load_profile("any-machine")

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
