"""A league's rules in plain words: one row a value, and the rows in which two leagues differ.

The profile is walked as its classes are written, and hardly a value is known here by its name: a
new value there is a new row here. A field's description (`sections.label`) is the row's label, and
the ending of its name is its unit: `_s` for seconds, `_tenths` for tenths of a second.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import MISSING, Field, dataclass, fields, is_dataclass
from enum import Enum
from functools import cache
from typing import Any, Final, get_type_hints

from pydantic.fields import FieldInfo

from callout.game.choices import After, Credit, Light, ThrowRule, Until
from callout.game.profile.profile import Profile
from callout.game.profile.sections import Tier
from callout.game.terms import Award

LEAGUE: Final = "League"
"""The section of the values that are in no section of the profile."""

_HEADING: Final = ("name", "title", "sources")
"""Fields that are no rules: the league's name, and where its rules are published."""

_PHRASES: Final[Mapping[Enum, str]] = {
    Award.NONE: "no shots",
    Award.ONE: "one shot",
    Award.TWO: "two shots",
    Award.THREE: "three shots",
    ThrowRule.PENALTY: "in the penalty",
    Light.RECEIVER: "team that shoots",
    Light.OFFENDER: "team that fouled",
    After.CONCEDING: "team scored against",
    Credit.CAPTAIN: "opponents' captain",
    Credit.TEAM: "opponents, no player",
    Credit.NEAREST: "nearest opponent",
    Until.SECOND_LIVE: "second live ball",
    Until.LATE: "next live ball, or start of the last minutes",
    Until.PERIOD: "end of the last period or of the overtime",
    Until.FINAL: "officials' departure",
}
"""Values whose own names do not explain themselves."""


@dataclass(frozen=True, slots=True)
class Row:
    """One value of a league's rules."""

    section: str
    name: str
    """The dotted name in the profile's file, for example `periods.count`."""
    label: str
    value: str
    source: str
    """Empty if the profile gives none."""


@dataclass(frozen=True, slots=True)
class Difference:
    """A rule in which two leagues differ; None where a league has no such value."""

    section: str
    name: str
    label: str
    values: tuple[str | None, str | None]
    sources: tuple[str | None, str | None]


def rulebook(profile: Profile) -> tuple[Row, ...]:
    """Every rule of a league, section by section."""
    return rows_of(profile, profile.sources)


def differences(one: Profile, other: Profile) -> tuple[Difference, ...]:
    """The rules in which two leagues differ, in the order of the profile."""
    mine = {row.name: row for row in rulebook(one)}
    theirs = {row.name: row for row in rulebook(other)}
    names = _merged(list(mine), list(theirs))
    pairs = ((mine.get(name), theirs.get(name)) for name in names)
    return tuple(_difference(*pair) for pair in pairs if _value(pair[0]) != _value(pair[1]))


def rows_of(rules: object, sources: Mapping[str, str]) -> tuple[Row, ...]:
    """A row for each value of a dataclass whose fields are sections or single values."""
    plain: list[Row] = []
    sections: list[Row] = []
    for field, value in _values(rules):
        if field.name in _HEADING:
            continue
        label = _label(rules, field)
        if not is_dataclass(value):
            plain += _rows(LEAGUE, field.name, label, value, sources)
            continue
        for inner, each in _values(value):
            name = f"{field.name}.{inner.name}"
            sections += _rows(label, name, _label(value, inner), each, sources)
    return (*plain, *sections)


def _rows(
    section: str, name: str, label: str, value: object, sources: Mapping[str, str]
) -> Iterator[Row]:
    """One row for a plain value, or one for each key of a mapping."""
    if not isinstance(value, Mapping) or not value:
        yield Row(section, name, label, _text(value, name), _source(name, sources))
        return
    for key, each in value.items():
        told = _text(key, "")
        full = f"{name}.{told}"
        source = _source(full, sources)
        yield Row(section, full, f"{label}: {_words(told)}", _text(each, name), source)


def _source(name: str, sources: Mapping[str, str]) -> str:
    """The source of a value, or of the nearest part around it that has one."""
    while name and name not in sources:
        name = name.rpartition(".")[0]
    return sources.get(name, "")


