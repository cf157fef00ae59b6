"""Sending games to a real PostgreSQL: nothing is lost, doubled, forged or overwritten."""

from __future__ import annotations

import random
import threading
from dataclasses import replace
from typing import TYPE_CHECKING

import psycopg
import pytest

from callout.edges.league.server import LeagueError, connected
from callout.league.parcel import Parcel, parcel_of, read_parcel
from callout.table.book.chain import next_hash
from callout.table.setup.roster import Player
from callout.table.setup.setup import Listed
from tests.edges.league.conftest import League, ended, played, table_of
from tests.table.play import SETUP

if TYPE_CHECKING:
    from callout.edges.league.server import Connection

pytestmark = pytest.mark.thorough

CALLS = ("home two number five", "guest foul eight", "guest three number fourteen",
         "home foul four", "undo that")  # fmt: skip
CALL, FIELDS, OWN = 1, 2, 8


def first(parcel: Parcel, count: int) -> Parcel:
    """The same game when it had only its first entries."""
    return replace(parcel, rows=parcel.rows[:count])


def forged(parcel: Parcel, number: int, column: int, value: object) -> Parcel:
    """The game with one column changed, and nothing else."""
    rows = list(parcel.rows)
    row = list(rows[number - 1])
    row[column] = value
    rows[number - 1] = tuple(row)
    return replace(parcel, rows=tuple(rows))


def chained_anew(parcel: Parcel) -> Parcel:
    """The game with every hash computed again, as who may write the file can do."""
    former, rows = parcel.start, []
    for row in parcel.rows:
        own = next_hash(parcel.game, former, row[:7])
        rows.append((*row[:7], former, own))
        former = own
    return replace(parcel, rows=tuple(rows))


def test_every_entry_arrives_and_is_read_as_it_was_recorded(
    league: League, secretary: Connection
) -> None:
    parcel = played(*CALLS)
    sent = league.send(parcel)
    assert (sent.version, sent.added, sent.beside) == (1, len(parcel.rows), False)
    (head,) = secretary.execute("SELECT header, start FROM callout.version").fetchall()
    rows = secretary.execute(
        "SELECT number, call, fields, source, left_tenths, wall_ms, events, former, hash "
        "FROM callout.entry ORDER BY number"
    ).fetchall()
    assert Parcel(parcel.game, head[0], bytes(head[1]), tuple(rows), parcel.people) == parcel
    read_parcel(parcel)


def test_sent_again_in_parts_and_in_any_order_it_stays_one_game(league: League) -> None:
    parcel, rng = played(*CALLS), random.Random(24)
    for count in rng.choices(range(len(parcel.rows) + 1), k=20):
        league.send(first(parcel, count))
    league.send(parcel)
    assert league.entries() == [(1, number) for number in range(1, len(parcel.rows) + 1)]
    before = league.sql("SELECT count(*) FROM callout.sending")
    for count in (len(parcel.rows), 2, 0):
        assert league.send(first(parcel, count)).added == 0
    assert league.sql("SELECT count(*) FROM callout.sending") == before


def test_two_machines_that_send_one_game_at_once_do_not_double_it(league: League) -> None:
    parcel, errors = played(*CALLS), []

    def go_on() -> None:
        try:
            for count in range(len(parcel.rows) + 1):
                league.send(first(parcel, count))
        except Exception as error:
            errors.append(error)

    machines = [threading.Thread(target=go_on) for _ in range(3)]
    for each in machines:
        each.start()
    for each in machines:
        each.join()
    assert errors == []
    assert league.entries() == [(1, number) for number in range(1, len(parcel.rows) + 1)]


def test_the_server_skips_an_entry_that_is_there_whoever_sends_it_twice(league: League) -> None:
    parcel = played(*CALLS)
    league.send(parcel)
    with connected(league.address()) as connection:
        query = (
            "INSERT INTO callout.entry (game, version, number, call, fields, source, left_tenths, "
            "wall_ms, events, former, hash) VALUES (%s, 1, %s, %s, %s, %s, %s, %s, %s, %s, %s)"
        )
        assert connection.execute(query, (parcel.game, *parcel.rows[1])).rowcount == 0
    assert len(league.entries()) == len(parcel.rows)


