"""The board aloud. That it is read in this order, and with all of these, is common practice, no
source: score, period and clock, team fouls, bonus, time-outs, arrow."""

from __future__ import annotations

from dataclasses import replace

from callout.game.calls import EndPeriod, Foul, Score, Timeout, Tip
from callout.game.choices import Light
from callout.game.notices.board import board, board_between
from callout.game.profile.file import load_profile
from callout.game.state import Owner
from tests.game.play import GUEST, HOME, Play, well_formed


def test_the_whole_board_is_read_in_its_order(running: Play) -> None:
    running.take(Score(HOME, 2), *[Foul(GUEST, "14")] * 4, Tip(HOME), Timeout(HOME)).start().wait(9)
    found = board(running.game, running.at())
    assert [(each.kind, each.slots) for each in found] == [
        ("board_score", {"home": 2, "guest": 0}),
        ("board_clock", {"left_tenths": 4710, "nth": 1, "unit": "quarter"}),
        ("board_fouls", {"home": 0, "guest": 4}),
        ("board_bonus", {"team": HOME, "light": Light.RECEIVER}),
        ("board_timeouts", {"home": 4, "guest": 5}),
        ("board_arrow", {"team": GUEST}),
    ]
    for each in found:
        well_formed(each)


def test_without_a_clock_the_board_shows_the_period() -> None:
    play = Play(load_profile("nfhs-2026"), Owner.NONE).start()
    found = board(play.game, play.at())[1]
    assert (found.kind, found.slots) == ("board_period", {"nth": 1, "unit": "quarter"})
    well_formed(found)


def test_a_board_that_marks_the_offenders_side(running: Play) -> None:
    # FIBA 49.1: the marker stands by the bench of the team that fouled.
    rules = running.game.profile
    fiba = Play(replace(rules, penalty=replace(rules.penalty, light=Light.OFFENDER))).start()
    fiba.take(*[Foul(GUEST, "14")] * 4).stop().start()
    (light,) = [each for each in board(fiba.game, fiba.at()) if each.kind == "board_bonus"]
    assert light.slots == {"team": GUEST, "light": Light.OFFENDER}


def test_what_is_not_there_is_not_read(running: Play) -> None:
    kinds = [each.kind for each in board(running.game, running.at())]
    assert kinds == ["board_score", "board_clock", "board_fouls", "board_timeouts"]


def test_it_is_read_at_each_periods_end_but_for_what_is_said_there_anyway(running: Play) -> None:
    running.take(Tip(HOME), Foul(GUEST, "14"), EndPeriod())
    assert running.said()[-4:] == ["period_ended", "board_fouls", "board_timeouts", "board_arrow"]
    ruled = [each.by_rules(running.game.profile) for each in board_between(running.game)]
    assert list(running.notices[-3:]) == ruled
