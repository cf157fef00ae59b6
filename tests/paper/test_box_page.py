"""The page of box score and course, set by typst and read back from the PDF."""

from __future__ import annotations

import io
from functools import cache

import pytest
from pdfminer.high_level import extract_pages

from callout.edges.typesetting import Form, typeset
from callout.game.calls import EndGame, EndPeriod, Forfeit, Foul, Score, Shot, Substitution
from callout.game.figures.score import score
from callout.game.profile.file import load_profile, profile_names
from callout.game.state import Owner
from callout.game.terms import Team
from callout.paper.box_page import TEMPLATE, box_page, minutes, state
from callout.paper.box_rows import box_rows
from callout.paper.course import course, lead_changes, ties
from callout.paper.export import Recorded
from callout.table.foul_codes import CODES
from callout.table.setup.roster import Player
from callout.table.setup.setup import Listed, Setup
from tests.english import WORDS
from tests.game.play import GUEST, HOME, Play
from tests.paper.printed import rows
from tests.paper.test_court_time import line_up
from tests.paper.test_export import random_game, recorded
from tests.quick import thorough_but

QUICK = {"nfhs-2026"}
"""Leagues whose pages are read each time; the others where there are minutes."""


def pdf(each: Recorded, paper: str = "a4") -> bytes:
    (made,) = typeset(TEMPLATE, box_page(each, WORDS, paper), Form.PDF, 0).files
    return made


def words(made: bytes) -> list[str]:
    return [" ".join(row) for row in rows(made)]


@cache
def random_page(profile: str, seed: int) -> bytes:
    return pdf(random_game(profile, seed))


@pytest.mark.parametrize("profile", thorough_but(profile_names(), QUICK))
def test_the_printed_figures_add_up_to_the_score(profile: str) -> None:
    """Players, open lines, the team and the officials' word = periods = total = score."""
    for seed in (2, 3):
        each, made = random_game(profile, seed), random_page(profile, seed)
        heads = {0: "Harbour Kites ", 0.5: "Quarry Foxes "}
        by_period = next(nth for nth, row in enumerate(words(made)) if "Points by period" in row)
        for team, (left, name) in zip(Team, heads.items(), strict=True):
            half = rows(made, left, left + 0.5)
            first = next(nth for nth, row in enumerate(half) if row[0] == "No.")
            last = next(nth for nth, row in enumerate(half) if row[0] == "Total")
            points = [int(row[-1]) for row in half[first + 1 : last + 1]]
            *parts, total = points
            final = score(each.game, team)
            assert (sum(parts), total) == (final, final)
            row = words(made)[by_period + (1 if team is HOME else 2)].removeprefix(name).split()
            periods = max(1, each.game.period)
            assert sum(map(int, row[:periods])) == int(row[periods]) == final


@pytest.mark.parametrize("profile", thorough_but(profile_names(), QUICK))
def test_every_row_is_printed_as_it_was_counted(profile: str) -> None:
    each, made = random_game(profile, 3), random_page(profile, 3)
    for team, left in ((HOME, 0.0), (GUEST, 0.5)):
        half = [" ".join(row) for row in rows(made, left, left + 0.5)]
        names = {player.number: player.name for player in each.setup.team(team).players}
        for row in box_rows(WORDS, each.game, team, each.seen)[:-1]:
            counts = [row.made[kind] for kind in sorted(row.made, reverse=True)]
            taken = row.throws_made + row.throws_missed
            text = [
                row.head,
                names.get(row.head, ""),
                *(str(count) for count in counts if count),
                f"{row.throws_made}/{taken}" if taken else "",
                "".join(CODES[kind] for kind in row.fouls),
                "out" if row.out else "",
                str(row.points),
            ]
            assert " ".join(filter(None, text)) in half


@pytest.mark.parametrize("profile", thorough_but(["fiba-2024", "nfhs-2026", "fiba-3x3"], QUICK))
def test_lead_changes_and_ties_are_printed(profile: str) -> None:
    each = random_game(profile, 2)
    steps = course(each.game, each.left_tenths).steps
    text = " ".join(words(random_page(profile, 2)))
    assert f"lead changes: {len(lead_changes(steps))} ties: {len(ties(steps))} " in text


@pytest.mark.thorough
@pytest.mark.parametrize(("paper", "size"), [("a4", (595, 842)), ("letter", (612, 792))])
def test_it_is_one_page_of_the_size_asked_for(paper: str, size: tuple[int, int]) -> None:
    """Units: points. Source: ISO 216; ANSI/ASME Y14.1, from memory."""
    pages = list(extract_pages(io.BytesIO(pdf(large_game(), paper))))
    assert [(round(page.width), round(page.height)) for page in pages] == [size]


