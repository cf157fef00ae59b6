"""The invented games: plausible by published counts, and true by the rules engine."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterable
from itertools import islice

import pytest

from callout.game import calls
from callout.game.fold import new_game
from callout.game.profile.file import load_profile
from callout.game.profile.profile import Profile
from callout.game.state import Game
from callout.game.terms import Team
from callout.practice.drawing import Drawing
from callout.practice.facts import fact_of
from callout.practice.lesson import lesson
from callout.practice.levels import LEVELS
from callout.practice.play import Play
from tests.conftest import GUEST, HOME


def fiba() -> Game:
    return new_game(load_profile("fiba-2024"), HOME, GUEST)


def plays(game: Game, level: int, seed: int, count: int) -> list[Play]:
    drawing = Drawing(game, LEVELS[level], random.Random(seed))
    drawing.opening()
    return list(islice(drawing.plays(), count))


def kinds(of: Iterable[Play]) -> Counter[str]:
    """How often each kind of fact is to be called."""
    return Counter(fact_of(call).kind for play in of for call in play.calls)


def test_a_seed_gives_the_same_game_again() -> None:
    assert plays(fiba(), 2, 7, 60) == plays(fiba(), 2, 7, 60)
    assert plays(fiba(), 2, 7, 60) != plays(fiba(), 2, 8, 60)


PUBLISHED = {"two": 20.0, "three": 8.8, "foul": 18.5 + 1.8 + 0.3 + 0.2, "made": 13.9,
             "missed": 4.4, "timeout": 3.5}  # fmt: skip
"""Per cent of all calls in 1,000 professional games under FIBA's rules, substitutions apart."""


def test_each_thing_happens_as_often_as_in_published_games() -> None:
    found: Counter[str] = Counter()
    for seed in range(36):
        for play in plays(fiba(), 2, seed, 60):
            for fact in map(fact_of, play.calls):
                goal = {"2": "two", "3": "three"}.get(fact.what, "")
                name = fact.what if fact.kind == "throw" else goal or fact.kind
                found[name] += 1
    whole, published = sum(found[each] for each in PUBLISHED), sum(PUBLISHED.values())
    off = {each: abs(found[each] / whole - share / published) for each, share in PUBLISHED.items()}
    assert whole > 1_000
    # A game has few time-outs, so that short games have too many of them.
    assert max(off.values()) < 0.035, off


def test_its_true_book_follows_the_rules() -> None:
    """FIBA 2024 art. 41: from the fifth team foul of a quarter on, two throws; art. 40: five."""
    drawing = Drawing(fiba(), LEVELS[2], random.Random(3))
    list(islice(drawing.plays(), 400))
    game = drawing.truth.game
    assert len(game.charges) > 15
    fouls = Counter((c.team, c.number) for c in game.charges)
    assert max(fouls.values()) <= 5
    assert not game.misfits


def test_every_league_can_be_practised_at_every_level(profile: Profile) -> None:
    for level in LEVELS:
        found = plays(new_game(profile, HOME, GUEST), level, 5, 80)
        named = kinds(found)
        assert named["goal"] > 5
        assert named["foul"] > 1
        values = {c.points for play in found for c in play.calls if isinstance(c, calls.Score)}
        assert values <= set(profile.goals.field)


def test_lists_may_be_missing() -> None:
    game = new_game(load_profile("nfhs-2026"), HOME.__class__("A"), GUEST.__class__("B"))
    numbers = {c.number for play in plays(game, 1, 1, 40) for c in play.calls
               if isinstance(c, calls.Score)}  # fmt: skip
    assert numbers <= set(game.profile.legal_numbers())


@pytest.mark.parametrize("level", LEVELS)
def test_a_level_asks_for_what_it_says(level: int) -> None:
    named = kinds(plays(fiba(), level, 2, 150))
    assert (named["sub"] > 0) == (level > 1)
    assert (named["stop"] > 0) == (named["start"] > 0) == (level == 3)
    partner = {type(c) for play in plays(fiba(), level, 2, 150) for c in play.partner}
    assert (calls.StopClock in partner) == (level < 3)


def test_the_last_level_begins_in_the_last_period_near_a_penalty() -> None:
    drawing = Drawing(fiba(), LEVELS[3], random.Random(3))
    assert calls.SetClock(2_400) in drawing.opening()
    game = drawing.truth.game
    assert game.period == 4
    assert Counter(c.team for c in game.charges) == {Team.HOME: 3, Team.GUEST: 3}


README_CALLS = {"start", "stop", "goal", "foul", "shots", "throw", "number", "timeout",
                "timeout over", "sub", "subs in", "score", "undo"}  # fmt: skip
"""What the README's table of ten calls has."""


def test_the_first_lesson_has_the_ten_calls_of_the_readme() -> None:
    assert set(kinds(lesson(fiba()))) == README_CALLS
