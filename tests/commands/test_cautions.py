"""Each caution is told where people meet it: once, and without names where there are none."""

from __future__ import annotations

import pytest

from callout.commands.cautions import AT_THE_TABLE, tell_names
from callout.commands.check import check
from callout.table.setup.roster import Player
from callout.table.setup.setup import Listed, Setup

FOXES = Listed("Foxes", (Player("3"),))


def test_names_are_told_and_numbers_are_not(capsys: pytest.CaptureFixture[str]) -> None:
    named = Listed("Kites", (Player("4", "Ada Moss"), Player("5", "Bo Reed"), Player("7")))
    tell_names("x.game", Setup("nfhs-2026", named, FOXES))
    tell_names("x.game", Setup("nfhs-2026", FOXES, FOXES))
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.startswith("x.game: it holds 2 names, which may be children's")
    assert told.err.count("\n") == 1


def test_cords_hearing_and_lightning_are_told_where_the_table_is_set_up(
    capsys: pytest.CaptureFixture[str],
) -> None:
    check(checks=())
    told = capsys.readouterr().out
    assert [line.split()[2] for line in told.splitlines() if line.startswith("see to")] == [
        f"{what}:" for what, _ in AT_THE_TABLE
    ]
    assert all(told.count(text) == 1 for _, text in AT_THE_TABLE)
