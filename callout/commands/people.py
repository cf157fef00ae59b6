"""`callout people`: who coached and who officiated, for the score sheet; names may come late.

Only grown-up people's names are asked for, and only those that the league's sheet has a place for.
A captain is a number of the list: the name stands there if the list has names.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import Final

import typer

from callout.game.terms import Team
from callout.language.words import words_of
from callout.plain import plain
from callout.table.book.journal import Journal
from callout.table.setup.game_path import check_game_exists
from callout.table.setup.pasted_list import clean_name
from callout.table.setup.people import ASSISTANT, COACH, Person, name_of, say_officials
from callout.table.setup.setup import Listed, Setup
from callout.words import Words

Ask = Callable[[str, str], str]
"""`(what, usual)`: what a person answers, or `usual` to an empty answer."""

STAFF: Final = {COACH: "coach_of", ASSISTANT: "assistant_of"}
NOBODY: Final = "-"
"""The answer that takes a name out."""

_TEXTS: Final = ("place", "competition")


def people(game: Path, ask: Ask | None = None) -> int:
    """Ask for the names of coaches and officials, and keep them in the game; the exit status.

    Who stops before the last question keeps what was answered; the status is 1 then.

    Raises:
        CalloutError: there is no such game.
        JournalError: the game cannot be opened or written.
    """
    check_game_exists(game)
    with Journal.open(game) as journal:
        words = words_of(journal.setup.language)
        print(words("enter_keeps", nobody=NOBODY))
        asked = _UntilStopped(ask or prompt)
        named = tuple(_named(words, journal.setup, asked))
        journal.name_people(named)
        told = plain(words.count("people_named", len(named), game=game))
        with suppress(OSError):  # The terminal's window may be closed.
            print(f"\n{told}; {words('answers_kept')}" if asked.stopped else told)
    return int(asked.stopped)


class _UntilStopped:
    """Asks until somebody stops, by Ctrl-C, Ctrl-D or a closed window; from then on all stays."""

    def __init__(
        self, ask: Ask, stops: Callable[[BaseException], bool] = lambda _ended: True
    ) -> None:
        self._ask, self._stops = ask, stops
        self.stopped = False

    def __call__(self, what: str, usual: str) -> str:
        if not self.stopped:
            try:
                return self._ask(what, usual)
            except (typer.Abort, KeyboardInterrupt) as ended:
                if not self._stops(ended):
                    raise
                self.stopped = True
        return usual


def prompt(what: str, usual: str) -> str:
    """Ask on the terminal."""
    answer: str = typer.prompt(what, default=usual, show_default=bool(usual))
    return answer.strip()


def _named(words: Words, setup: Setup, ask: Ask) -> Iterator[Person]:
    for whose, role, what in _places(words, setup):
        answer = ask(what, name_of(setup.people, whose, role))
        name = clean_name(answer)
        if name != answer:
            print(plain(words("name_taken", what=name or words("no_name"))))
        if name and name != NOBODY:
            yield whose, role, name


def _places(words: Words, setup: Setup) -> Iterator[tuple[str, str, str]]:
    """Every place for a name: whose, the role, and how it is asked for."""
    for team in Team:
        listed = setup.team(team)
        for role, what in STAFF.items():
            if role != COACH or listed.coach is None:
                yield team.value, role, plain(words(what, name=listed.name))
    for role in setup.rules().sheet.officials:
        yield "", role, words.role(role)


# --- in a new setup file --------------------------------------------------------------------------


def sheet_lines(setup: Setup, ask: Ask) -> list[str]:
    """The lines of a setup file for what else stands on the sheet; each may be left out.

    What the setup has already is not asked for.
    """
    words = words_of(setup.language)
    # Once the answers are over, all that is needed has been given. Who presses Ctrl-C may have
    # seen a mistake, and gets no file.
    ask = _UntilStopped(ask, is_over)
    if not words.agrees(ask(words("ask_sheet"), "")):
        return []
    found = {key: clean_name(ask(words(key), "")) for key in _TEXTS if not getattr(setup, key)}
    for team in Team:
        listed = setup.team(team)
        if listed.players and listed.captain is None:
            found[f"captain {team.value}"] = _captain(words, listed, ask)
    officials = []
    for whose, role, what in _places(words, setup):
        name = clean_name(ask(what, ""))
        while role == COACH and name[:1].isdigit():
            again = words("expected_name", got=name, what=what)
            name = clean_name(ask(plain(again), ""))
        if name and whose:
            found[f"{role} {whose}"] = name
        elif name:
            officials.append((whose, role, name))
    found["officials"] = say_officials(officials)
    return [f"{key}: {value}" for key, value in found.items() if value]


def is_over(ended: BaseException) -> bool:
    """Whether the answers are over, by Ctrl-D or the end of a pipe; Ctrl-C stands for no answer."""
    return isinstance(ended.__context__, EOFError)


def _captain(words: Words, listed: Listed, ask: Ask) -> str:
    numbers = [player.number for player in listed.players]
    what = words("ask_captain", name=listed.name)
    while (number := ask(plain(what), "")) and number not in numbers:
        told = words("expected_of_list", numbers=" ".join(numbers), got=number)
        print(plain(told))
    return number
