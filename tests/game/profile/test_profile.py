"""The rules of each league beside what is published of them."""

from __future__ import annotations

from callout.game.choices import Light, Opening, Span, ThrowRule
from callout.game.profile.file import load_profile
from callout.game.profile.profile import Profile
from callout.game.terms import Award, FoulKind, Offender


def test_high_school_periods() -> None:
    periods = load_profile("nfhs-2026").periods
    # NFHS 5-5 (read in an online copy): four of eight minutes, one minute between, half-time ten.
    assert (periods.count, periods.length_s, periods.half_after) == (4, 8 * 60, 2)
    assert (periods.break_s, periods.half_time_s) == (60, 10 * 60)
    # NFHS 5-7-3 (read in an online copy): extra periods of four minutes, one minute before each.
    assert (periods.overtime_s, periods.overtime_break_s) == (4 * 60, 60)
    # NFHS 2-12: a horn fifteen seconds before the end.
    assert periods.break_warnings_s == (15,)


def test_high_school_fouls() -> None:
    fouls = load_profile("nfhs-2026").fouls
    assert fouls.limit == 5  # NFHS 2-11-5: personal and technical together.
    # NFHS 2-11-5: the second technical; from memory: flagrant is at once.
    outs = [(ejection.of, ejection.count) for ejection in fouls.ejections]
    assert outs == [((FoulKind.TECHNICAL,), 2), ((FoulKind.FLAGRANT,), 1)]
    # NFHS 4-19-13 (read in an online copy): personal and technical fouls are all team fouls.
    assert all(rule.player and rule.team for rule in fouls.kinds.values())
    assert set(fouls.counted_on) == set(Offender)
    assert fouls.overtime_counts_last  # NFHS 5-7-3: extra periods extend the fourth quarter.
    # NFHS scorer's instructions: no bonus for a foul by the team in control.
    assert fouls.kinds[FoulKind.OFFENSIVE].throws is ThrowRule.NEVER


def test_high_school_bonus() -> None:
    penalty = load_profile("nfhs-2026").penalty
    # NFHS 4-8-1 since 2023-24: the fifth of each quarter, two throws.
    assert penalty.over is Span.PERIOD
    assert [(tier.at, tier.award) for tier in penalty.tiers] == [(5, Award.TWO)]
    assert penalty.light is Light.RECEIVER  # NFHS timer's instructions.


def test_high_school_time_outs() -> None:
    timeouts = load_profile("nfhs-2026").timeouts
    # NFHS 5-11 (read in an online copy): three of 60 s, two of 30 s, one more of 60 s each extra
    # period, unused ones accumulate; a horn with fifteen seconds left.
    allotments = {(a.kind, a.count, a.per) for a in timeouts.allotments}
    assert allotments == {
        ("full", 3, Span.GAME),
        ("thirty", 2, Span.GAME),
        ("full", 1, Span.OVERTIME),
    }
    assert all(allotment.carries for allotment in timeouts.allotments)
    kinds = {name: (kind.length_s, kind.warnings_s) for name, kind in timeouts.kinds.items()}
    assert kinds == {"full": (60, (15,)), "thirty": (30, (15,))}


def test_high_school_arrow() -> None:
    arrow = load_profile("nfhs-2026").arrow
    # NFHS 6-4: a jump ball starts the game and each extra period, the arrow the other quarters.
    assert arrow.openings == (Opening.JUMP, *[Opening.ARROW] * 3)
    assert (arrow.used, arrow.overtime) == (True, Opening.JUMP)


def test_high_school_numbers_have_digits_up_to_five() -> None:
    # NFHS 3-4 as quoted by officials: 0-5, 00, 10-15, 20-25, 30-35, 40-45, 50-55.
    digits = "012345"
    two = [a + b for a in digits[1:] for b in digits]
    assert load_profile("nfhs-2026").legal_numbers() == ("0", "00", *digits[1:], *two)


def test_younger_leagues_keep_the_bonus_by_halves() -> None:
    # Common practice, no source; the same as the rule book's bonus up to 2022-23.
    for name in ("youth-6-minute", "youth-7-minute"):
        penalty = load_profile(name).penalty
        assert penalty.over is Span.HALF
        assert [(t.at, t.award) for t in penalty.tiers] == [(7, Award.ONE_AND_ONE), (10, Award.TWO)]


def test_younger_leagues_play_half_a_quarter_of_overtime() -> None:
    # NFHS 5-7-3 (read in an online copy): four minutes or half a quarter.
    for name in ("youth-6-minute", "youth-7-minute"):
        periods = load_profile(name).periods
        assert 2 * periods.overtime_s == periods.length_s


def test_younger_leagues_take_the_rest_from_the_rule_book() -> None:
    book = load_profile("nfhs-2026")
    for name in ("youth-6-minute", "youth-7-minute"):
        local = load_profile(name)
        assert (local.fouls, local.timeouts, local.arrow) == (
            book.fouls,
            book.timeouts,
            book.arrow,
        )
        assert len(local.legal_numbers()) == 101


def test_the_length_of_a_period_and_of_an_overtime(profile: Profile) -> None:
    last = profile.periods.count
    assert profile.length_tenths(last) == 10 * profile.periods.length_s
    assert profile.length_tenths(last + 1) == 10 * profile.periods.overtime_s


def test_every_league_can_be_played(profile: Profile) -> None:
    assert profile.periods.half_after <= profile.periods.count
    for tiers in (profile.penalty.tiers, profile.penalty.overtime_tiers):
        whole = [tier.at for tier in tiers if not tier.last_s]
        assert whole == sorted(set(whole))
    kinds = set(profile.timeouts.kinds)
    assert {a.kind for a in profile.timeouts.allotments} == kinds


def test_every_value_of_every_league_has_its_source(profile: Profile) -> None:
    for section in SECTIONS:
        for name in type(getattr(profile, section)).__dataclass_fields__:
            value = getattr(getattr(profile, section), name)
            keys = (
                [getattr(key, "value", key) for key in value]
                if name in ("kinds", "items")
                else [None]
            )
            for key in keys:
                dotted = f"{section}.{name}.{key}" if key else f"{section}.{name}"
                assert profile.sources[dotted].strip(), dotted


SECTIONS = [name for name in Profile.__dataclass_fields__ if name in dir(Profile)][3:-1]


def test_what_people_at_the_table_are_told_in_the_table_of_rules() -> None:
    # Common practice, no source; the times of the lists: FIBA 7.1 and 7.2, NFHS 3-2, A.R. 38.
    for name in ("youth-6-minute", "youth-7-minute", "nfhs-2026"):
        table = load_profile(name).table
        assert table.crew_before_s == 10 * 60
        assert "chop" in table.clock_starts
        assert "first touch in bounds" in table.clock_starts
        assert "whistle" in table.clock_stops
        assert "beside the table" in table.subs_wait
        assert "before the official hands over the ball" in table.horn
        assert "three fingers, then by both arms" in table.three
    lists = {n: load_profile(n).roster for n in ("fiba-2022", "nfhs-2026", "ncaa-men-2026")}
    assert {n: r.list_before_s // 60 for n, r in lists.items()} == {
        "fiba-2022": 40, "nfhs-2026": 10, "ncaa-men-2026": 10,
    }  # fmt: skip
    assert {roster.starters_before_s for roster in lists.values()} == {600}
