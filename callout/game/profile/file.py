"""Profiles, read from their files and checked.

Every value in a profile file is written `{ is = …, source = "…" }`. `based_on` names another
profile, whose values hold where the file gives none: a local league takes a few lines. No league's
name occurs in the code.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from functools import cache
from pathlib import Path
from typing import Any, Final

from pydantic import TypeAdapter, ValidationError

from callout.errors import InputError
from callout.game.fault import first_fault
from callout.game.profile.profile import Profile
from callout.game.terms import FoulKind
from callout.reading import key_line, paths_in, read_toml

PROFILES: Final = Path(__file__).parents[2] / "profiles"
"""The folder of the program's own profiles."""

SHARED: Final = PROFILES / "shared" / "before.toml"
"""The values that hold in every league whose file gives no others: the common checklist."""

LIKE: Final = 0.4
"""How similar a profile's name must be to be suggested, from 0 to 1."""


def profile_names(folder: Path = PROFILES) -> tuple[str, ...]:
    """The names of all profiles in a folder, in alphabetical order."""
    return tuple(path.stem for path in paths_in(folder, ".toml"))


def profiles_near(name: str) -> list[str]:
    """The two profiles of the most similar names; none if none is similar."""
    return sorted(get_close_matches(name.lower(), profile_names(), 2, LIKE))


def profiles_like(name: str) -> str:
    """The end of an error that suggests the two most similar profiles; empty if none is similar."""
    near = profiles_near(name)
    return f", such as {' or '.join(map(repr, near))}" if near else ""


def unlisted(name: str) -> str:
    """An error that tells that there is no such profile, and where all of them are listed."""
    what = f"expected one of the profiles that callout rules lists{profiles_like(name)}"
    return f"{what}, got {name!r}"


@cache
def load_profile(name: str, folder: Path = PROFILES) -> Profile:
    """The rules of a league.

    Raises:
        InputError: there is no such profile, or its file is wrong; `path:line: expected …, got …`.
    """
    layers = _Layers()
    _read(layers, name, folder)
    try:
        profile: Profile = _ADAPTER.validate_python(
            {**layers.values, "name": name, "sources": layers.sources}
        )
    except ValidationError as error:
        fault = first_fault(error)
        raise layers.error(tuple(map(str, fault.keys)), str(fault)) from None
    _check(profile, layers)
    return profile


_ADAPTER: Final = TypeAdapter(Profile)
_PLAIN: Final = ("title", "edition")


@dataclass
class _Layers:
    """A profile's values over those of the profiles that it is based on, while they are read."""

    values: dict[str, Any] = field(default_factory=dict)
    sources: dict[str, str] = field(default_factory=dict)
    files: list[tuple[Path, str]] = field(default_factory=list)
    """Each file with its text; the profile's own comes first."""

    def error(self, names: Sequence[str], what: str) -> InputError:
        """An error with the line that gives a value; the first file that gives it counts."""
        places = [(key_line(text, names), path) for path, text in self.files]
        (_, line), path = max(places, key=lambda place: place[0].parts)
        return InputError(path, what, line)


def _read(layers: _Layers, name: str, folder: Path) -> None:
    """Read a file over the one that it is based on."""
    path = folder / f"{name}.toml"
    _check_name(layers, name, folder)
    data, text = read_toml(path)
    own = _Layers(files=[(path, text)])
    layers.files += own.files
    if "based_on" in data:
        _read(layers, str(data.pop("based_on")), folder)
    else:
        _read_shared(layers)
    _sections(layers, own, data)


def _read_shared(layers: _Layers) -> None:
    """Read what all leagues have in common, below everything else."""
    data, text = read_toml(SHARED)
    own = _Layers(files=[(SHARED, text)])
    layers.files += own.files
    _sections(layers, own, data)


def _sections(layers: _Layers, own: _Layers, data: dict[str, Any]) -> None:
    for key, section in data.items():
        if key in _PLAIN:
            layers.values[key] = section
        elif isinstance(section, dict):
            _section(layers, own, key, section)
        else:
            raise own.error((key,), f"expected a table, got {key} = {section!r}")


