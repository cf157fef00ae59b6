"""What holds in every reachable game of every league, whatever is called."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from callout.game.calls import CALLS, Call, PutBack, Starter, Substitution, Undo
from callout.game.decide import Refusal, decide
from callout.game.due import due
from callout.game.events import (
    EVENTS,
    ClockStopped,
    Event,
    PeriodEnded,
    PeriodStarted,
    TakenBack,
)
from callout.game.figures.fouls import (
    coach_is_out,
    is_out,
    penalty,
    player_fouls,
    team_fouls,
    team_fouls_in,
)
from callout.game.figures.score import needs_number, score
from callout.game.figures.timeouts import timeouts_left
from callout.game.fold import KEPT_EVENTS, Entry, fold, may_be_undone
from callout.game.profile.profile import Profile
from callout.game.state import Game, Phase
from callout.game.terms import Team
from tests.english import english_grammar
from tests.game.play import Play
from tests.game.strategies import NUMBERS, Step, any_call, member, walks

WORDS = english_grammar().words

PER_LEAGUE = settings(
    max_examples=8,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
# The fixture is one profile for all examples of a run, and profiles never change.


def played(profile: Profile, walk: list[Step]) -> Play:
    """The game after a walk."""
    play = Play(profile)
    for call, seconds in walk:
        play.wait(seconds).call(call)
    return play


def book_of(game: Game) -> Game:
    """The game without the counters that every entry moves, taken back or not."""
    return replace(game, entry=0, seen_tenths=0, lines=(), turns=(), taken_back=())


@PER_LEAGUE
@given(walk=walks(), last=any_call())
def test_every_call_is_booked_or_refused_and_a_refusal_changes_nothing(
    profile: Profile, walk: list[Step], last: object
) -> None:
    play = Play(profile)
    for call, seconds in [*walk, (last, 1)]:
        before, entries = play.game, len(play.entries)
        decision = play.wait(seconds).call(call)  # type: ignore[arg-type]
        if isinstance(decision, Refusal):
            assert play.game is before
            assert len(play.entries) == entries
        else:
            assert decision
        # Nothing hidden in what was decided: the same again gives the same.
        assert decide(before, call, play.at()) == decide(before, call, play.at())  # type: ignore[arg-type]
    assert all(each.wall_ms >= 0 for each in due(play.game))


@PER_LEAGUE
@given(walk=walks())
def test_no_number_in_a_notice_is_below_zero_or_beyond_what_can_be_said(
    profile: Profile, walk: list[Step]
) -> None:
    play = Play(profile)
    for call, seconds in walk:
        play.wait(seconds).call(call)
        assert min(play.score) >= 0
        for notice in play.notices:
            for slot, value in notice.slots.items():
                if isinstance(value, int) and not slot.endswith("tenths"):
                    assert 0 <= value <= WORDS.most, notice
                elif isinstance(value, int):
                    assert WORDS.clock(value), notice


@PER_LEAGUE
@given(walk=walks())
def test_points_are_those_of_players_and_the_rest_and_of_the_periods(
    profile: Profile, walk: list[Step]
) -> None:
    game = played(profile, walk).game
    for team in Team:
        goals = [goal for goal in game.goals if goal.team is team]
        players = sum(goal.counts for goal in goals if goal.number is not None)
        unnamed = sum(goal.counts for goal in goals if needs_number(goal))
        own = sum(g.counts for g in goals if g.own_basket and g.number is None)
        adjusted = sum(line.points for line in game.adjustments if line.team is team)
        assert score(game, team) == players + unnamed + own + adjusted
        periods = range(game.period + 2)
        assert score(game, team) == sum(score(game, team, period) for period in periods)


@PER_LEAGUE
@given(walk=walks())
def test_the_live_game_is_the_fold_of_its_journal(profile: Profile, walk: list[Step]) -> None:
    play = played(profile, walk)
    assert fold(play.begin, play.entries) == play.game


@PER_LEAGUE
@given(walk=walks(), last=any_call())
def test_undo_gives_the_game_before_it_but_for_the_clock(
    profile: Profile, walk: list[Step], last: object
) -> None:
    play = played(profile, walk)
    before = play.game
    decision = play.call(last)  # type: ignore[arg-type]
    if isinstance(decision, Refusal) or not may_be_undone(play.entries[-1]):
        return
    stopped = [event for event in decision if isinstance(event, ClockStopped)]
    undone = play.take(Undo()).entries[-1].events
    assert undone == (TakenBack(before.entry + 1),)
    after = play.game
    assert book_of(after) == book_of(entered(before, list(stopped)))
    assert after.taken_back == (*before.taken_back, before.entry + 1)
    # The clock that the call stopped stands, showing what it showed; all else is as it was.
    assert after.phase is (Phase.STOPPED if stopped else before.phase)
    assert (after.period, after.arrow, after.throw_in) == (
        before.period,
        before.arrow,
        None if stopped and before.phase is Phase.RUNNING else before.throw_in,
    )
    assert after.clock.left_at(play.now_ms) == before.clock.left_at(play.now_ms)


@PER_LEAGUE
@given(walk=walks(), misheard=any_call(), rest=walks())
def test_a_misheard_call_taken_back_at_once_is_as_if_never_heard(
    profile: Profile, walk: list[Step], misheard: Call, rest: list[Step]
) -> None:
    heard, never = played(profile, walk), played(profile, walk)
    decision = heard.call(misheard)
    if isinstance(decision, Refusal) or not may_be_undone(heard.entries[-1]):
        return
    if any(isinstance(event, ClockStopped) for event in decision):
        return  # The clock stands from then on, as the test above says.
    heard.take(Undo())
    for call, seconds in rest:
        if isinstance(call, PutBack):
            continue  # It would put back what was misheard.
        one, other = (play.wait(seconds).call(call) for play in (heard, never))
        assert isinstance(one, Refusal) == isinstance(other, Refusal)
        if not isinstance(one, Refusal):
            assert heard.said() == never.said()
    assert figures(heard) == figures(never)


def entered(game: Game, events: list[Event]) -> Game:
    """The game after one more entry of these events, whatever called them."""
    return fold(game, [Entry(game.entry + 1, Undo(), "script", Play.at(_still(game)), (*events,))])


def _still(game: Game) -> Play:
    play = Play(game.profile)
    play.game = game
    return play


@PER_LEAGUE
@given(walk=walks(), data=st.data())
def test_undo_of_an_earlier_entry_is_the_game_without_it(
    profile: Profile, walk: list[Step], data: st.DataObject
) -> None:
    play = played(profile, walk)
    lines = [line.entry for line in play.game.lines if line.undoable]
    if not lines:
        return
    gone = data.draw(st.sampled_from(lines))
    play.book(Undo(), (TakenBack(gone),))
    rest = [without(entry) if entry.id == gone else entry for entry in play.entries[:-1]]
    assert book_of(play.game) == book_of(fold(play.begin, rest))
    assert gone not in [line.entry for line in play.game.lines]


def without(entry: Entry) -> Entry:
    """The entry with nothing in it but that the clock was stopped."""
    return replace(entry, events=tuple(e for e in entry.events if isinstance(e, KEPT_EVENTS)))


@PER_LEAGUE
@given(walk=walks())
def test_no_period_changes_the_entitled_team_by_its_end_or_beginning(
    profile: Profile, walk: list[Step]
) -> None:
    # FIBA 48.1 and NFHS 6-4: the team entitled stays the same when the teams change ends. Only a
    # toss sets the arrow anew, and none begins a second half.
    play = Play(profile)
    for call, seconds in walk:
        before = play.game
        decision = play.wait(seconds).call(call)
        ends = (PeriodEnded, PeriodStarted)
        if isinstance(decision, tuple) and all(isinstance(each, ends) for each in decision):
            tossed = any(isinstance(each, PeriodStarted) and each.jump for each in decision)
            assert play.game.arrow is before.arrow or tossed
            assert not (tossed and play.game.period == profile.periods.half_after + 1)


@pytest.mark.parametrize("name", sorted(EVENTS.members()))
@settings(max_examples=8, deadline=None)
@given(data=st.data())
def test_an_event_is_the_same_after_writing_and_reading(name: str, data: st.DataObject) -> None:
    event = data.draw(member(EVENTS, name))
    assert EVENTS.name(event) == name
    assert EVENTS.load(name, json.loads(json.dumps(EVENTS.dump(event)))) == event


@pytest.mark.parametrize("name", sorted(CALLS.members()))
@settings(max_examples=8, deadline=None)
@given(data=st.data())
def test_a_call_is_the_same_after_writing_and_reading(name: str, data: st.DataObject) -> None:
    call = data.draw(member(CALLS, name))
    assert CALLS.name(call) == name
    assert CALLS.load(name, json.loads(json.dumps(CALLS.dump(call)))) == call


@PER_LEAGUE
@given(walk=walks())
def test_no_figure_depends_on_a_line_up_being_kept(profile: Profile, walk: list[Step]) -> None:
    kept, without_any = Play(profile), Play(profile)
    for call, seconds in walk:
        # What takes back the newest entry takes back another one where there is a line-up.
        if isinstance(call, Undo | PutBack):
            continue
        kept.wait(seconds).call(call)
        without_any.wait(seconds)
        if not isinstance(call, Substitution | Starter):
            without_any.call(call)
    assert figures(kept) == figures(without_any)


def figures(play: Play) -> list[object]:
    """Every figure of the book."""
    game, left = play.game, play.at().left_tenths
    found: list[object] = [game.phase, game.period, game.arrow, left]
    for team in Team:
        found += [score(game, team), team_fouls(game, team), penalty(game, team, None, left)]
        found += [timeouts_left(game, team, left), coach_is_out(game, team)]
        for number in NUMBERS:
            found += [player_fouls(game, team, number), is_out(game, team, number)]
    return found


@PER_LEAGUE
@given(walk=walks())
def test_nobody_is_in_twice_and_who_left_is_not_in(profile: Profile, walk: list[Step]) -> None:
    for team, court in played(profile, walk).game.on_court:
        assert len(set(court)) == len(court), team
    play = played(profile, walk)
    for call, _ in reversed(walk):
        if isinstance(call, Substitution) and not isinstance(play.call(call), Refusal):
            court = dict(play.game.on_court)[call.team]
            assert call.entering in court
            assert call.leaving not in court
            break


@PER_LEAGUE
@given(walk=walks())
def test_team_fouls_are_what_the_league_counts(profile: Profile, walk: list[Step]) -> None:
    game = played(profile, walk).game
    fouls = profile.fouls
    for team in Team:
        counted = 0
        for charge in game.charges:
            if charge.team is team and charge.on in fouls.counted_on:
                counted += fouls.kinds[charge.foul].team * (fouls.double_team or not charge.double)
        periods = range(game.period + 3)
        assert sum(team_fouls_in(game, team, period) for period in periods) == counted
