"""What is asked before it is booked. The cases are the sentences of the design on asking."""

from __future__ import annotations

import pytest

from callout.game import calls
from callout.game.calls import Call
from callout.game.decide import Decisions
from callout.game.notices.kinds import Notice
from callout.game.state import Owner
from callout.game.terms import Award, FoulKind, Team, Topic
from callout.table.talk.booking_questions import question_for
from callout.table.talk.dialogue import open_question
from callout.table.talk.doubt import doubt_question
from callout.table.talk.follow_ups import follow_up
from callout.table.talk.question_kinds import QUESTION_KINDS, TAKEN_UP
from callout.table.talk.questions import with_value
from callout.table.talk.repeats import another
from tests.game.play import well_formed
from tests.table.play import Book

HOME, GUEST = Team.HOME, Team.GUEST


def asked(book: Book, call: Call, source: str = "voice") -> str | None:
    question = question_for(book.heard(call, source), book.game)
    return question.kind if question else None


@pytest.fixture
def running(book: Book) -> Book:
    return book.begun()


@pytest.mark.parametrize(
    ("call", "kind"),
    [
        (calls.EndPeriod(), "end_period"),
        (calls.StartPeriod(), "end_period"),
        (calls.NoBasket(), None),
        (calls.EndGame(), "end_game_early"),
        (calls.SetScore(HOME, 12), "set_score"),
        (calls.SoundHorn(), "horn"),
        (calls.SetClock(4_100), None),
        (calls.SetClock(4_099), "clock"),
        (calls.AdjustClock(-600), None),
        (calls.AdjustClock(-601), "clock"),
        (calls.Shot(True), "team"),
        (calls.Shot(True, HOME), "unowed_throw"),
        (calls.Score(HOME, 1), "unowed_throw"),
        (calls.Score(HOME, 2), None),
        (calls.Foul(GUEST, "5"), None),
        (calls.StopClock(), None),
        (calls.Undo(), None),
        (calls.Timeout(GUEST), None),
    ],
)
def test_what_is_asked_while_the_clock_runs(running: Book, call: Call, kind: str | None) -> None:
    # The clock shows 7:50: the jump that is asked about is one of more than a minute.
    assert running.game.clock.left_at(running.now_ms) == 4_700
    assert asked(running, call) == kind


def test_only_the_basket_of_this_ball_is_taken_off_unasked(running: Book) -> None:
    # Common practice, no source: five seconds of running clock are another live ball.
    running.take(calls.Score(HOME, 2, "5"))
    assert asked(running, calls.NoBasket()) is None
    running.wait(5.1)
    question = question_for(running.heard(calls.NoBasket()), running.game)
    assert question is not None
    assert question.kind == "old_basket"
    assert (question.slots["number"], question.slots["left_tenths"]) == ("5", 4_700)
    running.take(calls.StopClock())
    running.take(calls.EndPeriod())
    running.take(calls.StartPeriod())
    assert asked(running, calls.NoBasket()) == "old_basket"


def test_nothing_is_asked_where_the_clock_stands_or_is_out(running: Book) -> None:
    running.take(calls.StopClock())
    assert asked(running, calls.SoundHorn()) is None
    running.take(calls.EndPeriod())
    assert asked(running, calls.EndPeriod()) is None


def to_the_end(book: Book, home: int = 2) -> Book:
    """The last quarter's end, home with so many points and guest with none."""
    book.take(calls.Score(HOME, 3), "key")
    for _ in range(3):
        book.take(calls.EndPeriod())
        book.take(calls.StartPeriod())
    book.take(calls.SetScore(HOME, home))
    return book


@pytest.mark.parametrize("owner", list(Owner))
def test_a_game_with_periods_to_come_is_not_ended_unasked(owner: Owner) -> None:
    # Common practice, no source: nobody plays two quarters of four.
    book = Book(owner)
    book.take(calls.StartPeriod())
    for count in (3, 2, 1):
        assert asked(book, calls.EndGame()) == "end_game_early"
        book.take(calls.EndPeriod())
        question = question_for(book.heard(calls.EndGame()), book.game)
        assert question is not None
        assert question.slots == {"count": count, "unit": "quarter"}
        book.take(calls.StartPeriod())
    book.take(calls.Score(HOME, 2))
    assert asked(book, calls.EndGame()) == (None if owner is Owner.NONE else "end_game")
    book.take(calls.EndPeriod())
    assert asked(book, calls.EndGame()) is None


