"""A league's list of games to come: from a table or an iCalendar file."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from pathlib import Path
from typing import Final

from callout.errors import CalloutError, InputError
from callout.plain import plain
from callout.table.setup.pasted_list import clean_name
from callout.table.setup.roster import RosterError, parse_roster, say_roster

MOST: Final = 20_000
"""Fixtures of a file."""
LONGEST: Final = 200
"""Characters of a name or a key."""

HEADS: Final[Mapping[str, str]] = {
    "home": "home", "home team": "home", "guest": "guest", "away": "guest", "visitors": "guest",
    "guest team": "guest", "away team": "guest", "date": "date", "day": "date", "time": "time",
    "start": "time", "starts": "date", "key": "key", "game": "key", "no": "key", "no.": "key",
    "number": "key", "place": "place", "gym": "place", "venue": "place", "location": "place",
    "table": "table", "role": "table", "home numbers": "home_numbers",
    "guest numbers": "guest_numbers",
}  # fmt: skip
"""Names that a column may have, in capitals or not."""

_AGAINST: Final = re.compile(r"\s+(?:vs?\.?|-|–|—|against)\s+", re.IGNORECASE)
"""What stands between two teams in the title of a calendar's event."""
_DATES: Final = ("%Y-%m-%d", "%d.%m.%Y", "%m/%d/%Y", "%Y/%m/%d")
_TIMES: Final = ("%H:%M", "%H:%M:%S", "%I:%M %p", "%I:%M%p", "%H.%M")


@dataclass(frozen=True, slots=True)
class Fixture:
    """One game to come."""

    key: str
    """By which a game says that it is this one."""
    home: str
    guest: str
    starts: datetime | None = None
    """By the clock on the gym's wall."""
    place: str = ""
    table: str = ""
    """The one role that may send it; empty for any."""
    home_numbers: str = ""
    guest_numbers: str = ""


def checked(path: Path, fixtures: Sequence[Fixture]) -> tuple[Fixture, ...]:
    """The fixtures of a file, if there are some and each has a key of its own.

    Raises:
        InputError: there are none or too many, or two have one key.
    """
    if not fixtures:
        raise InputError(path, "expected fixtures, got none")
    if len(fixtures) > MOST:
        raise InputError(path, f"expected at most {MOST:,} fixtures, got {len(fixtures):,}")
    seen: set[str] = set()
    for each in fixtures:
        if each.key in seen:
            raise InputError(path, f"expected each key once, got {each.key!r} again")
        seen.add(each.key)
    return tuple(fixtures)


def on_day(fixtures: Iterable[Fixture], day: date) -> list[Fixture]:
    """Those of a day, in the order in which they start."""
    with_start = [(each.starts, each) for each in fixtures if each.starts is not None]
    return [each for starts, each in sorted(with_start, key=_start) if starts.date() == day]


def _start(pair: tuple[datetime, Fixture]) -> datetime:
    return pair[0]


def setup_lines(fixture: Fixture, profile: str, league: str = "") -> list[str]:
    """The setup file of a fixture's game."""
    lines = [f"profile: {profile}", f"home: {fixture.home} | {fixture.home_numbers}".rstrip(),
             f"guest: {fixture.guest} | {fixture.guest_numbers}".rstrip()]  # fmt: skip
    place = clean_name(fixture.place)
    lines += [f"place: {place}"] if place else []
    lines += [f"league: {league}"] if league else []
    return [*lines, f"fixture: {fixture.key}"]


# --- tables ---------------------------------------------------------------------------------------


def from_csv(path: Path, data: bytes) -> list[Fixture]:
    """The fixtures of a CSV file, with commas, semicolons or tabs.

    Raises:
        InputError: it has a mistake; `path:line: …`.
    """
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(path, "expected a text file in UTF-8, got other bytes", 1) from None
    first = text.partition("\n")[0]
    rows = csv.reader(io.StringIO(text), delimiter=max(",;\t", key=first.count), strict=True)
    try:
        return from_rows(path, list(rows))
    except csv.Error as error:
        raise InputError(path, f"expected CSV: {error}", rows.line_num) from None


def from_rows(path: Path, rows: Sequence[Sequence[str]]) -> list[Fixture]:
    """The fixtures of a table whose first row has the columns' names.

    Raises:
        InputError: a column is missing or a row has a mistake; `path:line: …`.
    """
    if not rows:
        return []
    heads = [HEADS.get(str(head).strip().lower(), "") for head in rows[0]]
    for wanted in ("home", "guest"):
        if wanted not in heads:
            raise InputError(path, f"expected a column {wanted!r}, got {_shown(rows[0])}", 1)
    made = []
    for number, row in enumerate(rows[1:], start=2):
        cells = {head: cell for head, cell in zip(heads, row, strict=False) if head}
        if not any(str(cell).strip() for cell in cells.values()):
            continue
        try:
            made.append(_fixture(cells))
        except CalloutError as error:
            raise InputError(path, str(error), number) from None
    return made