def _section(layers: _Layers, own: _Layers, key: str, section: dict[str, Any]) -> None:
    merged = layers.values.setdefault(key, {})
    for item, entry in section.items():
        if _is_value(entry):
            merged[item] = entry["is"]
            layers.sources[f"{key}.{item}"] = entry["source"]
        elif isinstance(entry, dict) and entry and all(map(_is_value, entry.values())):
            _mapping(layers, f"{key}.{item}", merged.setdefault(item, {}), entry)
        else:
            what = f'{key}.{item}: expected {{ is = …, source = "…" }}, got {entry!r}'
            raise own.error((key, item), what)


def _is_value(entry: Any) -> bool:
    if not isinstance(entry, dict) or set(entry) != {"is", "source"}:
        return False
    return isinstance(entry["source"], str) and bool(entry["source"])


def _mapping(layers: _Layers, name: str, merged: dict[str, Any], entries: dict[str, Any]) -> None:
    """Merge values with names of their own, the kinds of foul for one; `false` removes one."""
    for item, entry in entries.items():
        merged.pop(item, None)
        layers.sources.pop(f"{name}.{item}", None)
        if entry["is"] is not False:
            merged[item] = entry["is"]
            layers.sources[f"{name}.{item}"] = entry["source"]


def _check_name(layers: _Layers, name: str, folder: Path) -> None:
    """Refuse an unknown profile, and one that is based on itself."""
    path = folder / f"{name}.toml"
    above = _Layers(files=layers.files[-1:]) if layers.files else None
    if above and path in [read for read, _ in layers.files]:
        what = f"expected a profile that is not based on itself, got {name!r}"
        raise above.error(("based_on",), what)
    known = profile_names(folder)
    if name not in known:
        what = f"expected one of the profiles ({', '.join(known) or 'none'}), got {name!r}"
        raise above.error(("based_on",), what) if above else InputError(path, what)


def _check(profile: Profile, layers: _Layers) -> None:
    """Refuse values that are each well-formed but cannot stand together."""
    for names, holds, what in _demands(profile):
        if not holds:
            raise layers.error(names, f"{'.'.join(names)}: {what}")


_Demand = tuple[tuple[str, ...], bool, str]


def _demands(profile: Profile) -> Iterator[_Demand]:
    """What must hold between values: which value, whether it holds, and the error if not."""
    kinds, periods = profile.fouls.kinds, profile.periods
    yield ("fouls", "kinds"), FoulKind.PERSONAL in kinds, "expected personal, got none"
    for ejection in profile.fouls.ejections:
        strange = [kind.value for kind in ejection.of if kind not in kinds]
        what = f"expected kinds in fouls.kinds, got {', '.join(strange)}"
        yield ("fouls", "ejections"), not strange, what
    yield ("timeouts", "kinds"), bool(profile.timeouts.kinds), "expected a kind, got none"
    for allotment in profile.timeouts.allotments:
        known = allotment.kind in profile.timeouts.kinds
        what = f"expected a kind in timeouts.kinds, got {allotment.kind!r}"
        yield ("timeouts", "allotments"), known, what
    what = f"expected at most {periods.count}, got {periods.half_after}"
    yield ("periods", "half_after"), periods.half_after <= periods.count, what
    openings, stops = len(profile.arrow.openings), len(profile.clock.goal_stops_tenths)
    what = f"expected {periods.count}, one a period, got {openings}"
    yield ("arrow", "openings"), openings == periods.count, what
    what = f"expected {periods.count + 1}, one a period and one for overtime, got {stops}"
    yield ("clock", "goal_stops_tenths"), stops == periods.count + 1, what
    yield from _checklist(profile)
    for item in profile.roster.numbers:
        first, _, last = item.partition("-")
        well_formed = re.fullmatch(r"00|\d{1,2}|\d{1,2}-\d{1,2}", item)
        holds = well_formed is not None and (not last or int(first) <= int(last))
        what = f"expected numbers such as 7, 00 or 10-15, got {item!r}"
        yield ("roster", "numbers"), holds, what


def _checklist(profile: Profile) -> Iterator[_Demand]:
    order, items = profile.before.order, profile.before.items
    strange = [name for name in order if name not in items]
    what = f"expected items of before.items, got {', '.join(strange)}"
    yield ("before", "order"), not strange, what
    twice = [name for name in dict.fromkeys(order) if order.count(name) > 1]
    what = f"expected each item once, got {', '.join(twice)} twice"
    yield ("before", "order"), not twice, what
