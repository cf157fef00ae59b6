"""The sums that a server keeps are those of its results, whatever changed in between.

Source: the same results summed here by Python alone, and ranked by `classify` from single games.
"""

from __future__ import annotations

import random
from collections import Counter
from typing import TYPE_CHECKING

import pytest

from callout.edges.league import answers
from callout.edges.league.migrations import known, migrate
from callout.edges.league.results import catch_up, rebuild
from callout.edges.league.server import connected
from callout.edges.league.setting_up import add_fixtures, found
from callout.league.fixtures import Fixture
from callout.league.parcel import Parcel, parcel_of
from callout.league.ranking import Played, classify, known_rankings
from tests.edges.league.conftest import League, ended, table_of
from tests.edges.league.test_answers import CALLS, rows
from tests.postgres import OWNER, Postgres

if TYPE_CHECKING:
    from callout.edges.league.server import Connection

pytestmark = pytest.mark.thorough

TEAMS = ("Harbour Kites", "Quarry Foxes", "Mill Herons", "Dune Otters")
FIBA = known_rankings()["fiba"]
ADD = (
    "INSERT INTO callout.entry (game, version, number, call, fields, source, left_tenths, "
    "wall_ms, events, former, hash) VALUES (%s, 1, %s, %s, %s, %s, %s, %s, %s, %s, %s)"
)


def add_book(league: League, nth: int, key: str, rng: random.Random, official: bool = True) -> str:
    """A game of a fixture with a result that nobody played; its id."""
    game = f"{nth:032x}"
    home, guest = rng.randint(0, 4), rng.randint(0, 4)
    lost = rng.choice(["", "", "", "home", "guest"])
    league.sql(
        f"INSERT INTO callout.game (id, official, received_at) VALUES ('\\x{game}', {official}, "
        f"'2026-11-28'::timestamptz + interval '{nth} s');"
        f"UPDATE callout.game SET fixture = f.id, season = f.season FROM callout.fixture f "
        f"WHERE callout.game.id = '\\x{game}' AND f.key = '{key}';"
        f"SET session_replication_role = replica;"
        f"INSERT INTO callout.version (game, version, header, start, uncounted) "
        f"VALUES ('\\x{game}', 1, '', '', false);"
        f"SET session_replication_role = origin;"
        f"INSERT INTO callout.result (game, version, entries, over, period, home, guest, lost, "
        f"defaulted) VALUES ('\\x{game}', 1, 9, {rng.random() < 0.9}, 4, {home}, {guest}, "
        f"'{lost}', {rng.random() < 0.5});"
    )
    for side in ("home", "guest"):
        for number in ("4", "5"):
            points, fouls = rng.randint(0, 9), rng.randint(0, 5)
            league.sql(f"INSERT INTO callout.player_line VALUES ('\\x{game}', 1, '{side}', "
                       f"'{number}', {points}, 1, 2, 0, 0, {fouls})")  # fmt: skip
    return game


def counted(connection: Connection) -> dict[int, tuple[str, str, bytes]]:
    """By fixture its two teams and its book: the first official one, found here and not by SQL."""
    books = connection.execute(
        "SELECT g.fixture, h.name, o.name, g.id FROM callout.game g "
        "JOIN callout.fixture f ON f.id = g.fixture JOIN callout.team h ON h.id = f.home "
        "JOIN callout.team o ON o.id = f.guest WHERE g.official ORDER BY g.received_at"
    ).fetchall()
    first: dict[int, tuple[str, str, bytes]] = {}
    for fixture, home, guest, game in books:
        first.setdefault(fixture, (home, guest, bytes(game)))
    return first


