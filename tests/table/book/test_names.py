"""People's names beside the setup: taken off and put on again, the setup is the same."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from callout.table.book.names import names_of, with_names
from callout.table.setup.roster import Player
from callout.table.setup.setup import Listed, Setup

NUMBERS = st.lists(st.integers(1, 99).map(str), unique=True, max_size=6)
NAMES = st.sampled_from(["", "Ada Moss", "Bo Reed", "Cy"])


@st.composite
def listed(draw: st.DrawFn) -> Listed:
    players = [Player(n, draw(NAMES), draw(st.booleans())) for n in draw(NUMBERS)]
    return Listed("Harbour Kites", tuple(players))


@given(listed(), listed())
def test_names_come_off_and_on(home: Listed, guest: Listed) -> None:
    setup = Setup("nfhs-2026", home, replace(guest, name="Quarry Foxes"))
    bare = with_names(setup)
    assert names_of(bare) == ()
    assert with_names(bare, names_of(setup)) == setup
    assert [p.starter for p in bare.home.players] == [p.starter for p in home.players]


def test_a_name_of_nobody_on_the_lists_is_left_out() -> None:
    setup = Setup("nfhs-2026", Listed("A", (Player("4"),)), Listed("B"))
    named = with_names(setup, [("home", "4", "Ada Moss"), ("home", "5", "Bo"), ("guest", "4", "C")])
    assert names_of(named) == (("home", "4", "Ada Moss"),)


PEOPLE = (("", "Referee", "Cy Dale"), ("home", "coach", "Di Tern"), ("guest", "assistant", "Al"))


def test_coaches_and_officials_are_names_too() -> None:
    setup = Setup("nfhs-2026", Listed("A", (Player("4", "Bo"),)), Listed("B"), people=PEOPLE)
    bare = with_names(setup)
    assert bare.people == ()
    assert len(names_of(setup)) == 4
    assert with_names(bare, names_of(setup)) == setup
    assert with_names(bare, [("home", "mascot", "X"), ("x", "coach", "Y")]).people == ()
