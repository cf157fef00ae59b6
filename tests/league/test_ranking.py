"""The order of teams, against the worked examples that are published with the rules.

Source: FIBA Official Basketball Rules 2024, Appendix D (classification of teams), all seven worked
examples with their games, sums and order. They were compared with two copies that others made of
the published text, one of which has D.2.1 and D.2.2 alone; not with FIBA's own file.
"""

from __future__ import annotations

from itertools import islice, pairwise, permutations
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from callout.errors import CalloutError
from callout.league.ranking import (
    Played,
    Rules,
    Standing,
    classify,
    find_rules,
    known_rankings,
    read_rules,
)

FIBA = known_rankings()["fiba"]


def games(text: str) -> list[Played]:
    """Games written as `A B 100 55`."""
    parts = [line.split() for line in text.strip().splitlines()]
    return [Played(home, guest, int(own), int(other)) for home, guest, own, other in parts]


EXAMPLES = {
    "D.2.1": (
        "A B 100 55\nB C 100 95\nA C 90 85\nB D 80 75\nA D 75 80\nC D 60 55",
        "A 3 2 1 5 265 220|B 3 2 1 5 235 270|C 3 1 2 4 240 245|D 3 1 2 4 210 215",
    ),
    "D.2.2": (
        "A B 100 55\nB C 100 85\nA C 90 85\nB D 75 80\nA D 120 75\nC D 65 55",
        "A 3 3 0 6 310 215|B 3 1 2 4 230 265|C 3 1 2 4 235 245|D 3 1 2 4 210 260",
    ),
    "D.2.3": (
        "A B 85 90\nB C 100 95\nA C 55 100\nB D 75 85\nA D 75 120\nC D 65 55",
        "C 3 2 1 5 260 210|D 3 2 1 5 260 215|B 3 2 1 5 265 265|A 3 0 3 3 215 310",
    ),
    "D.2.4": (
        "A B 85 90\nB C 100 90\nA C 55 100\nB D 75 85\nA D 75 120\nC D 65 55",
        "B 3 2 1 5 265 260|C 3 2 1 5 255 210|D 3 2 1 5 260 215|A 3 0 3 3 215 310",
    ),
    "D.2.5": (
        "A B 100 55\nA C 85 90\nA D 120 75\nA E 80 100\nA F 85 80\n"
        "B C 100 95\nB D 80 75\nB E 75 80\nB F 110 90\nC D 55 60\n"
        "C E 90 75\nC F 105 75\nD E 70 45\nD F 65 60\nE F 75 80",
        "A 5 3 2 8 470 400|B 5 3 2 8 420 440|D 5 3 2 8 345 360|"
        "C 5 3 2 8 435 395|E 5 2 3 7 375 395|F 5 1 4 6 385 440",
    ),
    "D.2.6": (
        "A B 71 65\nA C 85 86\nA D 77 75\nA E 80 86\nA F 85 80\n"
        "B C 88 87\nB D 80 75\nB E 75 76\nB F 95 90\nC D 95 100\n"
        "C E 82 75\nC F 105 75\nD E 68 67\nD F 65 60\nE F 80 75",
        "C 5 3 2 8 455 423|A 5 3 2 8 398 392|B 5 3 2 8 403 399|"
        "E 5 3 2 8 384 380|D 5 3 2 8 383 379|F 5 0 5 5 380 430",
    ),
    "D.2.7": (
        "A B 73 71\nA C 85 86\nA D 77 75\nA E 90 96\nA F 85 80\n"
        "B C 88 87\nB D 80 79\nB E 79 80\nB F 95 90\nC D 95 96\n"
        "C E 82 75\nC F 105 75\nD E 68 67\nD F 80 75\nE F 80 75",
        "C 5 3 2 8 455 419|B 5 3 2 8 413 409|D 5 3 2 8 398 394|"
        "E 5 3 2 8 398 394|A 5 3 2 8 410 408|F 5 0 5 5 395 445",
    ),
}


def teams_of(name: str) -> str:
    return "".join(each[0] for each in sorted(EXAMPLES[name][1].split("|")))


def line(standing: Standing) -> str:
    s = standing
    return f"{s.team} {s.played} {s.won} {s.lost} {s.points} {s.scored} {s.conceded}"


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_published_examples(name: str) -> None:
    played, expected = EXAMPLES[name]
    table = classify(teams_of(name)[::-1], games(played), FIBA)
    assert "|".join(map(line, table)) == expected
    assert [standing.rank for standing in table] == list(range(1, len(table) + 1))


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_order_in_which_teams_and_games_are_given_changes_nothing(name: str) -> None:
    played = games(EXAMPLES[name][0])
    table = classify(teams_of(name), played, FIBA)
    for teams in islice(permutations(teams_of(name)), 24):
        assert classify(teams, played[::-1], FIBA) == table