def _shown(cells: Iterable[str]) -> str:
    return ", ".join(repr(str(cell))[:40] for cell in list(cells)[:12])


def _fixture(cells: Mapping[str, str]) -> Fixture:
    home, guest = _text(cells, "home"), _text(cells, "guest")
    starts = _starts(cells.get("date", ""), cells.get("time", ""))
    named = f"{starts:%Y-%m-%d %H:%M} {home} - {guest}" if starts else f"{home} - {guest}"
    # It stands in a setup file, where the rest of a line after a # is a remark.
    key = " ".join(_text(cells, "key").replace("#", " ").split()) or named
    return _checked(Fixture(
        key[:LONGEST], home, guest, starts, _text(cells, "place"), _text(cells, "table"),
        _numbers(_text(cells, "home_numbers")), _numbers(_text(cells, "guest_numbers")),
    ))  # fmt: skip


def _text(cells: Mapping[str, str], head: str) -> str:
    return plain(" ".join(str(cells.get(head, "")).split()))


def _numbers(text: str) -> str:
    try:
        return say_roster(parse_roster(text.replace(",", " ").replace(";", " ")))
    except RosterError as error:
        raise CalloutError(str(error)) from None


def _checked(fixture: Fixture) -> Fixture:
    for what, name in (("home", fixture.home), ("guest", fixture.guest)):
        if not name or len(name) > LONGEST or "|" in name or "#" in name:
            raise CalloutError(f"expected the {what} team's name, got {name!r:.60}")
    if fixture.home == fixture.guest:
        raise CalloutError(f"expected two teams, got {fixture.home!r} twice")
    return fixture


def _starts(day: str, at: str) -> datetime | None:
    """The start, from one text or two."""
    first, _, rest = " ".join(day.replace("T", " ").split()).partition(" ")
    if not first:
        return None
    for form in _DATES:
        try:
            found = datetime.strptime(first, form).date()
        except ValueError:
            continue
        return datetime.combine(found, _time(at if at.strip() else rest))
    raise CalloutError(f"expected a date such as 2026-11-28, got {day!r:.40}")


def _time(at: str) -> time:
    text = " ".join(at.split()).upper()
    if not text:
        return time(0, 0)
    for form in _TIMES:
        try:
            return datetime.strptime(text, form).time()
        except ValueError:
            continue
    raise CalloutError(f"expected a time such as 18:30, got {at!r:.40}")


# --- calendars ------------------------------------------------------------------------------------


def from_calendar(path: Path, data: bytes) -> list[Fixture]:
    """The events of an iCalendar file whose title names two teams: `A vs. B`, `A - B`.

    Raises:
        InputError: it is none, or has a mistake.

    Source: RFC 5545.
    """
    from icalendar import Calendar

    try:
        events = Calendar.from_ical(data).walk("VEVENT")
    # A zone's name is looked up as a file, and may be too long for one.
    except (ValueError, IndexError, KeyError, RecursionError, OSError) as error:
        raise InputError(path, f"expected a calendar: {error!s:.100}") from None
    made = []
    for event in events:
        parts = _AGAINST.split(str(event.get("SUMMARY", "")), maxsplit=1)
        if str(event.get("STATUS", "")).upper() == "CANCELLED" or len(parts) != 2:
            continue
        begins = event.decoded("DTSTART", None)
        if isinstance(begins, datetime) and begins.tzname() == "UTC":
            begins = begins.astimezone()  # Any other zone is that of the gym.
        starts = _starts(str(begins)[:19], "") if isinstance(begins, date) else None
        cells = {"home": parts[0], "guest": parts[1], "place": str(event.get("LOCATION", "")),
                 "key": str(event.get("UID", ""))}  # fmt: skip
        made.append(_with_start(_calendar_fixture(path, cells), starts))
    return made


def _calendar_fixture(path: Path, cells: Mapping[str, str]) -> Fixture:
    try:
        return _fixture(cells)
    except CalloutError as error:
        raise InputError(path, str(error)) from None


def _with_start(fixture: Fixture, starts: datetime | None) -> Fixture:
    return replace(fixture, starts=starts)