# --- what is forged -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("column", "value"),
    [(1, "undo"), (2, "{}"), (3, "clock"), (4, 1), (5, 1), (6, "[]"), (7, bytes(32)),
     (8, bytes(32))],
)  # fmt: skip
def test_a_changed_column_is_refused_and_nothing_of_the_game_is_there(
    league: League, column: int, value: object
) -> None:
    parcel = forged(played(*CALLS), 3, column, value)
    with pytest.raises(LeagueError, match=r"refuses: entry 3 (is not as it was|does not follow)"):
        league.send(parcel)
    assert league.sql("SELECT count(*) FROM callout.game") == "0"
    assert "entry 3" in league.server.log()


def test_an_entry_left_out_is_refused(league: League) -> None:
    parcel = played(*CALLS)
    with pytest.raises(LeagueError, match="entry 4 does not follow the one before it"):
        league.send(replace(parcel, rows=(*parcel.rows[:2], *parcel.rows[3:])))
    assert league.entries() == []


def test_a_changed_header_is_refused(league: League) -> None:
    parcel = played(*CALLS)
    changed = replace(parcel, header=parcel.header.replace("Kites", "Hawks"))
    with pytest.raises(LeagueError, match="the header is not as it was recorded"):
        league.send(changed)
    assert league.sql("SELECT count(*) FROM callout.game") == "0"


def test_a_book_chained_anew_is_kept_beside_the_first_and_not_over_it(league: League) -> None:
    parcel = played(*CALLS)
    league.send(parcel)
    other = chained_anew(forged(parcel, 2, FIELDS, parcel.rows[1][FIELDS].replace("2", "3")))
    sent = league.send(other)
    assert (sent.version, sent.beside) == (2, True)
    count = len(parcel.rows)
    assert league.entries() == [(v, n) for v in (1, 2) for n in range(1, count + 1)]
    kept = league.sql("SELECT encode(hash, 'hex') FROM callout.entry WHERE version = 1 "
                      "ORDER BY number")  # fmt: skip
    assert kept.split() == [row[OWN].hex() for row in parcel.rows]
    assert league.send(other).added == 0
    assert league.send(parcel).version == 1
    assert league.sql("SELECT counts FROM callout.game") == "1", "the secretary decides"


def test_a_game_changed_after_its_end_is_kept_beside_it(league: League) -> None:
    league.sql("UPDATE callout.league SET grace_minutes = 0")
    table = ended(table_of("home two number five"))
    assert league.send(parcel_of(table.journal)).version == 1
    table.say("undo that")
    later = parcel_of(table.journal)
    sent = league.send(later)
    assert (sent.version, sent.added, sent.beside) == (2, len(later.rows), True)
    assert league.send(later).added == 0


def test_within_the_grace_it_is_put_right_in_place(league: League) -> None:
    table = ended(table_of("home two number five"))
    league.send(parcel_of(table.journal))
    assert league.sql("SELECT closed_entry FROM callout.version") == str(table.game.entry)
    table.say("undo that")
    assert league.send(parcel_of(table.journal)).version == 1
    assert league.sql("SELECT closed_entry IS NULL FROM callout.version") == "t"


def test_the_hash_in_sql_is_that_of_the_journal_for_any_text(league: League) -> None:
    """Source: callout/table/book/chain.py; RFC 8259, section 7, for what JSON escapes."""
    odd = [
        "",
        "a",
        '"',
        "\\",
        "/",
        "\b\f\n\r\t",
        "\x01\x1f\x7f",
        "é ß 中 😀",
        "\u2028\u202e",
        "'; --",
    ]
    with connected(league.address("owner")) as connection:
        for nth, text in enumerate(odd):
            row = (nth + 1, "call", text, text, -nth, 2**53 + nth, text)
            expected = next_hash(bytes(16), bytes(32), row)
            (found,) = connection.execute(
                "SELECT callout.entry_hash(%s, %s, %s::integer, %s, %s, %s, %s::integer, "
                "%s::bigint, %s)", (bytes(16), bytes(32), *row),
            ).fetchone() or (b"",)  # fmt: skip
            assert bytes(found) == expected, text


