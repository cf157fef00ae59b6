"""A connection to a real server: what is refused is said in plain words, and nothing is sent."""

from __future__ import annotations

import os
import socket
import threading
from pathlib import Path

import pytest

from callout.edges.league.migrations import Migration, check_schema, known, migrate
from callout.edges.league.server import LeagueError, UnreachableError, connected
from tests.edges.league.conftest import League, played
from tests.postgres import OWNER, Postgres

pytestmark = pytest.mark.thorough


def test_a_server_that_does_not_answer_can_be_tried_again() -> None:
    with socket.socket() as closed:
        closed.bind(("127.0.0.1", 0))
        address = f"postgresql://a@127.0.0.1:{closed.getsockname()[1]}/hoops"
        with pytest.raises(UnreachableError, match=r"127\.0\.0\.1 cannot be reached"), \
                connected(address):  # fmt: skip
            raise AssertionError


def test_tls_is_used_and_the_certificate_is_checked(
    league: League, monkeypatch: pytest.MonkeyPatch
) -> None:
    root = league.server.folder / "root.crt"
    address = league.address("gym_7").replace("127.0.0.1", "localhost")
    good = f"{address}?sslmode=verify-full&sslrootcert={root}"
    with connected(good) as connection:
        query = "SELECT ssl FROM pg_stat_ssl WHERE pid = pg_backend_pid()"
        assert connection.execute(query).fetchone() == (True,)
    # The certificate is for the name `localhost`, not for the number.
    with pytest.raises(LeagueError, match="certificate is for another name, so nothing was sent"), \
            connected(good.replace("@localhost", "@127.0.0.1")):  # fmt: skip
        raise AssertionError
    other = "/etc/ssl/certs/ca-certificates.crt"
    if os.path.exists(other):
        with pytest.raises(LeagueError, match="does not prove who it is, so nothing was sent"), \
                connected(f"{address}?sslmode=verify-full&sslrootcert={other}"):  # fmt: skip
            raise AssertionError


def test_a_server_without_tls_gets_nothing() -> None:
    """Source: PostgreSQL, "Frontend/Backend Protocol", section "SSL Session Encryption": the first
    message asks for TLS, and the answer N says that there is none."""
    took: list[bytes] = []
    with socket.create_server(("127.0.0.1", 0)) as listening:

        def refuse() -> None:
            peer, _ = listening.accept()
            with peer:
                took.append(peer.recv(1024))
                peer.sendall(b"N")
                took.append(peer.recv(1024))

        thread = threading.Thread(target=refuse)
        thread.start()
        address = f"postgresql://gym_7@localhost:{listening.getsockname()[1]}/hoops"
        with pytest.raises(LeagueError, match="it does not speak TLS, so nothing was sent"), \
                connected(f"{address}?sslmode=verify-full&sslrootcert=/etc/hosts"):  # fmt: skip
            raise AssertionError
        thread.join()
    assert took == [bytes.fromhex("0000000804d2162f"), b""]


def test_a_wrong_password_is_said_and_where_it_belongs(
    league: League, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    league.sql("DROP ROLE IF EXISTS locked; CREATE ROLE locked LOGIN PASSWORD 'right' "
               "IN ROLE callout_table")  # fmt: skip
    file = tmp_path / "pgpass"
    monkeypatch.setenv("PGPASSFILE", str(file))
    with pytest.raises(LeagueError, match=r"asks for a password; it belongs into ~/\.pgpass"), \
            connected(league.address("locked")):  # fmt: skip
        raise AssertionError
    for word, allowed in (("wrong", False), ("right", True)):
        file.write_text(f"127.0.0.1:*:*:locked:{word}\n")
        file.chmod(0o600)
        if allowed:
            assert league.send(played(), "locked").version == 1
        else:
            with pytest.raises(LeagueError, match="the password is wrong"), \
                    connected(league.address("locked")):  # fmt: skip
                raise AssertionError
    league.sql("DELETE FROM callout.sending", "owner")


def test_a_database_without_the_tables_is_told(server: Postgres) -> None:
    name = server.database()
    with pytest.raises(LeagueError, match="no league's tables are there"), \
            connected(server.address(OWNER, name)) as connection:  # fmt: skip
        check_schema(connection)


# --- migrations -----------------------------------------------------------------------------------


def test_migrations_are_numbered_without_gaps() -> None:
    assert [each.number for each in known()] == list(range(1, len(known()) + 1))


def test_migrations_are_applied_once_and_by_one_program_at_a_time(server: Postgres) -> None:
    name, done, errors = server.database(), [], []

    def go() -> None:
        try:
            with connected(server.address(OWNER, name)) as connection:
                done.append(len(migrate(connection)))
        except Exception as error:
            errors.append(error)

    programs = [threading.Thread(target=go) for _ in range(2)]
    for each in programs:
        each.start()
    for each in programs:
        each.join()
    assert errors == []
    assert sorted(done) == [0, len(known())]


def test_a_schema_with_games_in_it_is_upgraded_and_a_failed_upgrade_changes_nothing(
    league: League,
) -> None:
    league.send(played("home two number five"))
    before = league.sql("SELECT md5(string_agg(e::text, '')) FROM callout.entry e")
    number = len(known()) + 1
    bad = Migration(number, "bad", "ALTER TABLE callout.game ADD more text; SELECT 1 / 0")
    with pytest.raises(LeagueError, match="division by zero"), \
            connected(league.address(OWNER)) as connection:  # fmt: skip
        migrate(connection, (*known(), bad))
    assert league.sql("SELECT max(number) FROM callout.migration") == str(number - 1)
    good = Migration(number, "good", "ALTER TABLE callout.game ADD more text NOT NULL DEFAULT 'x'")
    with connected(league.address(OWNER)) as connection:
        assert migrate(connection, (*known(), good)) == [good]
        assert migrate(connection, (*known(), good)) == []
        with pytest.raises(LeagueError, match=f"migration {number}, which this callout does not"):
            migrate(connection)
    assert league.sql("SELECT more FROM callout.game") == "x"
    assert league.sql("SELECT md5(string_agg(e::text, '')) FROM callout.entry e") == before
    league.send(played("home two number five"))
    league.sql(f"ALTER TABLE callout.game DROP more; DELETE FROM callout.migration "
               f"WHERE number = {number}")  # fmt: skip


def test_a_migration_that_was_changed_since_is_refused(league: League) -> None:
    changed = (*known()[:-1], Migration(known()[-1].number, "rights", "SELECT 1"))
    with pytest.raises(LeagueError, match="is not the one that the server applied"), \
            connected(league.address(OWNER)) as connection:  # fmt: skip
        migrate(connection, changed)


def test_an_older_client_is_told_and_sends_nothing(league: League) -> None:
    make = ("CREATE OR REPLACE FUNCTION callout.oldest_schema() RETURNS integer LANGUAGE sql "
            "IMMUTABLE SET search_path = pg_catalog, pg_temp AS 'SELECT {}'")  # fmt: skip
    league.sql(make.format(99))
    try:
        with pytest.raises(LeagueError, match="needs a newer callout: it takes schema 99"):
            league.send(played())
    finally:
        league.sql(make.format(1))
    assert league.sql("SELECT count(*) FROM callout.game") == "0"


def test_an_older_server_is_told(league: League) -> None:
    newest = known()[-1].number
    league.sql(f"UPDATE callout.migration SET number = -number WHERE number = {newest}")
    try:
        with pytest.raises(LeagueError, match=f"the league's server has schema {newest - 1}"):
            league.send(played())
    finally:
        league.sql(f"UPDATE callout.migration SET number = -number WHERE number = -{newest}")
