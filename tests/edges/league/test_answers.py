"""What the secretary asks of a real server, and results that follow from the entries alone."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from callout.edges.league import answers
from callout.edges.league.results import catch_up, counted_from, rebuild
from callout.edges.league.server import connected
from callout.edges.league.setting_up import add_fixtures, season_of
from callout.errors import CalloutError
from callout.league.fixtures import Fixture
from callout.league.parcel import parcel_of
from callout.league.result import Offence, PlayerLine
from callout.table.setup.setup import Book
from tests.edges.league.conftest import League, ended, played, table_of
from tests.edges.league.test_sending import chained_anew, forged
from tests.table.play import FOXES, KITES, SETUP

if TYPE_CHECKING:
    from callout.edges.league.server import Connection

pytestmark = pytest.mark.thorough

CALLS = ("home two number five", "home two number four", "guest three number fourteen",
         "guest technical number five", "home foul four")  # fmt: skip


def rows(answer: answers.Answer, *heads: str) -> list[tuple[object, ...]]:
    """Some columns of an answer."""
    at = [answer.heads.index(head) for head in heads]
    return [tuple(row[each] for each in at) for row in answer.rows]


@pytest.fixture
def one_game(league: League, secretary: Connection) -> Connection:
    """The league after its one fixture was played, 4-3."""
    league.send(parcel_of(ended(table_of(*CALLS)).journal))
    assert catch_up(secretary) == 1
    return secretary


def test_the_table(league: League, one_game: Connection) -> None:
    """Source: FIBA D.1.1: two points for the game won, one for the game lost."""
    heads = ("rank", "team", "won", "points", "scored", "conceded")
    assert rows(answers.table(one_game, league.season), *heads) == [
        (1, "Harbour Kites", 1, 2, 4, 3),
        (2, "Quarry Foxes", 0, 1, 3, 4),
    ]


def test_leaders_and_discipline(league: League, one_game: Connection) -> None:
    found = answers.leaders(one_game, league.season)
    assert rows(found, "team", "number", "points", "games") == [
        ("Quarry Foxes", "14", 3, 1), ("Harbour Kites", "4", 2, 1), ("Harbour Kites", "5", 2, 1),
    ]  # fmt: skip
    threes = answers.leaders(one_game, league.season, "threes")
    assert rows(threes, "number", "threes") == [("14", 1)]
    kinds = answers.discipline(one_game, league.season)
    assert rows(kinds, "team", "who", "foul", "count") == [("Quarry Foxes", "5", "technical", 1)]


def test_nothing_is_counted_twice_and_nothing_new_is_left_out(
    league: League, secretary: Connection
) -> None:
    table = table_of("home two number five")
    league.send(parcel_of(table.journal))
    assert [catch_up(secretary) for _ in range(2)] == [1, 0]
    assert rows(answers.table(secretary, league.season), "played") == [(0,), (0,)], "not over"
    table.say("home two number four")
    league.send(parcel_of(ended(table).journal))
    assert [catch_up(secretary) for _ in range(2)] == [1, 0]
    assert rows(answers.table(secretary, league.season), "scored") == [(4,), (0,)]


def test_a_reader_sees_results_and_no_more(league: League, one_game: Connection) -> None:
    with connected(league.address("reader")) as reader:
        assert catch_up(reader) == 0
        for ask in (answers.table, answers.leaders, answers.discipline, answers.live,
                    answers.missing):  # fmt: skip
            assert ask(reader, league.season) == ask(one_game, league.season)


def test_at_a_replica_everybody_sees_what_was_counted_last(
    league: League, one_game: Connection
) -> None:
    """Source: PostgreSQL, "Hot Standby": transaction_read_only is always on there."""
    league.sql("UPDATE callout.version SET uncounted = true")
    with connected(league.address("secretary"), reads=True) as replica:
        assert catch_up(replica) == 0
        assert answers.table(replica, league.season) == answers.table(one_game, league.season)
    assert catch_up(one_game) == 1


def test_live_shows_a_game_that_goes_on_and_no_other(league: League, secretary: Connection) -> None:
    table = table_of("home two number five")
    league.send(parcel_of(table.journal))
    catch_up(secretary)
    heads = ("home", "guest", "home points", "guest points", "period")
    assert rows(answers.live(secretary, league.season), *heads) == [
        ("Harbour Kites", "Quarry Foxes", 2, 0, 1)
    ]
    league.send(parcel_of(ended(table).journal))
    catch_up(secretary)
    assert answers.live(secretary, league.season).rows == ()


def missing(connection: Connection, league: League) -> list[tuple[object, ...]]:
    """What is missing, with its detail."""
    catch_up(connection)
    return rows(answers.missing(connection, league.season), "what", "detail")


def test_missing_names_what_is_not_in_order(league: League, secretary: Connection) -> None:
    assert missing(secretary, league) == [], "a fixture without a date may be to come"
    league.sql("UPDATE callout.fixture SET starts = localtimestamp - interval '1 day'")
    assert missing(secretary, league) == [("no game", "")]
    table = table_of("home two number five")
    league.send(parcel_of(table.journal))
    assert missing(secretary, league) == [("not over", "period 1, 2-0")]
    table.say("home two")
    parcel = parcel_of(ended(table).journal)
    league.send(parcel)
    assert missing(secretary, league) == [
        ("does not add up", "home: 2 points of no player"), ("no signature", "4-0"),
    ]  # fmt: skip
    second = replace(SETUP, book=Book.SECOND)
    league.send(parcel_of(ended(table_of("home three number five", setup=second)).journal), "gym_8")
    assert ("a second book differs", "it says 3-0, the official one 4-0") in missing(
        secretary, league
    )
    league.send(chained_anew(forged(parcel, 1, 3, "key")))
    assert ("changed after its end", "version 2 says 4-0, version 1, which counts, 4-0") in missing(
        secretary, league
    )
    other = replace(SETUP, home=replace(KITES, name="Nobody"))
    league.send(played(setup=other))
    assert "belongs to no fixture" in [what for what, _ in missing(secretary, league)]


def test_a_game_without_a_signature_is_missing_until_the_officials_approve(
    league: League, secretary: Connection
) -> None:
    """Source: NFHS 2-2-4: the referee approves the final score."""
    table = table_of("home two number five")
    league.send(parcel_of(table.journal))
    assert missing(secretary, league) == [("not over", "period 1, 2-0")]
    league.send(parcel_of(ended(table).journal))
    assert missing(secretary, league) == [("no signature", "2-0")]
    table.say("officials approve", "yes")
    league.send(parcel_of(table.journal))
    assert missing(secretary, league) == []


def test_a_game_finds_its_fixture_by_key_or_by_its_teams_or_not_at_all(
    league: League, secretary: Connection
) -> None:
    add_fixtures(secretary, league.season, [
        Fixture("G2", "Harbour Kites", "Quarry Foxes", table="gym_8"),
        Fixture("G3", "Quarry Foxes", "Harbour Kites"),
    ])  # fmt: skip
    placed = "SELECT f.key FROM callout.game g JOIN callout.fixture f ON f.id = g.fixture"
    keyed = replace(SETUP, fixture="G2")
    league.send(played(setup=keyed))
    assert league.sql(placed) == "", "G2 is gym_8's"
    league.send(played(setup=keyed), "gym_8")
    assert league.sql(placed) == "G2"
    lower = replace(FOXES, name="quarry foxes")
    league.send(played(setup=replace(SETUP, home=lower, guest=KITES)))
    assert league.sql(f"{placed} ORDER BY 1") == "G2\nG3"


def test_fixtures_read_again_change_nothing_but_what_changed(
    league: League, secretary: Connection
) -> None:
    list_of = [Fixture("G1", "Harbour Kites", "Quarry Foxes", place="Old gym"),
               Fixture("G2", "Harbour Kites", "Mill Herons", home_numbers="4 5")]  # fmt: skip
    for _ in range(2):
        assert add_fixtures(secretary, league.season, list_of) == 2
    assert league.sql("SELECT key, place FROM callout.fixture ORDER BY 1") == "G1|Old gym\nG2|"
    assert league.sql("SELECT name, numbers FROM callout.team ORDER BY 1") == (
        "Harbour Kites|4 5\nMill Herons|\nQuarry Foxes|"
    )


def test_a_season_is_found_by_its_name(league: League, secretary: Connection) -> None:
    for name in ("", "2026-27", "Harbour League, 2026-27"):
        assert season_of(secretary, name) == league.season
    with pytest.raises(CalloutError, match="no season '1999' is there"):
        season_of(secretary, "1999")


# --- computed again -------------------------------------------------------------------------------


def test_a_rebuild_finds_a_result_that_was_changed_and_puts_it_right(
    league: League, one_game: Connection
) -> None:
    (found,) = rebuild(one_game)
    assert (found.games, found.differing) == (1, [])
    assert found.entries == len(league.entries())
    league.sql("UPDATE callout.result SET home = 40", "secretary")
    league.sql("UPDATE callout.player_line SET points = 40 WHERE number = '5'", "secretary")
    (found,) = rebuild(one_game)
    ((_, version, kept, right),) = found.differing
    assert kept is not None
    assert (version, kept.home, right.home) == (1, 40, 4)
    (found,) = rebuild(one_game)
    assert found.differing == []


def test_a_result_is_that_of_the_engine(league: League, one_game: Connection) -> None:
    table = ended(table_of(*CALLS))
    made = counted_from(parcel_of(table.journal))
    assert (made.over, made.home, made.guest, made.problems) == (True, 4, 3, ())
    assert PlayerLine("guest", "14", 3, 0, 0, 1, 0, 0) in made.lines
    assert made.offences == (Offence("guest", "5", "technical", 1),)


def test_the_reader_checks_the_chain_again(league: League, one_game: Connection) -> None:
    """Whoever owns the server can switch its triggers off; who counts still sees it."""
    league.sql("SET session_replication_role = replica; "
               "UPDATE callout.entry SET fields = replace(fields, '2', '3') WHERE number = 2; "
               "UPDATE callout.version SET uncounted = true")  # fmt: skip
    assert missing(one_game, league) == [
        ("does not add up", "entry 2 is not as it was recorded"),
    ]
    assert rows(answers.table(one_game, league.season), "played") == [(0,), (0,)]


def test_a_game_that_cannot_be_played_again_does_not_stop_the_others(
    league: League, secretary: Connection
) -> None:
    good = parcel_of(ended(table_of(*CALLS)).journal)
    bad = chained_anew(forged(played(*CALLS), 2, 6, '[{"event":"goal_scored","item":"x"}]'))
    worse = chained_anew(forged(played(*CALLS), 2, 2, '{"a":1}'))
    for each in (bad, worse, good):
        league.send(each)
    told = missing(secretary, league)
    assert len([what for what, _ in told if what == "does not add up"]) == 1
    assert league.sql("SELECT count(*) FROM callout.result WHERE problems <> '{}'") == "2"


def test_the_engine_is_the_same_for_what_was_read_back(
    league: League, one_game: Connection
) -> None:
    kept = one_game.execute("SELECT entries, home, guest, period FROM callout.result").fetchone()
    table = ended(table_of(*CALLS))
    assert kept == (table.game.entry, 4, 3, table.game.period)