# --- who may what ---------------------------------------------------------------------------------


def test_another_roles_game_is_refused_and_logged(league: League) -> None:
    parcel = played(*CALLS)
    league.send(first(parcel, 2))
    with pytest.raises(LeagueError, match="another role than gym_8 sent this game first"):
        league.send(parcel, "gym_8")
    assert league.entries() == [(1, 1), (1, 2)]
    assert "gym_8 ERROR:  another role than gym_8" in league.server.log()
    league.sql("UPDATE callout.game SET sender = 'gym_8'", "secretary")
    assert league.send(parcel, "gym_8").added == len(parcel.rows) - 2


def test_a_table_reads_its_own_games_alone(league: League) -> None:
    league.send(played(*CALLS), "gym_8")
    for name in ("game", "version", "entry", "person", "sending"):
        assert league.sql(f"SELECT count(*) FROM callout.{name}", "gym_7") == "0", name
        assert int(league.sql(f"SELECT count(*) FROM callout.{name}", "gym_8")), name
        assert int(league.sql(f"SELECT count(*) FROM callout.{name}", "secretary")), name


@pytest.mark.parametrize("role", ["secretary", "reader", "stranger"])
def test_a_role_that_may_not_send_is_told_so(league: League, role: str) -> None:
    with pytest.raises(LeagueError, match="this role has no right to do that"):
        league.send(played(*CALLS), role)
    assert league.sql("SELECT count(*) FROM callout.game") == "0"


FORBIDDEN = {
    "gym_7": [
        "UPDATE callout.entry SET source = 'x'",
        "DELETE FROM callout.entry",
        "TRUNCATE callout.entry",
        "UPDATE callout.game SET sender = 'gym_8'",
        "UPDATE callout.version SET closed_at = NULL",
        "INSERT INTO callout.game (id, sender) VALUES (sha256('')::bytea, 'gym_8')",
        "DELETE FROM callout.person",
        "SELECT callout.strike_names(NULL)",
        "INSERT INTO callout.result (game, version, entries, over, period, home, guest) "
        "SELECT id, 1, 1, true, 4, 99, 0 FROM callout.game",
        "INSERT INTO callout.team (season, name) VALUES (1, 'x')",
        "ALTER TABLE callout.entry DISABLE TRIGGER ALL",
        "SET session_replication_role = replica",
        "SET ROLE secretary",
        "CREATE TABLE callout.mine (x integer)",
    ],
    "secretary": [
        "UPDATE callout.entry SET source = 'x'",
        "DELETE FROM callout.entry",
        "UPDATE callout.person SET name = 'x'",
        "UPDATE callout.season SET struck_at = NULL",
    ],
    "reader": ["SELECT * FROM callout.person", "SELECT * FROM callout.entry",
               "DELETE FROM callout.result"],
    "owner": ["UPDATE callout.entry SET source = 'x'", "DELETE FROM callout.entry",
              "TRUNCATE callout.entry CASCADE"],
}  # fmt: skip


@pytest.mark.parametrize(
    ("role", "order"), [(role, each) for role, orders in FORBIDDEN.items() for each in orders]
)
def test_what_a_role_may_not_do_is_refused(league: League, role: str, order: str) -> None:
    league.send(played(*CALLS))
    before = league.sql("SELECT count(*), md5(string_agg(e::text, '')) FROM callout.entry e")
    with (
        psycopg.connect(league.address(role), autocommit=True) as connection,
        pytest.raises(psycopg.Error),
    ):
        connection.execute(order.encode())
    assert before == league.sql(
        "SELECT count(*), md5(string_agg(e::text, '')) FROM callout.entry e"
    )


