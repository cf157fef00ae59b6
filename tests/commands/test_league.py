"""`callout send` and `callout league`, as they are typed, against a real server."""

from __future__ import annotations

import csv
import io
import json
import os
import subprocess
import sys
import time
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from callout.commands import league as command
from callout.commands import send
from callout.commands.league import Asked
from callout.commands.new import new
from callout.edges.league.answers import Answer
from callout.edges.league.sent import confirmed, path_of
from callout.errors import CalloutError
from callout.table.book.journal import Journal
from callout.table.setup.setup import Setup, read_setup
from tests.edges.league.conftest import ended
from tests.faults.playing import Live
from tests.patience import HANG_S
from tests.postgres import OWNER, Postgres
from tests.table.book.test_journal import tamper
from tests.table.play import SETUP, Table
from tests.trace import addresses, strace

PYTHON = (sys.executable, "-m", "callout")


def kept(path: Path, *calls: str, setup: Setup = SETUP) -> Path:
    """A game's file."""
    with Journal.create(path, setup) as journal:
        Table(setup, journal).say("start clock", *calls)
    return path


# --- without a server -----------------------------------------------------------------------------


def test_a_game_without_a_league_says_what_is_needed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert send.run([kept(tmp_path / "x.game"), tmp_path / "none.game"]) == 1
    told = capsys.readouterr().err
    assert "no league's server is known: --to postgresql://" in told
    assert "none.game: there is no such file; expected a game's file" in told


@pytest.mark.parametrize(
    ("what", "asked", "expected"),
    [
        ("tables", Asked(), "expected one of table, leaders"),
        ("table", Asked(), "expected the league's server: --on"),
    ],
)
def test_a_wrong_word_is_told_before_anything_is_asked(
    what: str, asked: Asked, expected: str
) -> None:
    with pytest.raises(CalloutError, match=expected):
        command.run(what, "", asked)


def test_no_cell_of_csv_is_a_formula() -> None:
    """Source: OWASP, "CSV Injection"."""
    assert [command._cell(each) for each in ("=1+1", "@x", "-5 B", -5, None, "Kites")] == [
        "'=1+1", "'@x", "'-5 B", -5, "", "Kites",
    ]  # fmt: skip