def test_a_game_that_has_its_target_is_ended_unasked() -> None:
    """3x3 (usabasketball.com/rules/fiba_3x3_rules): first to 21, or to two in an overtime."""
    book = Book(profile="fiba-3x3").begun()
    for _ in range(10):
        book.take(calls.Score(HOME, 2))
    assert asked(book, calls.EndGame()) == "end_game"
    assert asked(book, calls.EndPeriod()) == "end_period"
    book.take(calls.Score(HOME, 1))
    assert asked(book, calls.EndGame()) is asked(book, calls.EndPeriod()) is None
    assert asked(book, calls.StartPeriod()) == "end_period"


def test_a_game_that_is_level_is_not_ended_unasked(running: Book) -> None:
    # NFHS 5-7-1, FIBA 8.7: an overtime decides it.
    to_the_end(running, 0).take(calls.EndPeriod())
    assert asked(running, calls.EndGame()) == "end_game_level"
    assert asked(running, calls.StartPeriod()) is None


def test_an_overtime_of_a_game_that_is_won_is_asked_about(running: Book) -> None:
    to_the_end(running).take(calls.EndPeriod())
    assert asked(running, calls.StartPeriod()) == asked(running, calls.StartClock()) == "overtime"
    running.wait(600)
    assert asked(running, calls.StartClock()) == "overtime"


@pytest.mark.parametrize(("call", "winner"), [(calls.StartPeriod(), HOME)])
def test_the_winner_is_named(running: Book, call: Call, winner: Team) -> None:
    to_the_end(running).take(calls.EndPeriod())
    question = question_for(running.heard(call), running.game)
    assert question is not None
    assert question.slots == {"team": winner, "home": 2, "guest": 0}


def test_a_clock_started_long_before_an_interval_ends_is_asked_about(running: Book) -> None:
    # NFHS 5-5-1: a minute; FIBA 49.4: at thirty seconds the horn tells that it ends.
    running.take(calls.EndPeriod())
    assert asked(running, calls.StartClock()) == "start_early"
    assert asked(running, calls.StartPeriod()) is None
    running.wait(29.9)
    assert asked(running, calls.StartClock()) == "start_early"
    running.wait(0.1)
    assert asked(running, calls.StartClock()) is None


def test_no_interval_comes_before_the_game(book: Book) -> None:
    assert asked(book, calls.StartClock()) is None


@pytest.mark.parametrize(
    "call",
    [
        calls.Score(HOME, 2, "5"),
        calls.Score(HOME, 1, "5"),
        calls.Shot(True, HOME),
        calls.Foul(GUEST, "5"),
        calls.DoubleFoul("5", "13"),
    ],
)
def test_what_is_booked_after_the_game_is_asked_about(running: Book, call: Call) -> None:
    to_the_end(running).take(calls.EndPeriod())
    running.take(calls.EndGame())
    assert asked(running, call) == "after_end"


# --- one more than there are --------------------------------------------------------------------


def thrown(book: Book, award: Award | None, *made: bool) -> Book:
    """A foul on home, and throws of it taken."""
    book.take(calls.StopClock())
    book.take(calls.Foul(GUEST, "5", award=award))
    for each in made:
        book.take(calls.Shot(each, HOME))
    return book


@pytest.mark.parametrize(
    ("award", "made", "kind"),
    [
        (Award.TWO, (True,), None),
        (Award.TWO, (True, False), "extra_throw"),
        (Award.ONE, (True,), "extra_throw"),
        (Award.THREE, (True, True), None),
        (Award.THREE, (True, True, True), "extra_throw"),
        (Award.ONE_AND_ONE, (True,), None),
        (Award.ONE_AND_ONE, (False,), "extra_throw"),
        # Where nothing was said of throws, they may be as many as any foul brings.
        (None, (), None),
        (None, (True, True), None),
        (None, (True, True, True), "extra_throw"),
    ],
)
def test_one_throw_more_than_are_owed_is_asked_about(
    running: Book, award: Award | None, made: tuple[bool, ...], kind: str | None
) -> None:
    # NFHS 4-8, 10-7; FIBA 43: what a foul brings.
    thrown(running, award, *made)
    assert asked(running, calls.Shot(True, HOME), "key") == kind
    assert asked(running, calls.Score(HOME, 1)) == kind


def test_throws_for_another_foul_are_none_too_many(running: Book) -> None:
    thrown(running, Award.TWO, True, True).take(calls.Foul(GUEST, "13"))
    assert asked(running, calls.Shot(True, HOME)) is None


def test_throws_signalled_anew_count_those_taken(running: Book) -> None:
    thrown(running, Award.TWO, True, True).take(calls.SetAward(Award.THREE))
    assert asked(running, calls.Shot(True, HOME)) is None
    running.take(calls.Shot(True, HOME))
    assert asked(running, calls.Shot(True, HOME)) == "extra_throw"


