"""What makes one explanation likelier than another: each thing that the book knows, alone.

The order that is expected is common practice, no source.
"""

from __future__ import annotations

from callout.game import calls
from callout.game.calls import CompareBook, Score
from callout.game.suspect import Cause, Suspect
from callout.game.terms import Figure, Team
from callout.table.talk.evidence import evidence_in
from callout.table.talk.suspicion import explained
from tests.table.play import Table

HOME, GUEST = Team.HOME, Team.GUEST


def found(table: Table, call: calls.Call) -> list[Suspect]:
    book = table.session.book
    evidence = evidence_in(table.journal.replies())
    return list(explained(book.game, book.entries, call, table.session.now(), evidence))


def nth(table: Table, suspect: Suspect) -> int:
    """Which of the goals, or of the fouls, is suspected, from 1."""
    lines = [*table.game.goals] if suspect.line in table.game.goals else [*table.game.charges]
    return [line.item for line in lines].index(suspect.line.item) + 1


def three_goals(table: Table) -> None:
    table.begun()
    for number in ("5", "4", "10"):
        table.session.take(Score(HOME, 2, number), "voice")
        table.wait(25)


def test_of_equal_ones_the_newest_is_first(table: Table) -> None:
    three_goals(table)
    first = found(table, CompareBook(HOME, 7))
    points = [each for each in first if each.cause is Cause.POINTS]
    assert [nth(table, each) for each in points] == [3, 2, 1]


def test_the_ears_second_choice(table: Table) -> None:
    table.begun()
    three = ((Score(HOME, 3, "5"), 0.02),)
    table.session.take(Score(HOME, 2, "5"), "voice", None, None, three)
    table.wait(25)
    table.session.take(Score(HOME, 2, "4"), "voice")
    table.wait(25)
    best = found(table, CompareBook(HOME, 5))[0]
    assert (best.cause, nth(table, best)) == (Cause.POINTS, 1)
    # It is kept in the journal, and known after a restart.
    again = Table(journal=table.journal, time=table.time)
    best = found(again, CompareBook(HOME, 5))[0]
    assert (best.cause, nth(again, best)) == (Cause.POINTS, 1)


def test_an_earlier_agreement_clears_what_was_booked_before_it(table: Table) -> None:
    three_goals(table)
    table.session.take(CompareBook(HOME, 6), "voice")
    table.session.take(Score(HOME, 2, "11"), "voice")
    table.wait(25)
    points = [s for s in found(table, CompareBook(HOME, 9)) if s.cause is Cause.POINTS]
    assert nth(table, points[0]) == 4
    # It still does once that goal has been looked at, and is less likely itself.
    table.say("home basket eleven was five")
    points = [s for s in found(table, CompareBook(HOME, 9)) if s.cause is Cause.POINTS]
    assert nth(table, points[0]) == 4


def test_a_number_that_only_the_other_team_has(table: Table) -> None:
    table.begun()
    for number in ("5", "33", "4"):
        table.session.take(Score(HOME, 2, number), "voice")
        table.wait(25)
    team = [s for s in found(table, CompareBook(HOME, 4)) if s.cause is Cause.TEAM]
    assert nth(table, team[0]) == 2


def test_a_line_that_was_put_right_has_been_looked_at(table: Table) -> None:
    three_goals(table)
    table.say("home basket ten was three", "home basket ten was two")
    points = [s for s in found(table, CompareBook(HOME, 7)) if s.cause is Cause.POINTS]
    assert [nth(table, each) for each in points] == [2, 1, 3]


def test_the_same_foul_within_seconds(table: Table) -> None:
    table.begun()
    for wait in (30, 2, 30):
        table.say("home foul number five", source="key")
        table.wait(wait)
    best = found(table, CompareBook(HOME, 2, Figure.FOULS, "5"))[0]
    assert (best.cause, nth(table, best)) == (Cause.EXTRA, 3)


def test_a_time_out_said_twice(table: Table) -> None:
    table.begun()
    table.say("home timeout", source="key")
    table.wait(3)
    table.say("timeout over")
    table.say("home timeout", source="script")
    left = CompareBook(HOME, 4, Figure.TIMEOUTS)
    suspects = found(table, left)
    assert suspects[0].cause is Cause.EXTRA
    assert suspects[0].entry == max(each.entry or 0 for each in suspects)


def test_one_throw_more_than_awarded(table: Table) -> None:
    table.begun()
    table.say("home shot good number five", source="script")
    table.wait(30)
    table.say("guest foul number three", "shooting two", source="script")
    for _ in range(3):
        table.say("home shot good number five", source="script")
        table.wait(7)
    best = found(table, CompareBook(HOME, 3))[0]
    assert (best.cause, nth(table, best)) == (Cause.EXTRA, 4)


def test_what_was_undone_and_not_called_again(table: Table) -> None:
    three_goals(table)
    table.say("undo that")
    table.wait(30)
    assert Cause.UNDONE in {each.cause for each in found(table, CompareBook(HOME, 6))[:2]}
    again = Table().begun()
    again.say("home two number five", "undo that")
    again.wait(2)
    again.say("home two number five")
    causes = [each.cause for each in found(again, CompareBook(HOME, 4))]
    assert causes == [Cause.LOST, Cause.UNDONE]


def test_books_that_agree_and_other_calls_need_no_explanation(table: Table) -> None:
    three_goals(table)
    assert found(table, CompareBook(HOME, 6)) == []
    assert found(table, calls.Mark()) == []
