"""What is said of another book's figure, and to the next crew."""

from __future__ import annotations

from callout.game import calls
from callout.game.calls import CompareBook, Foul, HandOver, Score, SendOff, Shot
from callout.game.notices.after_entry import notices
from callout.game.notices.kinds import Notice
from callout.game.terms import Award, Figure, Team
from tests.game.play import Play, well_formed

HOME, GUEST = Team.HOME, Team.GUEST


def said(play: Play, call: calls.Call) -> list[Notice]:
    before = play.game
    play.take(call)
    found = list(notices(before, play.entries[-1], play.game))
    for notice in found:
        well_formed(notice)
    return found


def names(found: list[Notice]) -> list[str]:
    return [notice.kind for notice in found]


def test_the_books_agree_or_differ(running: Play) -> None:
    running.take(Score(HOME, 2, "5"))
    assert names(said(running, CompareBook(HOME, 2))) == ["books_agree"]
    (differs,) = said(running, CompareBook(HOME, 4))
    assert differs.kind == "books_differ"
    assert (differs.slots["count"], differs.slots["booked"]) == (4, 2)
    (fouls,) = said(running, CompareBook(HOME, 1, Figure.FOULS, "5"))
    assert (fouls.slots["number"], fouls.slots["booked"]) == ("5", 0)


def test_the_points_of_each_period_show_where_they_part(running: Play) -> None:
    running.take(Score(HOME, 2, "5"), calls.EndPeriod())
    running.take(calls.StartPeriod()).start()
    running.take(Score(HOME, 3, "5"))
    _, by_periods = said(running, CompareBook(HOME, 6))
    assert by_periods.slots == {"team": HOME, "points": (2, 3)}
    (one,) = said(running, CompareBook(HOME, 3, period=1))
    assert (one.slots["nth"], one.slots["unit"], one.slots["booked"]) == (1, "quarter", 2)
    assert names(said(running, CompareBook(HOME, 1, Figure.TIMEOUTS))) == ["books_differ"]


def test_the_next_crew_is_told_how_the_game_stands(running: Play) -> None:
    assert names(said(running, HandOver())) == [
        "handed_over",
        "board_fouls",
        "board_timeouts",
    ]


def test_who_was_sent_off_without_a_foul_is_out_for_the_next_crew_too(running: Play) -> None:
    # Common practice, no source: the next crew must know who may not come back.
    running.take(SendOff(HOME, "4"), SendOff(GUEST))
    found = [(n.kind, n.slots) for n in said(running, HandOver())][1:3]
    assert found == [
        ("already_out", {"team": HOME, "numbers": ("4",)}),
        ("coach_already_out", {"team": GUEST}),
    ]


def test_and_all_that_waits_or_is_open(running: Play) -> None:
    # The limit is five fouls, NFHS 2-11-5.
    running.take(*[Foul(GUEST, "8", award=Award.NONE)] * 5, *[Foul(HOME, "5")] * 4)
    running.take(Score(HOME, 2), Foul(GUEST, award=Award.NONE), calls.DelayWarning(GUEST))
    running.take(calls.TimeoutWaiting(HOME), calls.SubWaiting(GUEST), calls.Mark())
    running.take(Foul(GUEST, "14", award=Award.TWO), Shot(True, HOME))
    found = [n for n in said(running, HandOver()) if not n.kind.startswith(("board", "control"))]
    told = [(str(n.kind), n.slots.get("team"), n.slots.get("numbers")) for n in found]
    assert told == [
        ("handed_over", None, None),
        ("throws_to_come", HOME, None),
        ("waiting_timeout", HOME, None),
        ("waiting_subs", None, None),
        ("one_foul_left", HOME, ("5",)),
        ("already_out", GUEST, ("8",)),
        ("delay_warned_before", GUEST, None),
        ("number_is_open", HOME, None),
        ("number_is_open", GUEST, None),
        ("number_is_open", HOME, None),
        ("marked_before", None, None),
    ]
    assert found[1].slots["more"] == 1
    lines = [n.slots["line"] for n in found if n.kind == "number_is_open"]
    assert lines == ["basket", "foul", "throw"]