def test_what_a_table_may_write_into_anothers_game_is_nothing(league: League) -> None:
    parcel = played(*CALLS)
    league.send(first(parcel, 2), "gym_8")
    add = (
        "INSERT INTO callout.entry (game, version, number, call, fields, source, left_tenths, "
        "wall_ms, events, former, hash) VALUES (%s, 1, %s, %s, %s, %s, %s, %s, %s, %s, %s)"
    )
    orders: list[tuple[str, tuple[object, ...]]] = [
        (add, (parcel.game, *parcel.rows[2])),
        (add, (parcel.game, *parcel.rows[1])),
        ("INSERT INTO callout.version (game, version, header, start) VALUES (%s, 2, %s, %s)",
         (parcel.game, parcel.header, parcel.start)),
        ("INSERT INTO callout.person (game, side, number) VALUES (%s, 'home', '99')",
         (parcel.game,)),
        ("INSERT INTO callout.sending (game, version, entries, clock_off_s, program) "
         "VALUES (%s, 1, 1, 0, 'x')", (parcel.game,)),
    ]  # fmt: skip
    for order, values in orders:
        with (
            psycopg.connect(league.address("gym_7"), autocommit=True) as connection,
            pytest.raises(psycopg.Error, match=r"another role|row-level security"),
        ):
            connection.execute(order.encode(), values)
    assert league.entries() == [(1, 1), (1, 2)]


# --- names ----------------------------------------------------------------------------------------

NAMED = replace(SETUP, home=Listed("Harbour Kites", (Player("5", "Ada Moss"), Player("7"))))


def test_initials_are_sent_and_no_name_unless_league_and_table_want_it(league: League) -> None:
    league.send(played(setup=NAMED), names=True)
    assert league.sql("SELECT number, initials, name FROM callout.person WHERE side = 'home' "
                      "ORDER BY 1") == "5|A. M.|\n7||"  # fmt: skip
    league.sql("UPDATE callout.league SET shows_names = true")
    league.send(played(setup=NAMED))
    league.send(played(setup=NAMED), names=True)
    names = "SELECT count(*) FROM callout.person WHERE name = 'Ada Moss'"
    # The second of the three has no fixture left, so nobody says that its names are wanted.
    assert league.sql(names) == "0"
    league.sql("DELETE FROM callout.person; UPDATE callout.game SET season = 1")
    league.sql("INSERT INTO callout.person (game, side, number, name) "
               "SELECT id, 'home', '5', 'Ada Moss' FROM callout.game LIMIT 1")  # fmt: skip
    assert league.sql(names) == "1"


def test_names_are_struck_in_one_step_and_none_comes_back(
    league: League, secretary: Connection
) -> None:
    league.sql("UPDATE callout.league SET shows_names = true")
    parcel = played(setup=NAMED)
    league.send(first(parcel, 0), names=True)
    assert league.sql("SELECT count(name) FROM callout.person") == "1"
    assert secretary.execute("SELECT callout.strike_names(%s)", (league.season,)).fetchone() == (1,)
    league.send(parcel, names=True)
    league.sql("DELETE FROM callout.person")
    league.send(replace(parcel, rows=chained_anew(forged(parcel, 1, 3, "x")).rows), names=True)
    whole = league.sql("SELECT count(*), count(name), count(initials) FROM callout.person")
    assert whole.partition("|")[2] == "0|0"
    assert int(whole.partition("|")[0]) > 0
    everything = league.server.bin / "pg_dump"
    assert "Moss" not in _dump(str(everything), league.address("owner"))


def _dump(program: str, address: str) -> str:
    import subprocess

    done = subprocess.run([program, "-d", address], capture_output=True, text=True, timeout=60)
    assert done.returncode == 0, done.stderr
    assert "Harbour Kites" in done.stdout
    return done.stdout


ODD = "Kites'); DROP TABLE callout.entry; --"


def test_sql_in_a_name_is_a_name(league: League) -> None:
    setup = replace(SETUP, home=Listed(ODD, (Player("5", ODD),)))
    parcel = played("home two number five", setup=setup)
    league.send(parcel)
    assert len(league.entries()) == len(parcel.rows)
    assert ODD in league.sql("SELECT header FROM callout.version")
