"""`callout rules`: lists the leagues, prints the rules of one, or where two differ."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from rich.console import Console
from rich.table import Table
from rich.text import Text

from callout.errors import CalloutError
from callout.game.profile.describe import Difference, Row, differences, rulebook
from callout.game.profile.file import load_profile, profile_names, profiles_like
from callout.game.profile.profile import Profile

Found = Sequence[Row | Difference] | None
"""The rows to print; None to list the leagues."""


def rules(name: str | None = None, other: str | None = None, as_json: bool = False) -> int:
    """Print one league's rules, where two differ, or all leagues; returns the exit status.

    Raises:
        CalloutError: there is no such profile, or its file is wrong.
    """
    names = [each for each in (name, other) if each is not None]
    for each in names:
        if each not in profile_names():
            what = f"expected one of the profiles ({', '.join(profile_names())})"
            raise CalloutError(f"{what}{profiles_like(each)}, got {each!r}")
    profiles = [load_profile(each) for each in names or profile_names()]
    found: Found = None
    if len(names) == 1:
        found = rulebook(*profiles)
    elif names:
        found = differences(*profiles)
    if as_json:
        print(json.dumps(_plain(profiles, found), ensure_ascii=False))
    else:
        console = Console(width=100, highlight=False)
        console.print(_leagues(profiles) if found is None else _table(profiles, found))
    return 0


def _plain(profiles: Sequence[Profile], found: Found) -> dict[str, Any]:
    told: dict[str, Any] = {"profiles": [{"name": p.name, "title": p.title} for p in profiles]}
    if found is not None:
        told["rules"] = [asdict(row) for row in found]
    return told


def _leagues(profiles: Sequence[Profile]) -> Table:
    table = Table("Profile", "League")
    for profile in profiles:
        table.add_row(Text(profile.name), Text(profile.title))
    return table


def _table(profiles: Sequence[Profile], found: Sequence[Row | Difference]) -> Table | Text:
    titles = [profile.title for profile in profiles]
    if not found:
        return Text(f"No rule differs: {titles[0]}; {titles[1]}")
    alone = len(profiles) == 1
    table = Table(title=Text(titles[0]) if alone else None, title_justify="left")
    for head in ("Rule", "Value", "Source") if alone else ("Rule", *titles):
        table.add_column(Text(head))
    section = ""
    for row in found:
        if row.section != section:
            section = row.section
            table.add_section()
            table.add_row(Text(section, style="bold"))
        table.add_row(*map(Text, _cells(row)))
    return table


def _cells(row: Row | Difference) -> tuple[str, ...]:
    if isinstance(row, Row):
        return (row.label, row.value, row.source)
    return (row.label, *(value if value is not None else "–" for value in row.values))