def check(league: League, connection: Connection) -> None:
    """The answers are what Python makes of the results."""
    catch_up(connection)
    query = "SELECT game, over, home, guest, lost, defaulted FROM callout.result"
    results = {bytes(row[0]): row[1:] for row in connection.execute(query).fetchall()}
    first = counted(connection)
    games = [Played(home, guest, *results[game][1:]) for home, guest, game in first.values()
             if game in results and results[game][0]]  # fmt: skip
    by_hand = [(s.rank, s.team, s.played, s.points, s.scored, s.conceded, s.decided_by)
               for s in classify(TEAMS, games, FIBA)]  # fmt: skip
    heads = ("rank", "team", "played", "points", "scored", "conceded", "decided by")
    assert rows(answers.table(connection, league.season), *heads) == by_hand
    teams = {game: {"home": home, "guest": guest} for home, guest, game in first.values()}
    for figure, column in (("points", "points"), ("fouls", "fouls")):
        sums: Counter[tuple[str, str]] = Counter()
        for game, side, number, own in connection.execute(
            f"SELECT game, side, number, {column} FROM callout.player_line".encode()
        ).fetchall():
            if bytes(game) in teams:
                sums[teams[bytes(game)][side], number] += own
        shown = rows(answers.leaders(connection, league.season, figure), "team", "number", figure)
        assert sorted(shown) == sorted((*who, own) for who, own in sums.items() if own)
    assert connection.execute("SELECT callout.check_sums()").fetchall() == []


def test_sums_stay_those_of_the_results_whatever_changes(
    league: League, secretary: Connection
) -> None:
    rng = random.Random(24)
    pairs = [(a, b) for a in TEAMS for b in TEAMS if a != b]
    keys = [f"K{nth}" for nth in range(len(pairs))]
    league.sql("DELETE FROM callout.fixture", OWNER)
    league.sql("DELETE FROM callout.team", OWNER)
    list_of = [Fixture(key, *pair) for key, pair in zip(keys, pairs, strict=True)]
    add_fixtures(secretary, league.season, list_of)
    games = [add_book(league, nth, rng.choice(keys), rng) for nth in range(1, 16)]
    games.append(add_book(league, 16, keys[0], rng, official=False))
    check(league, secretary)
    changes = (
        "UPDATE callout.result SET home = home + 7, over = true WHERE game = '\\x{game}'",
        "UPDATE callout.game SET fixture = NULL WHERE id = '\\x{game}'",
        "UPDATE callout.game SET fixture = (SELECT id FROM callout.fixture WHERE key = '{key}') "
        "WHERE id = '\\x{game}'",
        "UPDATE callout.fixture SET home = guest, guest = home WHERE key = '{key}'",
    )
    for nth in range(12):
        change = changes[nth % len(changes)]
        league.sql(change.format(game=rng.choice(games), key=rng.choice(keys)), "secretary")
        check(league, secretary)
    game = games[0]
    league.sql(f"UPDATE callout.game SET official = false WHERE id = '\\x{game}'", OWNER)
    check(league, secretary)
    league.sql("DELETE FROM callout.result WHERE get_byte(game, 15) % 3 > 0", "secretary")
    check(league, secretary)


def test_which_version_counts_is_what_is_summed(league: League, secretary: Connection) -> None:
    game = add_book(league, 1, "G1", random.Random(1))
    league.sql(f"SET session_replication_role = replica; INSERT INTO callout.version "
               f"(game, version, header, start, uncounted) VALUES ('\\x{game}', 2, '', '', false); "
               f"SET session_replication_role = origin; INSERT INTO callout.result "
               f"(game, version, entries, over, period, home, guest) "
               f"VALUES ('\\x{game}', 2, 9, true, 4, 70, 60)")  # fmt: skip
    catch_up(secretary)
    league.sql("UPDATE callout.game SET counts = 2", "secretary")
    catch_up(secretary)
    assert rows(answers.table(secretary, league.season), "scored") == [(70,), (60,)]


