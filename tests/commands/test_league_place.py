"""`callout league fixtures` and `place`, as the secretary of a real server types them.

Source: common practice, no source: a list of fixtures may come after the first games.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from callout.commands import league as command
from callout.commands import send
from callout.commands.league import Asked
from callout.errors import CalloutError
from callout.league.parcel import parcel_of
from callout.table.book.journal import Journal
from tests.edges.league.conftest import ended
from tests.postgres import Postgres
from tests.table.play import FOXES, KITES, SETUP, Table

pytestmark = pytest.mark.thorough


def test_a_late_list_takes_games_in_and_the_rest_is_placed_by_hand(
    server: Postgres, database: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    on = server.address("secretary", database)
    misspelt = replace(SETUP, home=replace(FOXES, name="Quarry Fixes"), guest=KITES)
    ids = []
    for path, setup in ((tmp_path / "a.game", SETUP), (tmp_path / "b.game", misspelt)):
        with Journal.create(path, setup) as journal:
            table = Table(setup, journal)
            table.say("start clock", "home two number five")
            ended(table)
            ids.append(parcel_of(journal).game.hex())
        assert send.run([path], server.address("gym_7", database)) == 0
    fixtures = tmp_path / "late.csv"
    rows = "game,home,guest\nG1,Harbour Kites,Quarry Foxes\nG2,Quarry Foxes,Harbour Kites\n"
    fixtures.write_text(rows, encoding="utf-8")
    capsys.readouterr()
    assert command.run("fixtures", on, Asked((str(fixtures),))) == 0
    assert (
        "2 fixtures; games that had come before and are one of them: 1" in capsys.readouterr().out
    )
    assert command.run("missing", on, Asked()) == 0
    assert f"{ids[1]}" in capsys.readouterr().out
    assert command.run("place", on, Asked((ids[1], "G2"))) == 0
    told = capsys.readouterr().out
    assert told == (
        "Quarry Fixes - Harbour Kites is fixture G2 now, Quarry Foxes - Harbour Kites\n"
    )
    for values in ((), ("no hex", "G1"), (ids[0], "G1", "G2")):
        with pytest.raises(CalloutError, match="expected a game's id and a fixture"):
            command.run("place", on, Asked(values))
