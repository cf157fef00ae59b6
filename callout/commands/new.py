"""`callout new`: asks for league, teams and numbers, and writes the setup file of a game."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Sequence, Set
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Final

import typer
from rich.console import Console
from rich.table import Table
from rich.text import Text

from callout.commands.cautions import tell_names
from callout.commands.people import Ask, is_over, prompt, sheet_lines
from callout.commands.spoken import ENGLISH, check_code, is_heard
from callout.errors import CalloutError, InputError
from callout.game.figures.score import illegal_numbers
from callout.game.profile.file import load_profile, profile_names, profiles_near
from callout.language.words import words_of
from callout.plain import plain, quoted
from callout.reading import exists, is_file, is_folder
from callout.table.book.files import write_whole, writing
from callout.table.setup.list_file import NO_NUMBER, why_left_out
from callout.table.setup.pasted_list import (
    SAME_NAME,
    TABLE_ROW,
    name_and_numbers,
    read_pasted,
    same_name,
)
from callout.table.setup.player_table import read_roster
from callout.table.setup.roster import Player, say_roster
from callout.table.setup.setup import make_setup, read_setup
from callout.table.setup.written import HEAD, items_of, language_rows, named_after
from callout.words import Words

USUAL: Final = "youth-6-minute"
"""The league that is offered."""

MOST_LINES: Final = 200
"""The most lines of a list that are asked for."""


@dataclass(frozen=True, slots=True)
class TeamLines:
    """A team as its lines of the setup file give it."""

    name: str
    players: tuple[Player, ...] = ()
    file: Path | None = None
    """The CSV file of its list, in place of numbers on the line."""

    def lines(self, side: str, folder: Path) -> Iterator[str]:
        """Its lines in the setup file; a list beside that file is named without its folder."""
        if self.file is None:
            yield f"{side}: {self.name} | {say_roster(self.players)}".rstrip()
            return
        yield f"{side}: {self.name} |"
        near = self.file.parent.resolve() == folder.resolve()
        yield f"roster {side}: {self.file.name if near else self.file.resolve()}"


def new(
    file: Path | None = None,
    ask: Ask | None = None,
    fixtures: str = "",
    language: str = ENGLISH,
) -> int:
    """Ask, write the file and show it; returns the exit status. An old file is never replaced.

    `fixtures`: a file or a server from which the game is picked; `language`: the code of the one in
    which the game is called.

    Raises:
        CalloutError: the file exists already, or cannot be written; or there is no such language.
    """
    asked = ask or prompt
    check_code(language)
    if file is None:
        check_writable(Path())
    else:
        check_free(file)
    words, begin = words_of(language), [HEAD, *language_rows(language)]
    if fixtures:
        return _from_fixtures(words, file, asked, fixtures, begin)
    profile = _league(words, asked)
    home = _team(words, "home", asked)
    teams = [home, _team(words, "guest", asked, home.name)]
    _warn(words, profile, teams)
    path = file or free_path(Path(named_after(team.name for team in teams)))
    rows = [*begin, f"profile: {profile}"]
    for side, team in zip(("home", "guest"), teams, strict=True):
        rows += team.lines(side, path.parent)
    _write(words, path, [*rows, *sheet_lines(make_setup(items_of(path, rows), path), asked)])
    return 0


def _from_fixtures(
    words: Words, file: Path | None, ask: Ask, fixtures: str, begin: Sequence[str]
) -> int:
    from callout.commands.pick import picked

    lines = picked(words, fixtures, ask, _league, date.today())
    names = [line.partition(": ")[2].partition(" |")[0] for line in lines[1:3]]
    rows = [*begin, *lines]
    path = file or free_path(Path(named_after(names)))
    for side, name in zip(("home", "guest"), names, strict=True):
        at = next(nth for nth, row in enumerate(rows) if row.startswith(f"{side}: "))
        if rows[at].endswith("|"):
            rows[at : at + 1] = _list_of(words, name, ask).lines(side, path.parent)
    _write(words, path, [*rows, *sheet_lines(make_setup(items_of(path, rows), path), ask)])
    return 0


def _show(words: Words, path: Path, rows: Sequence[str]) -> None:
    """The file, and the two commands that it is for."""
    print(f"\n{words('written', path=plain(str(path)))}\n")
    print("\n".join(f"  {plain(row)}" for row in rows))
    setup, game = (quoted(each) for each in (path, path.with_suffix(".game")))
    written = read_setup(path)
    ear = "" if is_heard(written.language) else " --ear off"
    print(f"\n{words('try_it')}")
    print(f"  callout live practice.game --setup {setup} --ear off --voice print --keys typed")
    print(f"{words('keep_it')}\n  callout live {game} --setup {setup}{ear}")
    print(f"{words('late_names')}\n  callout people {game}\n\n{words('aid')}")
    tell_names(plain(str(path)), written)


# --- what is asked --------------------------------------------------------------------------------


def _league(words: Words, ask: Ask) -> str:
    """The profile that a name, a number of the list, or a part of either name stands for."""
    names = profile_names()
    table = Table("", words("profile"), words("league"))
    for nth, name in enumerate(names, start=1):
        table.add_row(str(nth), Text(name), Text(load_profile(name).title))
    Console(width=80, highlight=False).print(table)
    while True:
        answer = ask(words("league"), USUAL)
        if answer.isdecimal() and 0 < int(answer) <= len(names):
            return names[int(answer) - 1]
        found = _leagues_like(answer)
        if len(found) == 1:
            if found[0] != answer:
                print(words("taken", what=found[0]))
            return found[0]
        near = words("or").join(map(repr, found or profiles_near(answer)))
        such = words("such_as", names=near) if near else ""
        print(words("expected_league", such=such, got=plain(answer)))


def _leagues_like(answer: str) -> list[str]:
    """The profiles that have each word of an answer in their name or title."""
    if answer in profile_names():
        return [answer]
    words = re.findall(r"\w+", answer.lower())
    whole = {name: f"{name} {load_profile(name).title}".lower() for name in profile_names()}
    return [name for name, text in whole.items() if words and all(word in text for word in words)]


def _team(words: Words, side: str, ask: Ask, other: str = "") -> TeamLines:
    name, numbers = "", ""
    while not name:
        usual = words(f"{side}_head")
        name, numbers = name_and_numbers(ask(words(f"ask_{side}"), usual))
        if same_name(name, other):
            why = words.said(SAME_NAME)
            print(plain(words("not_taken", why=f"{why[:1].upper()}{why[1:]}", got=name)))
            name = ""
    if numbers:
        players = read_pasted([numbers]).players
        print(words("taken_as_numbers", numbers=say_roster(players)))
        return TeamLines(name, players)
    return _list_of(words, name, ask)


def _list_of(words: Words, name: str, ask: Ask) -> TeamLines:
    """A team with the list that is typed, pasted or named; an empty line ends it."""
    print(words("numbers_of", name=plain(name)))
    lines: list[str] = []
    while len(lines) < MOST_LINES:
        line = _line(words, ask, is_first=not lines)
        if not line:
            break
        if lines or not _names_a_file(line):
            lines.append(line)
            continue
        try:
            players = read_roster(Path(line).expanduser())
        except InputError as error:
            told = str(error).replace(error.what, words.said(error.what))
            print(words("another_file", error=told))
            continue
        print(words.count("players_read", len(players)))
        return TeamLines(name, players, Path(line).expanduser())
    pasted = read_pasted(lines)
    known = {player.number for player in pasted.players}
    for part in pasted.left_out:
        print(plain(words("left_out", what=_left_out(words, part, known))))
    count = len(pasted.players)
    print(words.count("players_read", count) if count else words("no_list"))
    return TeamLines(name, pasted.players)


def _line(words: Words, ask: Ask, is_first: bool) -> str:
    """The next line of a list; empty at its end, which Ctrl-D is, too, once it has a line."""
    try:
        return ask(f"  {words('empty_line_ends')}" if is_first else "  ", "")
    except typer.Abort as ended:
        if is_first or not is_over(ended):
            raise
        print()
        return ""


def _left_out(words: Words, part: str, known: Set[str]) -> str:
    """A part of a list, and why it is left out; a row of a table says that itself."""
    why = why_left_out(part, known)
    if part.startswith(TABLE_ROW):
        return part.replace(why, words.said(why))
    return f"{part}: {words('no_number') if why == NO_NUMBER else words.said(why)}"


def _names_a_file(line: str) -> bool:
    path = Path(line).expanduser()
    return path.suffix.lower() in (".csv", ".tsv", ".txt") or is_file(path)


def _warn(words: Words, profile: str, teams: Sequence[TeamLines]) -> None:
    rules = load_profile(profile)
    for team in teams:
        wrong = illegal_numbers(rules, [player.number for player in team.players])
        if wrong:
            given = {"numbers": ", ".join(wrong), "league": rules.title}
            print(words.count("not_legal", len(wrong), team=plain(team.name), **given))


# --- what is written ------------------------------------------------------------------------------


def check_free(path: Path) -> None:
    """Refuse the name of a file that exists already, or for which there is no folder to write.

    Raises:
        CalloutError: it is such a name.
    """
    if not exists(path.parent):
        raise CalloutError(f"{path}: there is no folder {path.parent}")
    if exists(path):
        what = "a folder" if is_folder(path) else "a file that exists already"
        raise CalloutError(f"{path}: expected a new file's name, got {what}")
    check_writable(path.parent)


def check_writable(folder: Path) -> None:
    """Refuse a folder in which nothing can be written, before a list is typed in vain.

    Raises:
        CalloutError: it is one.
    """
    if not os.access(folder, os.W_OK | os.X_OK):
        raise CalloutError(f"{folder.resolve()}: nothing can be written here; go to another folder")


def free_path(path: Path) -> Path:
    """The path, or the first numbered one that does not exist."""
    others = (path.with_stem(f"{path.stem}-{nth}") for nth in range(2, 1000))
    return next(each for each in (path, *others) if not exists(each))


def _write(words: Words, path: Path, rows: Sequence[str]) -> None:
    check_free(path)
    make_setup(items_of(path, rows), path)  # It must be readable before it is there.
    write_rows(path, rows)
    _show(words, path, rows)


def write_rows(path: Path, rows: Sequence[str]) -> None:
    """Write a setup file.

    Raises:
        CalloutError: it cannot be written.
    """
    with writing(path):
        write_whole(path, "".join(f"{row}\n" for row in rows).encode())
