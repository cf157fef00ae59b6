"""Profiles read from their files and checked.

Every value in a profile file is written `{ is = …, source = "…" }`. `based_on` names another
profile whose values hold wherever the file gives none of its own, so a local league is a few
lines. No code knows any league's name.
"""

from __future__ import annotations

import re
import tomllib
from functools import cache
from pathlib import Path
from typing import Any, Final

from pydantic import TypeAdapter, ValidationError

from callout.errors import InputError
from callout.game.profile import Profile

PROFILES: Final = Path(__file__).parent.parent / "profiles"
"""The folder of the profiles that come with the program."""


def profile_names(folder: Path = PROFILES) -> tuple[str, ...]:
    """The names of all profiles in a folder, in alphabetical order."""
    return tuple(sorted(path.stem for path in folder.glob("*.toml")))


@cache
def load_profile(name: str, folder: Path = PROFILES) -> Profile:
    """The rules of the league of that name.

    Raises:
        InputError: no such profile, or its file is wrong; `path:line: expected …, got …`.
    """
    values, sources = _layers(name, folder, ())
    path = folder / f"{name}.toml"
    try:
        profile: Profile = _ADAPTER.validate_python({**values, "name": name, "sources": sources})
    except ValidationError as error:
        first = error.errors()[0]
        dotted = ".".join(str(part) for part in first["loc"])
        what = first["msg"][0].lower() + first["msg"][1:]
        got = "nothing" if first["type"] == "missing" else repr(first["input"])
        line = _line(path.read_text(encoding="utf-8"), tuple(str(p) for p in first["loc"]))
        raise InputError(path, f"{dotted}: {what}, got {got}", line) from None
    _check(profile, path)
    return profile


_ADAPTER: Final = TypeAdapter(Profile)
_PLAIN: Final = ("title", "edition", "based_on")


def _layers(
    name: str, folder: Path, below: tuple[str, ...]
) -> tuple[dict[str, Any], dict[str, str]]:
    """The values and sources of a profile with those of the profile that it is based on."""
    path = folder / f"{name}.toml"
    if name in below:
        raise InputError(path, f"expected a profile that is not based on itself, got {name!r}")
    try:
        text = path.read_text(encoding="utf-8")
        data = tomllib.loads(text)
    except FileNotFoundError:
        known = ", ".join(profile_names(folder)) or "none"
        raise InputError(path, f"expected one of the profiles ({known}), got {name!r}") from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        line = re.search(r"line (\d+)", str(error))
        raise InputError(path, f"expected TOML: {error}", int(line[1]) if line else None) from None
    base = data.pop("based_on", None)
    values, sources = _layers(str(base), folder, (*below, name)) if base else ({}, {})
    for key, section in data.items():
        if key in _PLAIN:
            values[key] = section
            continue
        if not isinstance(section, dict):
            what = f"expected a table, got {key} = {section!r}"
            raise InputError(path, what, _line(text, (key,)))
        merged = dict(values.get(key, {}))
        for item, entry in section.items():
            if not (isinstance(entry, dict) and set(entry) == {"is", "source"} and entry["source"]):
                what = f'{key}.{item}: expected {{ is = …, source = "…" }}, got {entry!r}'
                raise InputError(path, what, _line(text, (key, item)))
            merged[item] = entry["is"]
            sources[f"{key}.{item}"] = str(entry["source"])
        values[key] = merged
    return values, sources


def _line(text: str, names: tuple[str, ...]) -> int:
    """The line that gives the value of a dotted name, or its table, or the first line."""
    section, found = "", 1
    for number, row in enumerate(text.splitlines(), start=1):
        header = re.match(r"\s*\[([^\]]+)\]", row)
        if header:
            section = header[1].strip()
            found = number if names and section == names[0] else found
        key = re.match(r"\s*([\w-]+)\s*=", row)
        if key and (section, key[1]) == names[:2]:
            return number
        if key and not section and names and key[1] == names[0]:
            return number
    return found


def _check(profile: Profile, path: Path) -> None:
    """Refuse values that are each well-formed but cannot stand together."""
    text = path.read_text(encoding="utf-8")
    for allotment in profile.timeouts.allotments:
        if allotment.kind not in profile.timeouts.kinds:
            what = f"expected a kind in timeouts.kinds, got {allotment.kind!r}"
            raise InputError(path, what, _line(text, ("timeouts", "allotments")))
    if profile.periods.half_after > profile.periods.count:
        what = f"expected at most {profile.periods.count}, got {profile.periods.half_after}"
        raise InputError(path, what, _line(text, ("periods", "half_after")))
    for item in profile.roster.numbers:
        if not re.fullmatch(r"00|\d{1,2}|\d{1,2}-\d{1,2}", item):
            what = f"expected numbers such as 7, 00 or 10-15, got {item!r}"
            raise InputError(path, what, _line(text, ("roster", "numbers")))
