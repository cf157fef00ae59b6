"""Fixtures of all tests: each league's profile, and a new game under it."""

from __future__ import annotations

import gc
import os
import signal

import pytest
from hypothesis import settings

from callout.game.fold import new_game
from callout.game.profile.file import load_profile, profile_names
from callout.game.profile.profile import Profile
from callout.game.state import Game, Side

# No deadline, since a busy machine is slow. Every machine tries the same examples, so that a test
# fails for everybody or for nobody; `pytest --hypothesis-profile fresh` draws new ones.
settings.register_profile("any-machine", deadline=None, derandomize=True)
settings.register_profile("fresh", deadline=None, max_examples=1_000)
settings.load_profile("any-machine")

# Tests make many small values and few cycles. At Python's own threshold, 700 new values, the
# collector took a third of the processor time.
gc.set_threshold(100_000, 50, 100)


def pytest_collection_finish() -> None:
    """Keep modules and tests, which live to the end, out of each search for garbage."""
    gc.freeze()


# Several workers share the processors; threads of numpy's own would only wait for each other.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

# A shell lets what runs in its background ignore Ctrl-C, and so would each program that a test ends
# by it, for ever.
if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)

HOME = Side("Harbour Kites", ("4", "5", "7", "10", "11", "12", "23"))
GUEST = Side("Quarry Foxes", ("3", "5", "8", "14", "15", "20", "33"))


@pytest.fixture(params=profile_names())
def profile(request: pytest.FixtureRequest) -> Profile:
    """Each league's profile in turn."""
    return load_profile(request.param)


@pytest.fixture
def game(profile: Profile) -> Game:
    """A game under that profile, before its first call."""
    return new_game(profile, HOME, GUEST)