def test_a_throw_booked_after_the_clock_has_run_is_not_asked_about(running: Book) -> None:
    # That it may be too late is told with the booking.
    thrown(running, Award.TWO, True).take(calls.StartClock())
    assert asked(running, calls.Shot(True, HOME)) is None
    running.take(calls.Shot(True, HOME))
    assert asked(running, calls.Shot(True, HOME)) == "unowed_throw"


@pytest.mark.parametrize("award", [Award.TWO, None])
def test_a_throw_that_nothing_brings_is_asked_about(running: Book, award: Award | None) -> None:
    """NFHS 10, FIBA 43, from memory: a team has free throws for fouls of the other team."""
    thrown(running, award)
    assert asked(running, calls.Shot(False, GUEST), "key") == "unowed_throw"
    assert asked(running, calls.Score(GUEST, 1)) == "unowed_throw"
    assert asked(running, calls.Shot(False, HOME)) is None
    if award is None:
        running.take(calls.StartClock())
        assert asked(running, calls.Shot(False, HOME)) == "unowed_throw"


def test_a_throw_for_a_cancelled_foul_is_asked_about() -> None:
    """FIBA 42: equal penalties of both teams cancel each other."""
    book = Book(profile="fiba-2024").begun()
    book.take(calls.StopClock())
    book.take(calls.Foul(HOME, "5", FoulKind.TECHNICAL))
    book.take(calls.Foul(GUEST, "5", FoulKind.TECHNICAL))
    assert asked(book, calls.Shot(True, HOME)) == "unowed_throw"


def test_whoever_keeps_no_fouls_is_asked_once(running: Book) -> None:
    """Common practice, no source: some tables keep the score alone."""
    running.take(calls.Shot(True, HOME))
    assert asked(running, calls.Shot(True, GUEST)) is None
    running.take(calls.Foul(GUEST, "5"))
    assert asked(running, calls.Shot(True, GUEST)) == "unowed_throw"


def test_a_throw_thrown_again_was_asked_about_with_the_first(running: Book) -> None:
    """FIBA 43, from memory: the throw is taken again; it is still the one that was confirmed."""
    running.take(calls.Foul(HOME, "5"))
    assert asked(running, calls.Shot(False, HOME)) == "unowed_throw"
    running.take(calls.Shot(False, HOME))
    assert asked(running, calls.LaneViolation(GUEST)) is None
    running.take(calls.LaneViolation(GUEST))
    assert asked(running, calls.Shot(True)) is None
    assert asked(running, calls.Shot(True, HOME)) is None
    assert asked(running, calls.Shot(True, GUEST)) is None  # For the foul by home.
    running.take(calls.Shot(True))
    assert [(goal.team, goal.made) for goal in running.game.goals] == [(HOME, True)]
    assert asked(running, calls.Shot(True, HOME)) == "unowed_throw"


def test_a_throw_to_be_thrown_again_after_the_clock_has_run_is_asked_about(running: Book) -> None:
    """FIBA 43, from memory: it is thrown again at once, so the clock has not run since."""
    thrown(running, Award.TWO, True, False)
    assert asked(running, calls.LaneViolation(GUEST)) is None
    running.take(calls.StartClock())
    assert asked(running, calls.LaneViolation(GUEST)) == "unowed_throw"
    assert asked(running, calls.LaneViolation(HOME)) is None
    running.take(calls.LaneViolation(GUEST))


def test_a_throw_that_was_not_thrown_again_is_over_once_the_clock_runs(running: Book) -> None:
    """FIBA 43, from memory: it is thrown again before play goes on."""
    running.take(calls.StopClock())
    running.take(calls.Foul(HOME, "5"))
    running.take(calls.Shot(False, HOME))
    running.take(calls.LaneViolation(GUEST))
    running.take(calls.StartClock())
    assert asked(running, calls.Shot(True, HOME)) == "unowed_throw"
    assert asked(running, calls.Shot(True)) == "team"


def test_where_a_goal_counts_one_a_goal_is_no_throw() -> None:
    book = Book(profile="fiba-3x3")
    book.take(calls.StartClock())
    thrown(book, Award.ONE, True)
    assert asked(book, calls.Score(HOME, 1)) is None


@pytest.mark.parametrize("source", ["voice", "key"])
def test_a_team_s_time_out_said_again_while_it_lasts_is_asked_about(
    running: Book, source: str
) -> None:
    # Common practice, no source: the partner says it again, or the key is pressed again.
    running.take(calls.Timeout(HOME), source)
    running.wait(30)
    assert asked(running, calls.Timeout(HOME), source) == "another_timeout"
    assert asked(running, calls.Timeout(HOME, "thirty"), source) == "another_timeout"
    assert asked(running, calls.Timeout(GUEST), source) is None
    running.take(calls.TimeoutOver())
    assert asked(running, calls.Timeout(HOME), source) is None


