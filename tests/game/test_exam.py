"""No value of any league can be changed unnoticed: the examination's digests, and mutated rules."""

from __future__ import annotations

import dataclasses
import json
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from enum import Enum
from itertools import zip_longest
from typing import Any

import pytest

from callout.game.choices import ThrowRule, Until
from callout.game.profile.file import PROFILES, profile_names
from callout.game.profile.profile import Profile
from callout.game.profile.sections import FoulRule, Limit, Mandatory, Mercy, Tier
from callout.game.terms import Award
from tests.game.exam import GOLDEN, PARTS, digest
from tests.quick import thorough_but

SHOWN_ONLY = (
    "roster.list_before_s", "roster.starters_before_s", "table.crew_before_s", "table.clock_starts",
    "table.clock_stops", "table.subs_wait", "table.horn", "table.three", "roster.most",
    "roster.names_days",
)  # fmt: skip
"""Values that people read in the table of rules and that nothing in a game depends on; those of
the lists act before it (`tests/game/test_pregame.py`), the days after which names are asked for act
after it (`tests/commands/test_names_due.py`)."""

FIRST = {
    "periods": "periods",
    "clock": "leads",
    "goals": "goals",
    "fouls": "kinds_of_fouls",
    "penalty": "common_fouls",
    "timeouts": "time_outs",
    "chances": "waiting",
    "arrow": "opening",
    "corrections": "corrections",
    "roster": "lists",
    "table": "limits",
}
"""The part in which a section's values most likely show: it is asked first."""


QUICK = ("nfhs-2026", "fiba-2022", "nba-2026", "rec-running-clock")
"""Leagues that are examined each time; the others where there are minutes."""


@pytest.mark.parametrize("part", PARTS)
@pytest.mark.parametrize(
    "profile",
    thorough_but(profile_names(), QUICK),
    indirect=True,
)
def test_what_comes_of_the_rules_is_as_it_was(profile: Profile, part: str) -> None:
    # On purpose another? Read what `python -m tests.game.exam LEAGUE PART` writes, then run it
    # without arguments.
    golden = json.loads(GOLDEN.read_text(encoding="utf-8"))
    assert digest(profile, part) == golden[profile.name][part]


def changed(value: Any) -> Iterator[list[Any]]:
    """Every way to change a value, of what has parts each part; a way may have alternatives."""
    if isinstance(value, bool):
        yield [not value]
    elif isinstance(value, int):
        yield [value + 1, 2 * value + 30, max(0, value - 1)]
    elif isinstance(value, str):
        yield [f"{value} changed"]
    elif isinstance(value, Enum):
        yield [each for each in type(value) if each is not value]
    elif isinstance(value, Mapping):
        for key in value:
            yield [{other: value[other] for other in value if other != key}]
            for ways in changed(value[key]):
                yield [{**value, key: new} for new in ways]
    elif isinstance(value, tuple):
        for nth, each in enumerate(value):
            yield [value[:nth] + value[nth + 1 :]]
            for ways in changed(each) if not isinstance(each, str) else ():
                yield [(*value[:nth], new, *value[nth + 1 :]) for new in ways]
    else:
        for field in dataclasses.fields(value):
            for ways in changed(getattr(value, field.name)):
                yield [dataclasses.replace(value, **{field.name: new}) for new in ways]


EMPTY: dict[str, Any] = {
    "clock.mercy": (Mercy(1, 1),),
    "penalty.overtime_tiers": (Tier(1, Award.THREE),),
    "timeouts.limits": (Limit(0, 1),),
    "timeouts.mandatory": (Mandatory(1, 420),),
    "periods.half_warnings_s": (5,),
}
"""What to put into a list that is empty in some league."""


def idle(profile: Profile, dotted: str) -> bool:
    """Whether a value cannot act in that league: it belongs to what the league does not do."""
    clock, goals, fouls = profile.clock, profile.goals, profile.fouls
    late = Until.LATE in (profile.corrections.throws, profile.corrections.book)
    stops = any(clock.goal_stops_tenths)
    return dotted in SHOWN_ONLY or {
        "clock.stops_last_s": not clock.runs_on,
        "clock.goal_stops_rule": not stops,
        "clock.mercy_reverts": not clock.mercy,
        "clock.mercy_rule": not (clock.mercy or clock.runs_on),
        "goals.target_rule": not goals.target,
        "fouls.limit": fouls.limit > 20,
        "fouls.coach_own": fouls.coach_own >= fouls.coach_all,
        "fouls.cancels_rule": not fouls.cancels,
        "chances.goal_sub": not stops,
        "corrections.late_s": not late,
        "corrections.throws_rule": profile.corrections.throws is Until.PERIOD,
        "roster.late_award": not profile.roster.late_names,
        "periods.break_s": profile.periods.count == 2,
        "periods.half_after": profile.periods.count == 1,
        "penalty.over": profile.periods.count < 4 and fouls.overtime_counts_last,
        "arrow.openings": not profile.arrow.used,
    }.get(dotted, False)  # fmt: skip