def large_game() -> Recorded:
    """Fifteen players of 25 letters each, in three scripts, four overtimes, 3-digit scores."""
    numbers = tuple(str(number) for number in range(4, 19))
    play = Play(load_profile("fiba-2024"), home=numbers, guest=numbers).start()
    for period in range(1, 9):
        for team in Team:
            play.take(*[Score(team, 3, "4")] * 5, *[Shot(True, team, "5")] * 2)
        if period < 8:
            play.take(EndPeriod()).start()
    play.take(Score(HOME, 2, "6"), Foul(GUEST, "7"), EndGame())
    names = ("Maximiliana Featherstoneh", "Александра Константиновна", "מקסימיליאנה בן-שושן כהן אב")
    players = tuple(Player(number, names[int(number) % 3]) for number in numbers)
    setup = Setup("fiba-2024", Listed("Harbour Kites", players), Listed("Quarry Foxes", players))
    return Recorded("large", setup, play.game, tuple(play.entries), 0, "1f2e-0a9b")


@pytest.mark.thorough
def test_a_large_game_can_be_read() -> None:
    text = words(pdf(large_game()))
    assert "Harbour Kites 138 – 136 Quarry Foxes" in text
    assert any(row.startswith("Points by period 1 2 3 4 OT 1 OT 2 OT 3 OT 4 Total") for row in text)
    assert typeset(TEMPLATE, box_page(large_game(), WORDS), Form.PDF, 0).unshown == ""
    assert sum("Maximiliana Featherstoneh" in row for row in text) == 5


def test_markup_in_names_is_printed_as_it_is() -> None:
    name = r"#let x $a$ \ *b* <l> @r"
    each = recorded(Play(load_profile("nfhs-2026")).start(), kites=name)
    assert sum(name in row for row in words(pdf(each))) >= 3


def test_an_empty_game_has_a_page() -> None:
    each = recorded(Play(load_profile("nfhs-2026")))
    text = words(pdf(each))
    assert "Harbour Kites 0 – 0 Quarry Foxes" in text
    assert any("Before the game" in row for row in text)


@pytest.mark.parametrize(
    ("play", "expected"),
    [
        (Play(load_profile("nfhs-2026")), "Before the game"),
        (Play(load_profile("nfhs-2026")).start().wait(60), "Not over: period 1, 7:00 left"),
        (Play(load_profile("nfhs-2026")).start().wait(475), "Not over: period 1, 5.0 s left"),
        (Play(load_profile("nfhs-2026")).start().take(EndPeriod()), "Not over: after period 1"),
        (Play(load_profile("nfhs-2026")).to_period(5), "Not over: overtime 1, 4:00 left"),
        (Play(load_profile("nfhs-2026"), Owner.NONE).start(), "Not over: period 1"),
        (Play(load_profile("nfhs-2026")).start().take(EndGame()), "Game over"),
        (
            Play(load_profile("fiba-2024")).start().take(Forfeit(HOME)),
            "Harbour Kites lost by forfeit, by the rules 0–20",
        ),
    ],
)
def test_a_game_that_is_not_over_says_so(play: Play, expected: str) -> None:
    each = recorded(play)
    assert state(WORDS, each) == expected
    assert any(expected in row for row in words(pdf(each)))


def test_minutes_stand_only_with_the_team_whose_line_up_was_kept() -> None:
    play = line_up().start().wait(95).take(Substitution(HOME, "12", "4")).wait(85)
    made = pdf(recorded(play))
    home, guest = rows(made, 0, 0.5), rows(made, 0.5, 1)
    heads = [next(row for row in half if row[0] == "No.") for half in (home, guest)]
    assert [head[-1] for head in heads] == ["Min", "Pts"]
    assert {row[0]: row[-1] for row in home if len(row) > 3 and ":" in row[-1]} == {
        "4": "1:35", "5": "3:00", "7": "3:00", "10": "3:00", "11": "3:00", "12": "1:25",
        "23": "0:00",
    }  # fmt: skip


def test_a_line_up_that_was_not_kept_to_the_end_is_told() -> None:
    play = line_up().start().take(Substitution(HOME, "12", "4"), Score(HOME, 2, "4"))
    text = " ".join(words(pdf(recorded(play))))
    assert "the line-up was not kept (entry 3: number 4 was not on court)" in text


@pytest.mark.parametrize(("tenths", "expected"), [(0, "0:00"), (949, "1:34"), (24_000, "40:00")])
def test_minutes_are_whole_seconds(tenths: int, expected: str) -> None:
    assert minutes(tenths) == expected


def test_the_letters_of_fouls_are_explained_where_they_occur() -> None:
    play = Play(load_profile("nfhs-2026")).start()
    assert not box_page(recorded(play), WORDS)["notes"]
    notes = box_page(recorded(play.take(Foul(HOME, "5"))), WORDS)["notes"]
    assert notes == ["Fouls, a letter each: P personal."]
