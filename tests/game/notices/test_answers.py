"""The answers to what one may ask."""

from __future__ import annotations

from callout.game.calls import Ask, EndPeriod, Foul, HeldBall, Score, Timeout, Tip
from callout.game.kind import Rank
from callout.game.notices.after_entry import Notice
from callout.game.notices.answers import TOPICS, answers
from callout.game.profile.file import load_profile
from callout.game.state import Owner
from callout.game.terms import Topic
from tests.game.play import GUEST, HOME, Play, well_formed


def ask(play: Play, topic: Topic, **about: object) -> Notice:
    (said,) = answers(play.game, Ask(topic, **about), play.at())  # type: ignore[arg-type]
    well_formed(said)
    assert said.rank is Rank.ECHO
    return said


def test_every_topic_has_its_answer(play: Play) -> None:
    # The session has said what is said again, and has the notices that are said aloud.
    assert set(TOPICS) | {Topic.AGAIN, Topic.ALOUD} == set(Topic)
    several = {Topic.BOARD, Topic.LEAGUE}
    for topic in TOPICS.keys() - several:
        assert ask(play, topic)
    for topic in several:
        assert len(answers(play.game, Ask(topic), play.at())) > 1


def test_the_score_homes_first(running: Play) -> None:
    running.take(Score(HOME, 2), Score(GUEST, 3))
    assert ask(running, Topic.SCORE).slots == {"home": 2, "guest": 3}


def test_the_time_with_its_period(play: Play) -> None:
    assert ask(play, Topic.TIME).slots == {"left_tenths": 4800, "nth": 1, "unit": "quarter"}
    play.to_period(5).wait(9)
    assert ask(play, Topic.TIME).slots == {"left_tenths": 2310, "nth": 1, "unit": "overtime"}


def test_team_fouls_of_this_quarter(running: Play) -> None:
    # NFHS 4-8-1: counted by the quarter.
    running.take(Foul(HOME, "5")).to_period(2).take(Foul(GUEST, "14"), Foul(GUEST, "14"))
    assert ask(running, Topic.TEAM_FOULS).slots == {"home": 0, "guest": 2}


def test_a_players_fouls(running: Play) -> None:
    running.take(Foul(GUEST, "14"))
    said = ask(running, Topic.PLAYER_FOULS, team=GUEST, number="14")
    assert said.slots == {"team": GUEST, "number": "14", "fouls": 1}
    assert ask(running, Topic.PLAYER_FOULS).kind == "tell_team_fouls"
    assert ask(running, Topic.PLAYER_FOULS, team=GUEST).kind == "tell_team_fouls"


def test_time_outs_left_are_never_below_none(running: Play) -> None:
    running.take(*[Timeout(HOME)] * 6, Timeout(GUEST))
    assert ask(running, Topic.TIMEOUTS).slots == {"home": 0, "guest": 4}


def test_the_arrow_if_there_is_one(running: Play) -> None:
    assert ask(running, Topic.ARROW).kind == "tell_no_arrow"
    running.take(Tip(HOME))
    assert ask(running, Topic.ARROW).slots == {"team": GUEST}


def test_what_is_open(running: Play) -> None:
    assert ask(running, Topic.OPEN).kind == "tell_nothing_open"
    running.take(Score(HOME, 2), Foul(GUEST), EndPeriod())
    assert ask(running, Topic.OPEN).slots == {"count": 2, "team": GUEST}


def test_without_a_clock_the_time_is_the_period() -> None:
    play = Play(load_profile("nfhs-2026"), Owner.NONE).start()
    (told,) = answers(play.game, Ask(Topic.TIME), play.at())
    assert (told.kind, told.slots) == ("tell_period", {"nth": 1, "unit": "quarter"})


def test_one_who_is_not_on_the_list_has_no_fouls_but_those_seen(running: Play) -> None:
    told = ask(running, Topic.PLAYER_FOULS, team=GUEST, number="12")
    assert (told.kind, told.slots) == ("not_on_roster", {"team": GUEST, "number": "12"})
    running.take(Score(GUEST, 2, "12"), Foul(GUEST, "12"), Foul(GUEST, "12"))
    told = ask(running, Topic.PLAYER_FOULS, team=GUEST, number="12")
    assert (told.kind, told.slots["fouls"]) == ("tell_unlisted", 2)


def test_one_foul_is_told_in_the_singular(running: Play) -> None:
    running.take(Foul(GUEST, "14"))
    assert ask(running, Topic.PLAYER_FOULS, team=GUEST, number="14").kind == "tell_player_foul"
    running.take(Foul(GUEST, "14"))
    assert ask(running, Topic.PLAYER_FOULS, team=GUEST, number="14").kind == "tell_player_fouls"


def test_whose_ball_it_is_the_book_knows_only_after_a_held_ball(running: Play) -> None:
    # FIBA 12.4, NFHS 6-4: then the arrow says so.
    running.take(Tip(HOME))
    assert ask(running, Topic.BALL, team=HOME).kind == "tell_ball_unbooked"
    running.take(HeldBall())
    assert ask(running, Topic.BALL, team=GUEST).kind == "tell_ball"
    other = ask(running, Topic.BALL, team=HOME)
    assert (other.kind, other.slots) == ("tell_ball_other", {"team": HOME, "arrow": GUEST})