def test_a_forfeit_gives_nothing_and_a_default_one_point() -> None:
    """Source: FIBA D.1.1: 0 points for a forfeit, 1 point for a loss, by default too."""
    played = [Played("A", "B", 20, 0, "guest"), Played("C", "D", 2, 0, "guest", defaulted=True),
              Played("A", "C", 50, 49)]  # fmt: skip
    points = {s.team: s.points for s in classify("ABCD", played, FIBA)}
    assert points == {"A": 4, "B": 0, "C": 3, "D": 1}


def test_who_leads_may_still_have_lost_by_forfeit() -> None:
    (first, _) = classify("AB", [Played("A", "B", 30, 0, "home")], FIBA)
    assert (first.team, first.points) == ("B", 2)


def test_what_nothing_tells_apart_shares_a_rank() -> None:
    """Source: FIBA D.1.3: if still tied, the teams share the ranking."""
    table = classify("ABC", games("A B 50 40\nB A 50 40"), FIBA)
    assert [(s.rank, s.team) for s in table] == [(1, "A"), (1, "B"), (3, "C")]
    assert table[0].decided_by == "level"


def test_the_tie_break_that_decided_is_named() -> None:
    table = classify("ABCD", games(EXAMPLES["D.2.3"][0]), FIBA)
    assert [s.decided_by for s in table] == ["between.difference"] * 3 + [""]


def test_another_league_ranks_by_the_share_of_games_won() -> None:
    played = games("A B 50 40\nC A 50 40\nC B 40 50\nC B 50 40")
    table = classify("ABC", played, find_rules("share"))
    assert [(s.team, s.won, s.played) for s in table] == [("C", 2, 3), ("A", 1, 2), ("B", 1, 3)]


@given(st.lists(st.tuples(st.sampled_from("ABCDE"), st.sampled_from("ABCDE"),
                          st.integers(0, 5), st.integers(0, 5)), max_size=25))  # fmt: skip
def test_every_team_has_one_place_and_points_never_rise_down_the_table(
    drawn: list[tuple[str, str, int, int]],
) -> None:
    played = [Played(*each) for each in drawn if each[0] != each[1]]
    table = classify("ABCDE", played, FIBA)
    assert sorted(s.team for s in table) == list("ABCDE")
    assert [s.points for s in table] == sorted((s.points for s in table), reverse=True)
    assert sum(s.difference for s in table) == 0
    assert all(b.rank in (a.rank, nth) for nth, (a, b) in enumerate(pairwise(table), start=2))


def test_a_ranking_may_come_from_a_file_and_is_kept_as_plain_values(tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    path.write_text('[own]\npoints = { win = 3, loss = 1, default = 0, forfeit = 0 }\n'
                    'first = "points"\nties = ["all.ratio"]\n')  # fmt: skip
    rules = find_rules(str(path))
    assert rules == Rules({"win": 3, "loss": 1, "default": 0, "forfeit": 0}, "points",
                          ("all.ratio",))  # fmt: skip
    assert read_rules(rules.dump()) == rules
    table = classify("ABC", games("A B 30 0\nC B 60 30"), rules)
    assert [s.team for s in table] == ["A", "C", "B"]


WRONG = {"points": {"win": 2, "loss": 1, "default": 1, "forfeit": 0}, "first": "points", "ties": []}


@pytest.mark.parametrize(
    ("change", "expected"),
    [({"points": {"win": 2}}, "expected points for"), ({"first": "luck"}, "expected first"),
     ({"ties": ["between.luck"]}, "expected ties"), ({"ties": "all.scored"}, "expected ties"),
     ({"points": {**WRONG["points"], "win": 1.5}}, "whole numbers")],  # type: ignore[dict-item]
)  # fmt: skip
def test_a_wrong_ranking_is_refused(change: dict[str, object], expected: str) -> None:
    with pytest.raises(ValueError, match=expected):
        read_rules({**WRONG, **change})
    with pytest.raises(ValueError, match="expected a table"):
        read_rules([])


def test_an_unknown_ranking_and_a_file_of_two_are_refused(tmp_path: Path) -> None:
    with pytest.raises(CalloutError, match="expected a ranking"):
        find_rules("luck")
    path = tmp_path / "two.toml"
    path.write_text("[a]\n[b]\n")
    with pytest.raises(CalloutError, match="expected one ranking"):
        find_rules(str(path))