def test_the_officials_time_out_is_nobody_s(running: Book) -> None:
    running.take(calls.OfficialTimeout())
    assert asked(running, calls.Timeout(HOME)) is None


def test_where_no_clock_is_kept_the_end_of_a_period_is_not_asked_about() -> None:
    book = Book(Owner.NONE)
    book.take(calls.StartPeriod())
    assert asked(book, calls.EndPeriod()) is None
    assert asked(book, calls.SetClock(100)) is None


def test_a_free_throw_needs_no_team_while_throws_are_owed(running: Book) -> None:
    running.take(calls.Foul(GUEST, "5", award=Award.TWO))
    assert asked(running, calls.Shot(True)) is None


@pytest.mark.parametrize("source", ["clock", "script"])
def test_the_clock_and_a_script_are_never_asked(running: Book, source: str) -> None:
    assert asked(running, calls.SetClock(100), source) is None
    assert asked(running, calls.EndPeriod(), source) is None


def test_only_a_foul_after_the_horn_is_asked_about(running: Book) -> None:
    running.take(calls.EndPeriod())
    assert asked(running, calls.Foul(GUEST, "5")) == "before_horn"
    assert asked(running, calls.Foul(GUEST, "5", before_horn=True)) is None
    running.take(calls.StartPeriod())
    assert asked(running, calls.Foul(GUEST, "5")) is None


def test_a_foul_before_the_game_has_no_horn_before_it(book: Book) -> None:
    assert asked(book, calls.Foul(GUEST, "5")) is None


# --- the questions themselves ------------------------------------------------------------------


def test_a_value_is_put_into_a_call() -> None:
    assert with_value(calls.Ask(Topic.SCORE), "topic", Topic.TIME) == calls.Ask(Topic.TIME)


def test_every_question_has_the_slots_that_are_listed_for_it(running: Book) -> None:
    """The rows that the replies are checked against, held against the questions themselves."""
    seen: set[str] = {"expired"}

    def ask(call: Call) -> None:
        heard, talk = running.heard(call), running.dialogue
        again = another(heard, running.game, talk.last, talk.recent)
        question = again or question_for(heard, running.game)
        assert question is not None
        asks: Notice = open_question(running.dialogue, question)[1]
        well_formed(asks)
        seen.add(question.kind)

    ask(calls.ConfirmStarters(HOME))
    ask(calls.EndPeriod())
    ask(calls.EndGame())
    ask(calls.SetScore(HOME, 12))
    ask(calls.SoundHorn())
    ask(calls.SetClock(0))
    ask(calls.Shot(False))
    ask(calls.Shot(False, HOME))
    running.take(calls.Score(HOME, 2))
    ask(calls.Score(HOME, 2))
    running.wait(16)
    ask(calls.Number("5"))
    ask(calls.NoBasket())
    ask(calls.Forfeit(HOME))
    running.take(calls.Foul(HOME))
    running.wait(1)
    ask(calls.Foul(HOME))
    running.take(calls.Timeout(GUEST))
    running.wait(1)
    ask(calls.Timeout(GUEST))
    running.wait(5)
    ask(calls.Timeout(GUEST))
    for call in (calls.Tip(HOME), calls.HeldBall(), calls.StartClock()):
        running.take(call)
    running.wait(1)
    ask(calls.SwitchArrow())
    thrown(running, Award.ONE, True)
    ask(calls.Shot(True, HOME))
    running.take(calls.EndPeriod())
    ask(calls.Foul(GUEST))
    ask(calls.StartClock())
    running.take(calls.StartPeriod())
    to_the_end(running, 0)
    ask(calls.EndGame())
    running.take(calls.EndPeriod())
    ask(calls.EndGame())
    running.take(calls.Score(HOME, 2))
    ask(calls.StartPeriod())
    running.take(calls.EndGame())
    ask(calls.Approve())
    ask(calls.Score(HOME, 2))
    for doubted in (
        (calls.Foul(HOME, "5"), calls.Foul(HOME, "50")),
        (calls.Number("5"), calls.Number("50")),
        (calls.HeldBall(), calls.Mark()),
    ):
        question = doubt_question(running.in_doubt(*doubted))[1]
        assert question is not None
        well_formed(open_question(running.dialogue, question)[1])
        seen.add(question.kind)
    late = running.heard(calls.AddPlayer(HOME, "44"))
    question = follow_up(late, Decisions(Book().begun().game))
    assert question is not None
    well_formed(open_question(running.dialogue, question)[1])
    seen.add(question.kind)
    # That a line is this one is held against its row in test_put_right.
    seen.add("this_one")
    # Those about another book, in test_discrepancy.
    seen |= {"suspect", "whose"}
    # Those of a game that is taken up again are held against it in test_resume.
    assert seen == set(QUESTION_KINDS) - set(TAKEN_UP)
