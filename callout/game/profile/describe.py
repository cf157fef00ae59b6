"""A league's rules in plain words: one row a value, and the rows in which two leagues differ.

Hardly a value is known here by its name: the profile is walked as its classes are written, so a
new value there is a new row here. The docstring after a field is the row's label, and the end of
a field's name tells the unit: `_s` are seconds, `_tenths` tenths of one.
"""

from __future__ import annotations

import ast
import inspect
import sys
from collections.abc import Iterator, Mapping
from dataclasses import MISSING, Field, dataclass, fields, is_dataclass
from enum import Enum
from functools import cache
from itertools import pairwise
from typing import Any, Final

from callout.game.profile.profile import Profile
from callout.game.profile.sections import Tier
from callout.game.terms import Award

LEAGUE: Final = "League"
"""The section of the values that stand in none."""

_HEADING: Final = ("name", "title", "sources")
"""What is no rule, but tells which league this is and where its rules stand."""

_AWARDS: Final = {"none": "no shots", "one": "one shot", "two": "two shots", "three": "three shots"}


@dataclass(frozen=True, slots=True)
class Row:
    """One value of a league's rules."""

    section: str
    name: str
    """The dotted name, as in the profile's file: `periods.count`."""
    label: str
    value: str
    source: str
    """Empty if none is given."""


@dataclass(frozen=True, slots=True)
class Difference:
    """A value that is not the same in two leagues; None where a league has no such value."""

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
    """A row for each value of a dataclass whose fields are sections, or values of no section."""
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
    """The one row of a value, or one for each key of a mapping."""
    if not isinstance(value, Mapping) or not value:
        yield Row(section, name, label, _text(value, name), _source(name, sources))
        return
    for key, each in value.items():
        told = _text(key, "")
        full = f"{name}.{told}"
        source = _source(full, sources)
        yield Row(section, full, f"{label}: {_words(told)}", _text(each, name), source)


def _source(name: str, sources: Mapping[str, str]) -> str:
    """The source of a value, or else of the nearest thing that it is a part of."""
    while name and name not in sources:
        name = name.rpartition(".")[0]
    return sources.get(name, "")


def _merged(mine: list[str], theirs: list[str]) -> list[str]:
    """All names in the order of both; what only the other has comes after what precedes it."""
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
    """The fields of a dataclass with what they hold."""
    return ((field, getattr(record, field.name)) for field in fields(record))


def _label(record: object, field: Field[Any]) -> str:
    """What a field is called: by the docstring after it, or else by its name."""
    kind = type(record)
    written = _docstrings(kind.__module__).get((kind.__name__, field.name), "")
    return written or _words(field.name).capitalize()


def _words(name: str) -> str:
    """A name as words, without its unit."""
    return name.removesuffix("_s").removesuffix("_tenths").replace("_", " ")


@cache
def _docstrings(module: str) -> Mapping[tuple[str, str], str]:
    """The first line after each field of each class of a module, by class and field."""
    found: dict[tuple[str, str], str] = {}
    for node in ast.walk(ast.parse(inspect.getsource(sys.modules[module]))):
        if not isinstance(node, ast.ClassDef):
            continue
        for pair in pairwise(node.body):
            match pair:
                case (
                    ast.AnnAssign(target=ast.Name(id=name)),
                    ast.Expr(value=ast.Constant(value=str(text))),
                ):
                    first = inspect.cleandoc(text).partition("\n")[0]
                    found[node.name, name] = first.removesuffix(".").replace("`", "")
    return found


# --- values ---------------------------------------------------------------------------------------


def _text(value: Any, name: str, inside: bool = False) -> str:
    """A value as a person would write it; `inside` is within a line of several values."""
    if value is None:
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Award):
        return _AWARDS.get(value.value, value.value)
    if isinstance(value, Enum):
        return str(value.value)
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
    """Plain values beside each other, dataclasses below each other."""
    if any(is_dataclass(item) for item in items):
        between = "; " if inside else "\n"
    else:
        between = " and " if inside else ", "
    return between.join(_text(item, name, True) for item in items) or "none"


def _line(record: Any) -> str:
    """A small dataclass in one line, without what is as usual."""
    tier = isinstance(record, Tier)
    told = [
        _part(field, value)
        for field, value in _values(record)
        if value != _usual(field) and not (tier and field.name == "at")
    ]
    line = ", ".join(told) or "as usual"
    return f"{_nth(record.at)} foul: {line}" if tier else line


def _part(field: Field[Any], value: object) -> str:
    text = _text(value, field.name, True)
    # "two shots" says by itself that it is the award.
    return text if isinstance(value, Award) else f"{_words(field.name)} {text}"


def _usual(field: Field[Any]) -> object:
    """A field's default, if it has one."""
    return field.default if field.default_factory is MISSING else field.default_factory()


def _nth(number: int) -> str:
    ending = {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{'th' if number // 10 % 10 == 1 else ending}"