def test_a_table_is_folded_and_never_cut_short(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    name = "Basketball Community of the Northern Shore"
    row = (1, name, 22, 15, 7, 37, 1510, 1400, 110, "between.difference")
    heads = ("rank", "team", "played", "won", "lost", "points", "scored", "conceded", "difference",
             "decided by")  # fmt: skip
    monkeypatch.setenv("COLUMNS", "80")
    for terminal in ("1", ""):
        monkeypatch.setenv("FORCE_COLOR", terminal)
        command._print(Answer("Table", heads, (row,)))
        told = capsys.readouterr().out
        assert "…" not in told
        letters = "".join(told.split())
        for text in (*heads[2:6], *map(str, row[2:9])):
            assert text in letters, text
    assert name in told, "in a file there is room"


# --- with a server --------------------------------------------------------------------------------


@pytest.mark.thorough
def test_a_season_from_its_fixtures_to_its_table(
    server: Postgres, database: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    on = server.address("secretary", database)
    fixtures = tmp_path / "a.csv"
    fixtures.write_text("game,home,guest\n1,Harbour Kites,Quarry Foxes\n", encoding="utf-8")
    assert command.run("fixtures", on, Asked((str(fixtures),))) == 0
    setup = replace(SETUP, league=server.address("gym_7", database), fixture="1")
    game = tmp_path / "x.game"
    with Journal.create(game, setup) as journal:
        table = Table(setup, journal)
        table.say("start clock", "home two number five")
        ended(table)
    assert send.run([game]) == 0
    assert send.run([game]) == 0
    told = capsys.readouterr().out
    assert "11 entries sent to 127.0.0.1, 11 there in all; mark" in told
    assert "nothing new to send, 127.0.0.1 has all 11 already" in told
    assert confirmed(game, setup.league).entries == 11

    assert command.run("table", on, Asked(form="json")) == 0
    (first, second) = json.loads(capsys.readouterr().out)
    assert (first["team"], first["points"], first["difference"]) == ("Harbour Kites", 2, 2)
    assert (second["rank"], second["lost"]) == (2, 1)
    assert command.run("leaders", on, Asked(("points",), form="csv")) == 0
    assert list(csv.reader(io.StringIO(capsys.readouterr().out))) == [
        ["team", "number", "points", "games", "a game"],
        ["Harbour Kites", "5", "2", "1", "2.0"],
    ]
    for word in ("discipline", "missing", "live"):
        assert command.run(word, on, Asked()) == 0
    assert "Missing" in capsys.readouterr().out
    assert command.run("rebuild", on, Asked()) == 0
    assert "1 book of 11 entries played again" in capsys.readouterr().out
    assert command.run("strike", on, Asked()) == 0
    assert command.run("count", on, Asked((server.sql(
        "SELECT encode(id, 'hex') FROM callout.game", database), "1"))) == 0  # fmt: skip
    for word, asked, expected in (
        ("count", Asked(("ff", "7")), "no version 7"),
        ("count", Asked(("zz", "1")), "expected a game's id"),
        ("leaders", Asked(("luck",)), "expected one of points"),
        ("fixtures", Asked(), "expected a file of fixtures"),
        ("found", Asked(("x",)), "expected two names"),
        ("found", Asked(("x", "y"), profile="x"), "--profile: expected"),
        ("table", Asked(season="x"), "no season 'x'"),
    ):
        with pytest.raises(CalloutError, match=expected):
            command.run(word, on, asked)


@pytest.mark.thorough
def test_what_is_unsent_is_kept_and_shown(
    server: Postgres, database: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    game, to = kept(tmp_path / "x.game"), server.address("gym_7", database)
    assert send.run([game], to) == 0
    with Journal.open(game) as journal:
        Table(SETUP, journal).say("home two number five", "guest foul eight")
    server.kill()
    try:
        assert send.run([game], to) == 1
    finally:
        server.start()
    told = capsys.readouterr().err
    assert f"{game}: not sent: 2 of 3 entries" in told
    assert "127.0.0.1 cannot be reached" in told
    assert confirmed(game, to).entries == 1
    assert send.run([game], to) == 0
    assert "2 entries sent" in capsys.readouterr().out
    path_of(game).unlink()
    assert send.run([game], to) == 0
    assert "has all 3 already" in capsys.readouterr().out


@pytest.mark.thorough
def test_a_clock_a_year_off_is_told_and_loses_nothing(
    server: Postgres, database: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    game, to = kept(tmp_path / "x.game"), server.address("gym_7", database)
    assert send.run([game], to, now_s=lambda: time.time() - 365 * 86_400) == 0
    assert "clock is 365 days behind the server's" in capsys.readouterr().err
    row = server.sql("SELECT round(clock_off_s / 86400), program FROM callout.sending "
                     "ORDER BY id DESC LIMIT 1", database)  # fmt: skip
    assert row == "-365|0.1.0"


@pytest.mark.thorough
def test_a_file_that_was_changed_is_refused_before_it_is_sent(
    server: Postgres, database: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    game = kept(tmp_path / "x.game", "home two number five")
    tamper(game, "UPDATE entry SET fields = replace(fields, '2', '3') WHERE id = 2")
    before = server.sql("SELECT count(*) FROM callout.game", database)
    assert send.run([game], server.address("gym_7", database)) == 1
    assert "entry 2 is not as it was recorded" in capsys.readouterr().err
    assert server.sql("SELECT count(*) FROM callout.game", database) == before


@pytest.mark.thorough
def test_it_reaches_the_server_and_nothing_else(
    server: Postgres, database: str, tmp_path: Path
) -> None:
    game, trace = kept(tmp_path / "x.game"), tmp_path / "trace"
    to = server.address("gym_7", database)
    done = subprocess.run(
        strace(trace, *PYTHON, "send", str(game), "--to", to), capture_output=True, text=True,
        timeout=HANG_S,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    reached = {each.place for each in addresses(trace.read_text(errors="replace")) if each.sends}
    assert reached == {f"127.0.0.1:{server.port}"}


@pytest.mark.thorough
def test_a_live_game_sends_itself_at_the_end_of_a_period(
    server: Postgres, database: str, tmp_path: Path
) -> None:
    setup, game = tmp_path / "x.setup", tmp_path / "x.game"
    to = server.address("gym_8", database)
    setup.write_text(f"profile: nfhs-2026\nhome: Harbour Kites | 4 5\nguest: Quarry Foxes | 8\n"
                     f"league: {to}\n", encoding="utf-8")  # fmt: skip
    live = Live(game, "--setup", str(setup), environment={**os.environ})
    try:
        live.type("start clock\nhome two number five\nend period\nyes\n")
        live.wait_for(4)
    finally:
        live.end()
    with Journal.read(game) as journal:
        count = len(journal.entries())
    assert confirmed(game, to).entries == count
    sent = server.sql("SELECT count(*) FROM callout.entry e JOIN callout.game g ON g.id = e.game "
                      "WHERE g.sender = 'gym_8'", database)  # fmt: skip
    assert int(sent) == count
    assert "not sent" not in live.errors


@pytest.mark.thorough
def test_todays_game_is_picked_from_the_server(
    server: Postgres, database: str, tmp_path: Path
) -> None:
    fixtures = tmp_path / "a.csv"
    fixtures.write_text(f"game,date,home,guest,home numbers\nT1,{date.today()} 23:59,A,B,4 5\n",
                        encoding="utf-8")  # fmt: skip
    on = server.address("secretary", database)
    assert command.run("fixtures", on, Asked((str(fixtures),))) == 0
    address, path = server.address("gym_7", database), tmp_path / "x.setup"
    assert new(path, lambda _what, usual: usual, address) == 0
    by_command = subprocess.run(
        [*PYTHON, "new", str(tmp_path / "y.setup"), "--fixtures", address], input="1\n\n\n",
        text=True, capture_output=True, timeout=HANG_S,
    )  # fmt: skip
    # Which game, B's numbers, and that the sheet's other names come later.
    assert by_command.returncode == 0, by_command.stderr
    assert (tmp_path / "y.setup").read_text() == path.read_text()
    setup = read_setup(path)
    assert (setup.profile, setup.league, setup.fixture) == ("nfhs-2026", address, "T1")
    assert setup.home.side().numbers == ("4", "5")


@pytest.mark.thorough
def test_a_backup_is_restored_with_every_game(
    server: Postgres, database: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Source: PostgreSQL, "SQL Dump": pg_dump, and psql to restore."""
    game = kept(tmp_path / "x.game", "home two number five")
    assert send.run([game], server.address("gym_7", database)) == 0
    dump = [str(server.bin / "pg_dump"), server.address(OWNER, database)]
    done = subprocess.run(dump, capture_output=True, text=True, timeout=HANG_S)
    assert done.returncode == 0, done.stderr
    other = server.database()
    server.sql(done.stdout, other)
    whole = "SELECT count(*), md5(string_agg(e::text, '' ORDER BY e)) FROM callout.entry e"
    assert server.sql(whole, other) == server.sql(whole, database)
    capsys.readouterr()
    assert send.run([game], server.address("gym_7", other)) == 0
    assert "has all 2 already" in capsys.readouterr().out
    with pytest.raises(AssertionError, match="never changed or deleted"):
        server.sql("DELETE FROM callout.entry", other)
    assert command.run("rebuild", server.address("secretary", other), Asked()) == 0
    assert "0 results differed" in capsys.readouterr().out