def test_a_rebuild_finds_a_sum_that_was_changed_and_puts_it_right(
    league: League, secretary: Connection
) -> None:
    league.send(parcel_of(ended(table_of(*CALLS)).journal))
    catch_up(secretary)
    for order in ("UPDATE callout.pair_sum SET scored = 99",
                  "UPDATE callout.player_sum SET points = 99 WHERE number = '14'",
                  "DELETE FROM callout.player_sum WHERE number = '14'"):  # fmt: skip
        league.sql(order)
        (made,) = rebuild(secretary)
        assert (made.differing, made.sums > 0) == ([], True), order
        (made,) = rebuild(secretary)
        assert (made.differing, made.sums) == ([], 0)
    assert rows(answers.leaders(secretary, league.season), "number", "points")[0] == ("14", 3)


def test_no_role_but_the_secretary_changes_a_sum(league: League, secretary: Connection) -> None:
    league.send(parcel_of(ended(table_of(*CALLS)).journal))
    catch_up(secretary)
    before = league.sql("SELECT * FROM callout.pair_sum ORDER BY 1")
    for role in ("gym_7", "reader"):
        for order in ("DELETE FROM callout.pair_sum", "INSERT INTO callout.stale VALUES (1)",
                      "SELECT callout.check_sums()", "DELETE FROM callout.stale"):  # fmt: skip
            with pytest.raises(AssertionError, match="permission denied"):
                league.sql(order, role)
    assert league.sql("SELECT * FROM callout.pair_sum ORDER BY 1") == before


def add(connection: Connection, parcel: Parcel) -> None:
    """Adds a game as any program does, to a schema of any age."""
    connection.execute("INSERT INTO callout.game (id) VALUES (%s)", (parcel.game,))
    connection.execute(
        "INSERT INTO callout.version (game, version, header, start) VALUES (%s, 1, %s, %s)",
        (parcel.game, parcel.header, parcel.start),
    )
    for row in parcel.rows:
        connection.execute(ADD, (parcel.game, *row))


def test_a_schema_without_sums_is_upgraded_with_its_games_in_it(server: Postgres) -> None:
    """The results of older programs said nothing of an approval; that of an approved book does."""
    database = server.database()
    with connected(server.address(OWNER, database)) as owner:
        migrate(owner, known()[:3])
    server.sql("DO $$ BEGIN CREATE ROLE gym_7 LOGIN IN ROLE callout_table; "
               "CREATE ROLE secretary LOGIN IN ROLE callout_secretary; "
               "EXCEPTION WHEN duplicate_object THEN NULL; END $$")  # fmt: skip
    with connected(server.address("secretary", database)) as secretary:
        season = found(secretary, "Harbour League", "2026-27", "nfhs-2026", FIBA, False)
        list_of = [Fixture(key, "Harbour Kites", "Quarry Foxes") for key in ("G1", "G2")]
        add_fixtures(secretary, season, list_of)
        open_book, approved = ended(table_of(*CALLS)), ended(table_of(*CALLS))
        approved.say("officials approve", "yes")
        with connected(server.address("gym_7", database)) as gym:
            for fixture, table in enumerate((open_book, approved), start=1):
                add(gym, parcel_of(table.journal))
                # Two fixtures fit, and nobody has said which one it is.
                secretary.execute("UPDATE callout.game SET fixture = %s, season = %s "
                                  "WHERE fixture IS NULL", (fixture, season))  # fmt: skip
        secretary.execute(
            "INSERT INTO callout.result (game, version, entries, over, period, home, guest) "
            "SELECT game, version, 9, true, 4, 4, 3 FROM callout.version"
        )
        secretary.execute("UPDATE callout.version SET uncounted = false")
        with connected(server.address(OWNER, database)) as owner:
            assert [each.number for each in migrate(owner)] == [4]
            assert migrate(owner) == []
        assert rows(answers.table(secretary, season), "team", "points", "scored") == [
            ("Harbour Kites", 4, 8), ("Quarry Foxes", 2, 6),
        ]  # fmt: skip
        assert catch_up(secretary) == 1, "the approved book alone"
        assert rows(answers.missing(secretary, season), "fixture", "what") == [
            ("G1", "no signature")
        ]
        assert [made.sums for made in rebuild(secretary)] == [0]
