"""The engine beside a book kept the naive way, over random games of every league."""

from __future__ import annotations

from random import Random

import pytest

from callout.game.calls import CALLS, Undo
from callout.game.decide import Refusal
from callout.game.figures import score as questions
from callout.game.figures.fouls import is_out, penalty, player_fouls, team_fouls
from callout.game.figures.timeouts import timeouts_left
from callout.game.profile.file import PROFILES
from callout.game.profile.profile import Profile
from tests.game.oracle import Call, Oracle, rules_of
from tests.game.play import FOXES, GUEST, HOME, KITES, Play
from tests.quick import thorough_but

GAMES, CALLS_A_GAME = 20, 70
QUICK = 4
"""So many of them are played each time; the others where there are minutes."""
ROSTERS: dict[str, tuple[str, ...]] = {"home": KITES, "guest": FOXES}


def random_call(random: Random, profile: Profile) -> Call:
    """A call as a table hears them, fouls and goals the most."""
    team = random.choice(("home", "guest"))
    number = random.choice((*ROSTERS[team], None))
    named = {"team": team} if number is None else {"team": team, "number": number}
    kinds = [kind.value for kind in profile.fouls.kinds]
    options: list[tuple[int, Call]] = [
        # Without a number the engine takes a point for the shooter's, which is tested elsewhere.
        (
            30,
            (
                "score",
                {"number": ROSTERS[team][0], **named, "points": random.choice(profile.goals.field)},
            ),
        ),
        (14, ("shot", {"number": ROSTERS[team][0], **named, "made": random.random() < 0.6})),
        (24, ("foul", named)),
        (6, ("foul", {**named, "foul": random.choice(kinds)})),
        (3, ("foul", {"team": team, "foul": "technical", "on": random.choice(("coach", "team"))})),
        (5, ("timeout", {"team": team, "length": random.choice(("thirty", "full"))})),
        (1, ("set_score", {"team": team, "points": random.randrange(60)})),
        (9, ("undo", {})),
        (3, ("put_back", {})),
        (6, ("start_clock", {})),
        (6, ("stop_clock", {})),
        (6, ("end_period", {})),
        (2, ("start_period", {})),
    ]
    possible = [call for _, call in options]
    return random.choices(possible, [weight for weight, _ in options])[0]


@pytest.mark.parametrize(
    "seed",
    thorough_but(range(GAMES), range(QUICK)),
)
def test_both_books_say_the_same_after_every_call(profile: Profile, seed: int) -> None:
    assert one_game(profile, seed) > CALLS_A_GAME / 3


def one_game(profile: Profile, seed: int) -> int:
    """Play a random game and compare the books after every call; how many calls were booked."""
    random = Random(seed)
    play = Play(profile).start()
    oracle = Oracle(rules_of(PROFILES, profile.name), ROSTERS)
    oracle.take(("start_clock", {}))
    booked = 0
    for _ in range(CALLS_A_GAME):
        name, values = random_call(random, profile)
        left = play.wait(random.choice((1, 1, 1, 40))).at().left_tenths
        if isinstance(play.call(CALLS.load(name, values)), Refusal):
            continue
        oracle.take((name, values), left)
        booked += 1
        compare(play, oracle)
    compare_players(play, oracle)
    return booked


def compare(play: Play, oracle: Oracle) -> None:
    """The figures of both teams."""
    game = play.game
    assert game.period == oracle.period
    for team in (HOME, GUEST):
        left = play.at().left_tenths
        assert questions.score(game, team) == oracle.score(team.value)
        assert team_fouls(game, team) == oracle.team_fouls(team.value)
        assert penalty(game, team, None, left).value == oracle.penalty(team.value, left)
        assert timeouts_left(game, team, left) == oracle.timeouts_left(team.value, left)


def compare_players(play: Play, oracle: Oracle) -> None:
    """The figures of every player."""
    game = play.game
    for team in (HOME, GUEST):
        for number in ROSTERS[team.value]:
            goals = [g for g in game.goals if (g.team, g.number) == (team, number)]
            assert sum(g.counts for g in goals) == oracle.player_points(team.value, number)
            fouls = player_fouls(game, team, number)
            assert fouls == oracle.player_fouls(team.value, number)
            assert is_out(game, team, number) == oracle.out(team.value, number)


def test_the_oracle_can_disagree(play: Play) -> None:
    """A book that misses one call is found out."""
    oracle = Oracle(rules_of(PROFILES, "nfhs-2026"), ROSTERS)
    oracle.take(("start_clock", {}))
    play.start().take(CALLS.load("score", {"team": "home", "points": 2}))
    with pytest.raises(AssertionError):
        compare(play, oracle)
    compare(play.take(Undo()), oracle)
