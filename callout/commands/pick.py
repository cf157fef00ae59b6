"""`callout new --fixtures`: today's game is picked from a league's list."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import Final

from rich.console import Console
from rich.table import Table
from rich.text import Text

from callout.commands.people import Ask
from callout.edges.league.fixtures_file import read_fixtures
from callout.edges.league.server import connected
from callout.edges.league.setting_up import fixtures_of
from callout.errors import CalloutError
from callout.league.fixtures import Fixture, on_day, setup_lines
from callout.words import Words

MOST: Final = 60
"""The most fixtures that are shown where none is today's."""


def picked(
    words: Words, source: str, ask: Ask, ask_league: Callable[[Words, Ask], str], day: date
) -> list[str]:
    """The lines of the setup file of the fixture that a person picks.

    `source`: a file of fixtures, or a league's server, which knows the rules, too.

    Raises:
        CalloutError: it cannot be read, or has no fixtures.
    """
    if source.startswith(("postgresql:", "postgres:")):
        with connected(source) as connection:
            profile, fixtures = fixtures_of(connection)
        return setup_lines(_one_of(words, fixtures, day, ask), profile, source)
    fixture = _one_of(words, read_fixtures(Path(source)), day, ask)
    return setup_lines(fixture, ask_league(words, ask))


def _one_of(words: Words, fixtures: Sequence[Fixture], day: date, ask: Ask) -> Fixture:
    today = on_day(fixtures, day)
    shown = today or list(fixtures[:MOST])
    if not shown:
        raise CalloutError(words("no_fixtures"))
    if not today:
        print(words("none_today", day=f"{day:%Y-%m-%d}"))
    table = Table("", *map(words, ("starts", "home_head", "guest_head", "place", "game")))
    for nth, each in enumerate(shown, start=1):
        starts = f"{each.starts:%Y-%m-%d %H:%M}" if each.starts else ""
        table.add_row(str(nth), starts, *map(Text, (each.home, each.guest, each.place, each.key)))
    Console(width=100, highlight=False).print(table)
    while True:
        answer = ask(words("ask_game"), "1")
        found = [each for each in shown if each.key == answer]
        if answer.isdecimal() and 0 < int(answer) <= len(shown):
            found = [shown[int(answer) - 1]]
        if found:
            return found[0]
        print(words("expected_game", most=len(shown)))
