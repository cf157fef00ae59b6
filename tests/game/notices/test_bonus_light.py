"""When the bonus light changes, and on whose side."""

from __future__ import annotations

from dataclasses import replace

import pytest

from callout.game import calls
from callout.game.calls import Correct, EndPeriod, Foul, MakeTeam, Undo
from callout.game.choices import Light
from callout.game.decide import Refusal
from callout.game.figures.fouls import penalty
from callout.game.kind import Rank
from callout.game.notices.bonus_light import lit
from callout.game.profile.file import load_profile
from callout.game.put_right import PastEntries
from callout.game.state import Owner
from callout.game.terms import Award, Team
from tests.game.play import GUEST, HOME, Play

LIGHTS = {"bonus_light", "bonus_marker", "bonus_off"}


def lights(play: Play) -> list[str]:
    return [kind for kind in play.said() if kind in LIGHTS]


def test_it_is_lit_once_the_ball_is_live_again(running: Play) -> None:
    # A crew's card for NFHS (rules before 2023-24, where it was the sixth foul): shown once the
    # penalty for the last foul without throws has been administered; since then, the fourth.
    running.take(*[Foul(GUEST, "14")] * 3).stop().start()
    running.stop().take(Foul(GUEST, "3"))
    assert "bonus" in running.said()
    assert lights(running) == []
    running.start()
    light = running.told("bonus_light")
    assert (light.rank, light.rule) == (Rank.TELL, "NFHS 4-8-1")
    assert light.slots == {"team": GUEST, "receiver": HOME, "award": Award.TWO}
    running.stop().start()
    assert lights(running) == []


def test_the_marker_stands_on_the_offenders_side(running: Play) -> None:
    # FIBA 49.1: by the bench of the team that fouled, once the ball is live after the fourth.
    rules = running.game.profile
    fiba = Play(replace(rules, penalty=replace(rules.penalty, light=Light.OFFENDER))).start()
    fiba.stop().take(*[Foul(GUEST, "14")] * 4)
    assert lights(fiba) == []
    fiba.start()
    assert fiba.told("bonus_marker").slots["team"] is GUEST


def test_each_step_is_shown(youth: Play) -> None:
    # Common practice: one-and-one from the seventh, two from the tenth.
    shown = []
    for _ in range(11):
        youth.stop().take(Foul(GUEST)).start()
        shown += [youth.told("bonus_light").slots["award"]] if lights(youth) else []
    assert shown == [Award.ONE_AND_ONE, Award.TWO]


def test_a_light_that_was_lit_in_error_is_put_out(running: Play) -> None:
    running.stop().take(*[Foul(GUEST, "14")] * 4).start().take(Undo())
    assert lights(running) == ["bonus_off"]
    assert running.told("bonus_off").slots == {"team": GUEST, "receiver": HOME}


def test_a_light_is_not_put_out_while_the_next_foul_still_brings_throws() -> None:
    # FIBA 41.2: four fouls stay, so that the next one brings two throws.
    fiba = Play(load_profile("fiba-2024")).start().stop().take(*[Foul(GUEST, "14")] * 4).start()
    first = fiba.game.charges[0].item
    fiba.stop().take(Foul(GUEST, "15"))
    past = PastEntries(fiba.begin, fiba.entries, fiba.game)
    right = Correct(first, off=True)
    decided = past.corrected(right, fiba.at())
    assert not isinstance(decided, Refusal)
    fiba.book(right, decided)
    assert lights(fiba) == []
    assert penalty(fiba.game, GUEST, None, fiba.at().left_tenths) is Award.TWO
    assert lights(fiba.start()) == ["bonus_marker"]


def test_a_foul_that_goes_to_the_other_team_takes_its_light_along(running: Play) -> None:
    running.stop().take(*[Foul(HOME, "5")] * 3, Foul(GUEST, "5"), MakeTeam(HOME)).start()
    assert running.told("bonus_light").slots["team"] is HOME


def test_a_new_quarter_begins_dark_and_says_nothing_of_it(running: Play) -> None:
    # NFHS 4-8-1: fouls are counted by the quarter.
    running.stop().take(*[Foul(GUEST, "14")] * 4).start().take(EndPeriod())
    assert lights(running) == []
    running.start()
    assert lights(running) == []
    assert lit(running.game, GUEST, 4800) is Award.NONE


def test_in_a_half_of_two_quarters_it_stays_lit_and_is_not_told_again(youth: Play) -> None:
    youth.stop().take(*[Foul(GUEST)] * 6).start()
    assert lights(youth) == ["bonus_light"]
    youth.take(EndPeriod()).start()
    assert lights(youth) == []
    assert lit(youth.game, GUEST, 3600) is Award.ONE_AND_ONE


@pytest.mark.parametrize(
    ("league", "owner"), [("rec-running-clock", Owner.OURS), ("nfhs-2026", Owner.NONE)]
)
def test_where_no_start_of_a_clock_tells_it_is_lit_with_the_foul(league: str, owner: Owner) -> None:
    play = Play(load_profile(league), owner)
    play.take(calls.StartPeriod())
    for _ in range(12):
        if not lights(play):
            play.take(Foul(HOME))
    assert lights(play)
    assert "bonus" in play.said()
    assert lit(play.game, Team.HOME, 0) is not Award.NONE
