"""Which fixture a game is, where its list came late or its teams are written otherwise.

Source: common practice, no source: on a Saturday games are played that the secretary's list did not
have yet, that two legs of the same teams share, or whose team was misspelt at the table.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from callout.edges.league import answers
from callout.edges.league.placing import find_fixtures, place
from callout.edges.league.results import catch_up
from callout.edges.league.server import LeagueError, connected
from callout.edges.league.setting_up import add_fixtures
from callout.league.fixtures import Fixture
from callout.league.parcel import parcel_of
from callout.table.setup.setup import Setup
from tests.edges.league.conftest import League, ended, table_of
from tests.table.play import FOXES, KITES, SETUP

if TYPE_CHECKING:
    from callout.edges.league.server import Connection

pytestmark = pytest.mark.thorough

TURNED = replace(SETUP, home=FOXES, guest=KITES)
PLACED = "SELECT f.key FROM callout.game g JOIN callout.fixture f ON f.id = g.fixture ORDER BY 1"


def sent(league: League, *calls: str, setup: Setup = TURNED) -> bytes:
    """The id of a game that was played to its end and sent."""
    parcel = parcel_of(ended(table_of(*calls, setup=setup)).journal)
    league.send(parcel)
    return parcel.game


def won(secretary: Connection, league: League) -> dict[object, object]:
    """How many games each team has won."""
    catch_up(secretary)
    table = answers.table(secretary, league.season)
    at = [table.heads.index(head) for head in ("team", "won")]
    return {row[at[0]]: row[at[1]] for row in table.rows}


def unplaced(connection: Connection, league: League) -> list[tuple[object, ...]]:
    """Teams and detail of what belongs to no fixture."""
    found = answers.missing(connection, league.season).rows
    return [(row[2], str(row[4]).split(", from")[0]) for row in found if "no fixture" in row[3]]


def test_a_list_that_comes_after_the_game_takes_it_in(
    league: League, secretary: Connection
) -> None:
    sent(league, "home two number five")
    assert won(secretary, league) == {"Harbour Kites": 0, "Quarry Foxes": 0}
    assert find_fixtures(secretary) == 0
    add_fixtures(secretary, league.season, [Fixture("G2", "Quarry Foxes", "Harbour Kites")])
    assert find_fixtures(secretary) == 1
    assert find_fixtures(secretary) == 0
    assert league.sql(PLACED) == "G2"
    assert won(secretary, league) == {"Harbour Kites": 0, "Quarry Foxes": 1}


def test_no_fixture_takes_two_official_books_and_no_game_is_guessed(
    league: League, secretary: Connection
) -> None:
    for _ in range(2):
        sent(league, "home two number five")
    add_fixtures(secretary, league.season, [Fixture("G2", "Quarry Foxes", "Harbour Kites")])
    assert find_fixtures(secretary) == 1, "the second has no fixture left"
    add_fixtures(secretary, league.season, [
        Fixture("G3", "Quarry Foxes", "Harbour Kites"),
        Fixture("G4", "Quarry Foxes", "Harbour Kites"),
    ])  # fmt: skip
    assert find_fixtures(secretary) == 0, "it may be either of two"


def test_a_list_does_not_give_a_played_game_to_other_teams(
    league: League, secretary: Connection
) -> None:
    """Last season's list, whose keys begin at 1 as this one's do."""
    game = sent(league, "home two number five", setup=SETUP)
    before = won(secretary, league)
    wrong = [Fixture("G7", "Mill Herons", "Quarry Foxes"),
             Fixture("G1", "Mill Herons", "Quarry Foxes")]  # fmt: skip
    with pytest.raises(LeagueError) as told:
        add_fixtures(secretary, league.season, wrong)
    assert str(told.value) == (
        "fixture G1 was played by Harbour Kites - Quarry Foxes, the list has Mill Herons - Quarry "
        "Foxes: give that another key, or take the game out of it first: callout league place "
        f"{game.hex()}"
    )
    assert league.sql("SELECT key FROM callout.fixture") == "G1"
    assert won(secretary, league) == before == {"Harbour Kites": 1, "Quarry Foxes": 0}
    # Time and place may change; and what the message says goes on.
    moved = Fixture("G1", "Harbour Kites", "Quarry Foxes", place="Other gym")
    assert add_fixtures(secretary, league.season, [moved]) == 1
    place(secretary, league.season, game, "")
    assert add_fixtures(secretary, league.season, wrong) == 2


def test_missing_says_who_played_a_game_without_a_fixture_to_the_secretary_alone(
    league: League, secretary: Connection
) -> None:
    sent(league, "home two number five")
    catch_up(secretary)
    assert unplaced(secretary, league) == [("Quarry Foxes - Harbour Kites", "2-0")]
    with connected(league.address("reader")) as reader:
        assert unplaced(reader, league) == [("", "2-0")]


def test_the_secretary_says_which_fixture_a_game_is_and_takes_it_back(
    league: League, secretary: Connection
) -> None:
    misspelt = replace(SETUP, home=replace(KITES, name="Harbor Kites"))
    game = sent(league, "home two number five", setup=misspelt)
    assert place(secretary, league.season, game, "G1") == (
        "Harbor Kites - Quarry Foxes is fixture G1 now, Harbour Kites - Quarry Foxes"
    )
    assert won(secretary, league) == {"Harbour Kites": 1, "Quarry Foxes": 0}
    assert place(secretary, league.season, game, "") == (
        "Harbor Kites - Quarry Foxes belongs to no fixture now"
    )
    assert won(secretary, league) == {"Harbour Kites": 0, "Quarry Foxes": 0}


def test_what_is_not_there_is_refused(league: League, secretary: Connection) -> None:
    game = sent(league, "home two number five")
    with pytest.raises(LeagueError, match="no fixture G9 is there"):
        place(secretary, league.season, game, "G9")
    with pytest.raises(LeagueError, match="no game 00 is there"):
        place(secretary, league.season, b"\0", "G1")