def _merged(mine: list[str], theirs: list[str]) -> list[str]:
    """All names in the order of both lists; one that only `theirs` has follows its predecessor."""
    names = list(mine)
    place = 0
    for name in theirs:
        if name not in names:
            names.insert(place, name)
        place = names.index(name) + 1
    return names


def _difference(mine: Row | None, theirs: Row | None) -> Difference:
    row = mine or theirs
    assert row is not None, "a name is one of theirs or of mine"
    values = (_value(mine), _value(theirs))
    sources = (mine.source if mine else None, theirs.source if theirs else None)
    return Difference(row.section, row.name, row.label, values, sources)


def _value(row: Row | None) -> str | None:
    return row.value if row else None


# --- labels ---------------------------------------------------------------------------------------


def _values(record: Any) -> Iterator[tuple[Field[Any], Any]]:
    """The fields of a dataclass with their values."""
    return ((field, getattr(record, field.name)) for field in fields(record))


def _label(record: object, field: Field[Any]) -> str:
    """A row's label: the field's description, or its name in words."""
    return _description(record, field) or _words(field.name).capitalize()


def _description(record: object, field: Field[Any]) -> str | None:
    kind: Any = type(record)
    return _descriptions(kind).get(field.name)


def _words(name: str) -> str:
    """A name in words, without its unit."""
    return name.removesuffix("_s").removesuffix("_tenths").replace("_", " ")


@cache
def _descriptions(kind: type) -> Mapping[str, str]:
    """The description of each field of a dataclass that has one."""
    return {
        name: part.description
        for name, hint in get_type_hints(kind, include_extras=True).items()
        for part in getattr(hint, "__metadata__", ())
        if isinstance(part, FieldInfo) and part.description
    }


# --- values ---------------------------------------------------------------------------------------


def _text(value: Any, name: str, inside: bool = False) -> str:
    """A value as a person would write it; `inside` a line of several values, lists are joined."""
    if value is None:
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Enum):
        return _PHRASES.get(value, str(value.value))
    if isinstance(value, int):
        return _number(value, name)
    if isinstance(value, Mapping):
        items = [f"{_text(key, '')}: {_text(each, name, True)}" for key, each in value.items()]
        return "; ".join(items) or "none"
    if isinstance(value, tuple):
        return _list(value, name, inside)
    if isinstance(value, frozenset):
        return _list(tuple(sorted(value, key=str)), name, inside)
    return _line(value) if is_dataclass(value) else str(value)


def _number(value: int, name: str) -> str:
    if name.endswith("_s"):
        return f"{value // 60}:{value % 60:02}"
    if name.endswith("_tenths"):
        return f"{value // 600}:{value // 10 % 60:02}.{value % 10}"
    return str(value)


def _list(items: tuple[Any, ...], name: str, inside: bool) -> str:
    """Plain values in one line, dataclasses one below the other."""
    if any(is_dataclass(item) for item in items):
        between = "; " if inside else "\n"
    else:
        between = " and " if inside else ", "
    return between.join(_text(item, name, True) for item in items) or "none"


def _line(record: Any) -> str:
    """A small dataclass in one line, without the fields at their defaults."""
    tier = isinstance(record, Tier)
    told = [
        _part(record, field, value)
        for field, value in _values(record)
        if value != _usual(field) and not (tier and field.name == "at")
    ]
    line = ", ".join(told) or "as usual"
    return f"{_nth(record.at)} foul: {line}" if tier else line


def _part(record: object, field: Field[Any], value: object) -> str:
    name = _description(record, field) or _words(field.name)
    if isinstance(value, bool):
        return name if value else f"no {name}"
    text = _text(value, field.name, True)
    # "two shots" says by itself that it is the award.
    return text if isinstance(value, Award) else f"{name} {text}"


def _usual(field: Field[Any]) -> object:
    """A field's default; MISSING where it has none."""
    return field.default if field.default_factory is MISSING else field.default_factory()


def _nth(number: int) -> str:
    ending = {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{'th' if number // 10 % 10 == 1 else ending}"
