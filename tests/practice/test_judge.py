"""What was called, laid beside what happened. Expected values are worked out by hand."""

from __future__ import annotations

from collections import Counter

from hypothesis import given, settings
from hypothesis import strategies as st

from callout.game.calls import Score, Shot
from callout.game.terms import Team
from callout.practice.facts import Called, Fact, fact_of
from callout.practice.judge import Outcome, Wanted, judge

LATE_MS, MISSED_MS = 3_000, 8_000


def wanted(at_s: float, team: Team = Team.HOME, points: int = 2, number: str = "5") -> Wanted:
    return of(at_s, Score(team, points, number))


def of(at_s: float, call: Score | Shot) -> Wanted:
    cue = round(1000 * at_s)
    return Wanted(call, fact_of(call), cue - 2_000, cue, cue + LATE_MS, cue + MISSED_MS)


def called(at_s: float, of: Wanted, **differs: str | Team) -> Called:
    fact = {name: getattr(of.fact, name) for name in ("kind", "team", "number", "what")} | differs
    return Called(Fact(**fact), round(1000 * at_s), round(1000 * at_s))


def outcomes(plays: list[Wanted], heard: list[Called]) -> str:
    """Right, Late, Wrong and Missed by their first letters; and how many are extra."""
    done = judge(plays, heard)
    return "".join(each.outcome.name[0] for each in done.judged) + f" {len(done.extra)}"


PLAYS = [wanted(10), wanted(20, Team.GUEST, 3, "8"), wanted(30, number="11")]


def test_right_late_and_missed_go_by_the_time_since_the_play() -> None:
    heard = [called(11, PLAYS[0]), called(24, PLAYS[1]), called(39, PLAYS[2])]
    assert outcomes(PLAYS, heard) == "RLM 0"
    times = [each.reaction_ms for each in judge(PLAYS, heard).judged]
    assert times == [1_000, 4_000, 9_000]


def test_a_call_before_the_end_of_the_telling_has_no_negative_time() -> None:
    (done,) = judge(PLAYS[:1], [called(9, PLAYS[0])]).judged
    assert (done.outcome, done.reaction_ms) == (Outcome.RIGHT, 0)


def test_a_call_before_the_play_is_about_nothing() -> None:
    assert outcomes(PLAYS[:1], [called(7, PLAYS[0])]) == "M 1"


def test_one_call_left_out_does_not_make_the_others_wrong() -> None:
    assert outcomes(PLAYS, [called(21, PLAYS[1]), called(31, PLAYS[2])]) == "MRR 0"


def test_one_call_too_many_is_extra() -> None:
    heard = [called(11, PLAYS[0]), called(13, PLAYS[0]), called(21, PLAYS[1])]
    assert outcomes(PLAYS[:2], heard) == "RR 1"


def test_a_slip_is_wrong_and_named() -> None:
    done = judge(PLAYS[:1], [called(11, PLAYS[0], team=Team.GUEST, number="8")])
    assert done.judged[0].outcome is Outcome.WRONG
    assert done.judged[0].differs == ("team", "number")


def test_what_differs_in_all_is_another_thing() -> None:
    heard = [called(11, PLAYS[0], team=Team.GUEST, number="8", what="3")]
    assert outcomes(PLAYS[:1], heard) == "M 1"


def test_right_after_a_throw_a_slip_is_about_that_throw_not_about_one_missed_before() -> None:
    throws = [of(10, Shot(False, Team.HOME)), of(16, Shot(True, Team.HOME))]
    assert outcomes(throws, [called(17, throws[1], what="missed")]) == "MW 0"


def test_what_could_not_be_called_does_not_count() -> None:
    moot = Wanted(PLAYS[0].call, PLAYS[0].fact, 0, 0, 1, 2, moot=True)
    assert judge([moot], []).judged[0].outcome is Outcome.MOOT


def test_kinds_that_spoil_no_book_are_never_extra() -> None:
    assert judge([], [Called(Fact("stop"), 1, 1), Called(Fact("undo"), 2, 2)]).extra == ()
    assert len(judge([], [Called(Fact("foul"), 1, 1)]).extra) == 1


@settings(max_examples=40)
@given(st.lists(st.tuples(st.sampled_from("rlwm"), st.sampled_from(Team)), max_size=9))
def test_any_mixture_is_found_again(script: list[tuple[str, Team]]) -> None:
    plays = [wanted(20.0 * at, team) for at, (_, team) in enumerate(script, start=1)]
    heard = []
    for (what, _), play in zip(script, plays, strict=True):
        at_s = play.cue_ms / 1000 + {"r": 1, "w": 1, "l": 5, "m": 0}[what]
        if what != "m":
            heard.append(called(at_s, play, **({"number": "7"} if what == "w" else {})))
    assert outcomes(plays, heard) == "".join(what.upper() for what, _ in script) + " 0"


@settings(max_examples=40)
@given(st.lists(st.integers(0, 200), max_size=12), st.lists(st.integers(0, 200), max_size=12))
def test_nothing_is_lost_or_counted_twice(plays: list[int], heard: list[int]) -> None:
    wants = [wanted(at, Team.HOME if at % 2 else Team.GUEST) for at in sorted(plays)]
    told = [called(at, wanted(at, number=str(at % 3 + 4))) for at in sorted(heard)]
    done = judge(wants, told)
    paired = [each.called for each in done.judged if each.called is not None]
    assert len(done.judged) == len(wants)
    assert len(paired) + len(done.extra) == len(told)
    assert Counter(map(id, [*paired, *done.extra])) == Counter(map(id, told))
