"""`==` lines, each held against a small game that is counted by hand."""

from __future__ import annotations

import pytest

from callout.table.scripts.expectations import FORMS, UnknownExpectationError, check_book
from tests.table.play import Table

GAME = (
    "home starter number five",
    "start clock",
    "tip home",
    "home two number five",
    "home three number five",
    "guest two",
    "home two own basket",
    "stop clock",
    "guest foul number thirteen",
    "guest technical number thirteen",
    "shot good number four",
    "shot missed",
    "guest coach technical",
    "guest bench technical",
    "guest foul",
    "home timeout",
    "mark that",
    "undo that",
)

TRUE = """\
score 8 2
team fouls guest 5
team fouls home 0
fouls guest 13 P T
coach codes guest C B
fouls home 5 none
penalty guest two
penalty home none
arrow guest
timeouts left home 4
timeouts used home 1
timeouts struck home 0
coach out guest no
points home 5 5
made home 5 0 1 1
missed home 4 1
out guest 13 no
throws guest 13 0 2
owed home 2
owed guest 0
open guest 2 1
team points home 2
adjusted home 0
coach fouls guest 1
bench fouls guest 1
on court home 5
first worn home 5 none
forfeit none
period 1
phase timeout
clock 8:00
clock running no
undone 1
"""


@pytest.fixture
def played(table: Table) -> Table:
    for line in GAME:
        reply = table.say(line)
        assert not reply.refused, (line, reply.text)
    return table


@pytest.mark.parametrize("line", TRUE.splitlines())
def test_what_is_so_is_so_and_anything_else_is_a_difference(played: Table, line: str) -> None:
    assert check_book(played.session, line) == ""
    wrong = check_book(played.session, f"{line} 9")
    assert wrong.startswith("expected ")
    assert ", got " in wrong


def test_every_form_is_tried_here() -> None:
    names = sorted(FORMS, key=len, reverse=True)
    tried = {next(n for n in names if f"{line} ".startswith(f"{n} ")) for line in TRUE.splitlines()}
    assert tried == set(FORMS)


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("marks 1", "expected one of adjusted, arrow, "),
        ("scores 2 0", "expected one of "),
        ("team fouls away 1", "expected a team or a player, got 'away 1'"),
        ("points home 99 2", "expected a team or a player"),
        ("open 0 0", "expected a team or a player"),
    ],
)
def test_what_a_book_does_not_have_cannot_be_asked(played: Table, line: str, message: str) -> None:
    with pytest.raises(UnknownExpectationError, match=message):
        check_book(played.session, line)


@pytest.mark.parametrize("clock", ["8:00", "8:00.0"])
def test_a_clock_may_be_written_with_tenths(played: Table, clock: str) -> None:
    assert check_book(played.session, f"clock {clock}") == ""