def own_values(profile: Profile) -> list[str]:
    """The values that the league's own file gives, by their dotted names.

    Those of the sheet act on paper alone: `tests/paper/sheet` sees to them. Those before the game
    act before its first call: `tests/game/test_pregame.py` does.
    """
    data = tomllib.loads((PROFILES / f"{profile.name}.toml").read_text(encoding="utf-8"))
    sections = {
        key: value
        for key, value in data.items()
        if isinstance(value, dict) and key not in ("sheet", "before")
    }
    return [f"{section}.{name}" for section, values in sections.items() for name in values]


def with_value(profile: Profile, dotted: str, value: Any) -> Profile:
    """The profile with another value in one place."""
    section, name = dotted.split(".")
    new = dataclasses.replace(getattr(profile, section), **{name: value})
    return dataclasses.replace(profile, **{section: new})


Written = Mapping[str, Sequence[str]]
"""What each part writes of a league, in lines."""


def shows(profile: Profile, dotted: str, written: Written) -> bool:
    """Whether the examination finds a difference; one that cannot be played is one too."""
    first = FIRST[dotted.split(".", maxsplit=1)[0]]
    try:
        # Line by line, the likeliest part first, then the short ones: most differences show early.
        order = sorted(written, key=lambda part: (part != first, len(written[part])))
        return any(
            now != before
            for part in order
            for now, before in zip_longest(PARTS[part](profile), written[part])
        )
    except (ArithmeticError, AssertionError, LookupError):
        return True


def unguarded(profile: Profile, dotted: str, written: Written) -> tuple[int, list[Any]]:
    """How many changes of a value were tried, and those that nothing in a game shows.

    A change that cannot act is not tried.
    """
    section, name = dotted.split(".")
    value = getattr(getattr(profile, section), name)
    ways = list(changed(value)) or [[EMPTY[dotted]]]
    acting = without_idle_awards(value)
    tried = [each for each in ways if without_idle_awards(each[0]) != acting]
    unseen = [
        each
        for each in tried
        if not any(shows(with_value(profile, dotted, new), dotted, written) for new in each)
    ]
    return len(tried), unseen


def without_idle_awards(value: Any) -> Any:
    """The kinds of fouls without what only others act on: awards, where no throws come of them."""
    if not isinstance(value, Mapping):
        return value
    return {key: _acting(rule) for key, rule in value.items()}


def _acting(rule: Any) -> Any:
    if not isinstance(rule, FoulRule) or rule.throws is ThrowRule.ALWAYS:
        return rule
    throws = rule.throws if rule.team else ThrowRule.NEVER
    return dataclasses.replace(rule, throws=throws, award=Award.NONE, ball=False, first=False)


@pytest.mark.thorough
def test_every_value_that_a_league_gives_is_guarded(
    profile: Profile, capsys: pytest.CaptureFixture[str]
) -> None:
    # That these lines are right is what their digests tell, above.
    written = {part: [*PARTS[part](profile)] for part in PARTS if part != "as_written"}
    tried, free = 0, {}
    for dotted in own_values(profile):
        if idle(profile, dotted):
            continue
        ways, found = unguarded(profile, dotted, written)
        tried += ways
        if found:
            free[dotted] = found
    with capsys.disabled():
        print(f" {profile.name}: {tried} changes", end="")
    assert tried, "a league gives something of its own"
    assert free == {}


def test_no_change_of_a_value_leaves_the_table_of_rules_as_it_was(profile: Profile) -> None:
    golden = json.loads(GOLDEN.read_text(encoding="utf-8"))[profile.name]["as_written"]
    for section in FIRST:
        for name in type(getattr(profile, section)).__dataclass_fields__:
            dotted = f"{section}.{name}"
            value = getattr(getattr(profile, section), name)
            for ways in list(changed(value)) or [[EMPTY[dotted]]]:
                assert digest(with_value(profile, dotted, ways[0]), "as_written") != golden
