"""A game read from its journal is the game that was kept."""

from __future__ import annotations

from callout.table.book.read import read_game
from tests.table.play import Table


def test_a_game_is_read_as_it_stands(table: Table) -> None:
    table.say("start clock", "tip home")
    table.wait(10)
    table.say("home two number five", "who knows")
    kept = read_game(table.journal)
    assert (kept.game, kept.entries) == (table.game, tuple(table.session.entries))
    assert [said.kind for said in kept.said][-1] == "unheard"
    assert kept.last_ms == table.time.wall_ms()
    # Eight minutes less ten seconds.
    assert kept.left_tenths == 4_800 - 100


def test_a_game_before_its_first_call(table: Table) -> None:
    kept = read_game(table.journal)
    assert (kept.game, kept.entries, kept.last_ms) == (table.game, (), 0)
