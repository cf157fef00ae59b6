"""A league's rules in plain words.

What a row must say is written out by hand, from a small league that is made up here and from the
leagues that come with the program.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import Enum
from typing import Annotated, Any

import pytest
from pydantic import Field

from callout.game.choices import ThrowRule, Until
from callout.game.profile.describe import LEAGUE, Row, differences, rows_of, rulebook
from callout.game.profile.file import load_profile
from callout.game.profile.profile import Profile
from callout.game.profile.sections import Tier, label
from callout.game.terms import Award


class Side(Enum):
    LEFT = "left"


@dataclass(frozen=True)
class Ball:
    size: int
    blown_up_s: int = 30
    seams: tuple[str, ...] = ()
    marks: tuple[Tier, ...] = field(default_factory=tuple)


@dataclass(frozen=True)
class Court:
    """A section."""

    long_m: int
    rest_s: Annotated[int, label("How long one may rest")]
    """A docstring is no label."""
    shot_tenths: Annotated[int, Field(ge=0), label("End of the shot")]
    dry: bool
    side: Side
    balls: Mapping[Side, Ball]
    words: Mapping[str, int]


@dataclass(frozen=True)
class League:
    name: str
    title: str
    court: Annotated[Court, label("The hall")]
    year: int
    guests: tuple[str, ...]
    sources: Mapping[str, str]


COURT = Court(28, 605, 754, False, Side.LEFT, {Side.LEFT: Ball(7, seams=("a", "b"))}, {})
SOURCES = {
    "court": "the hall's book",
    "court.rest_s": "its last page",
    "court.balls": "the maker",
    "court.balls.right": "nobody",
}
MADE_UP = League("made-up", "Made up", COURT, 1891, ("x", "y"), SOURCES)


@dataclass(frozen=True)
class Holder:
    """One value of any kind in a section."""

    value: Any
    value_s: Any = None


@dataclass(frozen=True)
class Holding:
    part: Holder


def told(value: object) -> str:
    """What the row of a value says."""
    return rows_of(Holding(Holder(value)), {})[0].value


def test_each_value_is_a_row_with_its_section_and_its_source() -> None:
    assert rows_of(MADE_UP, SOURCES) == (
        Row(LEAGUE, "year", "Year", "1891", ""),
        Row(LEAGUE, "guests", "Guests", "x, y", ""),
        Row("The hall", "court.long_m", "Long m", "28", "the hall's book"),
        Row("The hall", "court.rest_s", "How long one may rest", "10:05", "its last page"),
        Row("The hall", "court.shot_tenths", "End of the shot", "1:15.4", "the hall's book"),
        Row("The hall", "court.dry", "Dry", "no", "the hall's book"),
        Row("The hall", "court.side", "Side", "left", "the hall's book"),
        Row("The hall", "court.balls.left", "Balls: left", "size 7, seams a and b", "the maker"),
        Row("The hall", "court.words", "Words", "none", "the hall's book"),
    )


def test_a_key_of_a_mapping_may_have_its_own_source() -> None:
    sources = {**SOURCES, "court.balls.left": "the left one's maker"}
    (row,) = [row for row in rows_of(MADE_UP, sources) if row.name == "court.balls.left"]
    assert row.source == "the left one's maker"


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (4, "4"),
        (True, "yes"),
        (None, "none"),
        ("NFHS 4-8-1", "NFHS 4-8-1"),
        (Side.LEFT, "left"),
        (Award.ONE, "one shot"),
        (Award.ONE_AND_ONE, "one-and-one"),
        (ThrowRule.PENALTY, "in the penalty"),
        (Until.FINAL, "officials' departure"),
        ((), "none"),
        ((2, 3), "2, 3"),
        (frozenset({"a"}), "a"),
        (Tier(at=5, award=Award.TWO), "5th foul: two shots"),
        ((Tier(at=7, award=Award.ONE_AND_ONE), Tier(at=10, award=Award.TWO)),
         "7th foul: one-and-one\n10th foul: two shots"),
        (Ball(7), "size 7"),
        ((Ball(5, blown_up_s=90), Ball(6)), "size 5, blown up 1:30\nsize 6"),
        (Ball(7, marks=(Tier(at=2, award=Award.ONE), Tier(at=3, award=Award.TWO))),
         "size 7, marks 2nd foul: one shot; 3rd foul: two shots"),
        (Holding(Holder({"a": 1, "b": True})), "part value a: 1; b: yes"),
        (Holding(Holder({}, {"a": 61})), "part value none, value a: 1:01"),
    ],
    ids=str,
)  # fmt: skip
def test_a_value_is_said_as_a_person_would(value: object, expected: str) -> None:
    assert told(value) == expected


@dataclass(frozen=True)
class Optional:
    light: bool = False
    dark: Annotated[bool, label("in the dark")] = True
    depth: Annotated[int, label("at most")] = 3


def test_a_line_of_nothing_but_defaults_says_so() -> None:
    assert told(Optional()) == "as usual"
    assert told(Optional(light=True)) == "light"
    assert told(Optional(dark=False, depth=4)) == "no in the dark, at most 4"


@pytest.mark.parametrize(
    ("at", "expected"),
    [(1, "1st"), (2, "2nd"), (3, "3rd"), (4, "4th"), (11, "11th"), (12, "12th"), (13, "13th"),
     (20, "20th"), (21, "21st"), (99, "99th")],
)  # fmt: skip
def test_fouls_are_counted_as_in_english(at: int, expected: str) -> None:
    assert told(Tier(at=at, award=Award.NONE)) == f"{expected} foul: no shots"


def test_every_rule_of_every_league_has_one_row_and_its_source(profile: Profile) -> None:
    rows = rulebook(profile)
    names = [row.name for row in rows]
    assert len(set(names)) == len(names)
    assert [row.name for row in rows if row.section != LEAGUE and not row.source] == []
    assert [row.name for row in rows if not (row.label and row.value)] == []
    parts = {name.split(".")[0] for name in profile.sources}
    assert parts <= {name.split(".")[0] for name in names}


def test_every_label_is_a_phrase_and_no_two_in_a_section_are_the_same(profile: Profile) -> None:
    rows = rulebook(profile)
    bent = [row.label for row in rows if not re.fullmatch(r"[A-Z0-9][^….;]*[^….;:,]", row.label)]
    assert bent == []
    assert len({(row.section, row.label) for row in rows}) == len(rows)
    by_name = [row.name for row in rows if row.label == row.name.split(".")[-1].capitalize()]
    assert by_name == ["edition"]


def test_the_high_school_book() -> None:
    rows = {row.name: row for row in rulebook(load_profile("nfhs-2026"))}
    # NFHS 5-5: four quarters of eight minutes; 4-8-1: two throws from the fifth foul.
    assert rows["periods.count"].value == "4"
    assert rows["periods.length_s"].value == "8:00"
    assert rows["penalty.tiers"].value == "5th foul: two shots"
    assert {row.section for row in rows.values()} > {"Periods", "Goals", "Fouls"}
    assert not {"name", "title", "sources"} & set(rows)


def test_only_what_differs_is_told_with_both_values() -> None:
    book, youth = load_profile("nfhs-2026"), load_profile("youth-6-minute")
    found = {each.name: each for each in differences(book, youth)}
    assert found["periods.length_s"].values == ("8:00", "6:00")
    assert found["periods.length_s"].sources == (
        book.sources["periods.length_s"],
        youth.sources["periods.length_s"],
    )
    assert "periods.count" not in found
    assert all(one != other for one, other in (each.values for each in found.values()))
    turned = {each.name: each.values for each in differences(youth, book)}
    assert turned == {name: each.values[::-1] for name, each in found.items()}


def test_a_league_does_not_differ_from_itself(profile: Profile) -> None:
    renamed = replace(profile, name="another", title="Another")
    assert differences(profile, renamed) == ()


def test_what_only_one_league_has_stands_in_its_place() -> None:
    book = load_profile("nfhs-2026")
    kinds = list(book.fouls.kinds)
    without_first = {kind: book.fouls.kinds[kind] for kind in kinds[1:]}
    without_last = {kind: book.fouls.kinds[kind] for kind in kinds[:-1]}
    one = replace(book, fouls=replace(book.fouls, kinds=without_first))
    other = replace(book, fouls=replace(book.fouls, kinds=without_last))
    first, last = differences(one, other)
    source = next(r.source for r in rulebook(book) if r.name == f"fouls.kinds.{kinds[0].value}")
    assert first.name == f"fouls.kinds.{kinds[0].value}"
    assert (first.section, first.values[0], first.sources) == ("Fouls", None, (None, source))
    assert last.name == f"fouls.kinds.{kinds[-1].value}"
    assert last.values[1] is last.sources[1] is None
    assert last.values[0]
