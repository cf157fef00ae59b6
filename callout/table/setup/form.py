"""A game's setup as a form asks for it, made into the lines of a setup file. Pure.

All that is wrong is told by the field in which it stands. Lines that a game could not be played
with are never given.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from callout.errors import InputError
from callout.game.figures.score import illegal_numbers
from callout.game.profile.file import load_profile, profile_names
from callout.game.profile.profile import Profile
from callout.game.terms import Team
from callout.language.grammar import Grammar
from callout.language.shipped import ENGLISH
from callout.table.setup.list_file import ReadList, read_lines_of_players
from callout.table.setup.pasted_list import SAME_NAME, clean_name, same_name
from callout.table.setup.roster import Player, say_roster
from callout.table.setup.written import HEAD, checked, language_rows

DUTIES: Final[Mapping[str, tuple[str, ...]]] = {
    "both": (),
    "book": ("clock: follow",),
    "no clock": ("clock: none",),
    "clock": ("book: second",),
}
"""Who does what, with the lines of the setup file that say so."""

NEW: Final = Path("new.setup")
"""What errors call a file that is not there yet; nobody is shown it."""


@dataclass(frozen=True, slots=True)
class TeamForm:
    """What was entered for one team."""

    name: str
    players: str = ""
    """A list as people type or paste it."""
    starters: tuple[str, ...] = ()
    coach: str = ""
    """The number of a player who is the coach, too."""
    colour: str = ""
    nickname: str = ""
    captain: str = ""
    """A number on the list."""
    staff: str = ""
    """The name of a coach who does not play."""
    assistant: str = ""


@dataclass(frozen=True, slots=True)
class Form:
    """What was entered."""

    profile: str
    home: TeamForm
    guest: TeamForm
    duty: str = "both"
    """One of `DUTIES`."""
    language: str = ENGLISH
    wake: str = ""
    place: str = ""
    competition: str = ""
    officials: str = ""
    """As in the setup file: `Crew chief Ann Lee, Umpire 1 Bo Reed`."""

    def team(self, team: Team) -> TeamForm:
        """The team of that side."""
        return self.home if team is Team.HOME else self.guest


@dataclass(frozen=True, slots=True)
class Remark:
    """What is wrong, or to be looked at, and where."""

    field: str
    """`language`, `profile`, `duty`, `wake`, `place`, `competition`, `officials`, or a team's:
    `home name`, `guest players`."""
    what: str
    row: int = 0
    """The line of a list; 0 for no line."""
    column: str = ""


@dataclass(frozen=True, slots=True)
class Checked:
    """What comes of a form."""

    rows: tuple[str, ...] = ()
    """The lines of the setup file; none if there is a mistake."""
    mistakes: tuple[Remark, ...] = ()
    notes: tuple[Remark, ...] = ()
    players: Mapping[str, tuple[Player, ...]] = field(default_factory=dict)
    """By team."""


def check_form(form: Form, grammar: Grammar, known: Set[str] | None = None) -> Checked:
    """The lines of a setup file, or what is wrong; `known` are the words that the ear knows."""
    lists = {team: read_lines_of_players(form.team(team).players) for team in Team}
    players = {team.value: lists[team].players for team in Team}
    mistakes = [*_unchosen(form), *_list_remarks(lists, wrong=True)]
    notes = list(_list_remarks(lists, wrong=False))
    if form.profile in profile_names():
        notes += _number_notes(load_profile(form.profile), lists, grammar)
    if mistakes:
        return Checked((), tuple(mistakes), tuple(notes), players)
    lines = [("", HEAD), *_lines(form, lists)]
    rows = tuple(row for _, row in lines)
    try:
        checked(NEW, rows, grammar, known)
    except InputError as error:
        where = lines[error.line - 1][0] if error.line else ""
        key, _, what = error.what.partition(": ")
        wrong = Remark(where, what if what and key in rows[(error.line or 1) - 1] else error.what)
        return Checked((), (wrong,), tuple(notes), players)
    return Checked(rows, (), tuple(notes), players)


def _unchosen(form: Form) -> Iterator[Remark]:
    if form.profile not in profile_names():
        yield Remark("profile", "choose a league")
    if form.duty not in DUTIES:
        yield Remark("duty", f"expected one of {', '.join(DUTIES)}, got {form.duty!r}")
    texts = {key: getattr(form, key) for key in ("place", "competition", "officials")}
    for team in Team:
        texts[f"{team.value} coach"] = form.team(team).staff
        texts[f"{team.value} assistant"] = form.team(team).assistant
    for where, text in texts.items():
        if "#" in text:
            yield Remark(where, "leave # out: in the file a remark would begin there")
    for team in Team:
        if not clean_name(form.team(team).name):
            yield Remark(f"{team.value} name", "a team needs a name")
        if form.team(team).coach and _one_line(form.team(team).staff):
            what = "choose a player who is the coach, or name another, not both"
            yield Remark(f"{team.value} coach", what)

    if same_name(form.home.name, form.guest.name):
        yield Remark("guest name", SAME_NAME)


def _list_remarks(lists: Mapping[Team, ReadList], *, wrong: bool) -> Iterator[Remark]:
    for team, read in lists.items():
        for row, column, what in read.mistakes if wrong else read.notes:
            yield Remark(f"{team.value} players", what, row, column)


def _number_notes(
    rules: Profile, lists: Mapping[Team, ReadList], grammar: Grammar
) -> Iterator[Remark]:
    """Numbers that the league forbids, and numbers that are mistaken for each other."""
    for team, read in lists.items():
        where, numbers = f"{team.value} players", [player.number for player in read.players]
        for number in illegal_numbers(rules, numbers):
            yield Remark(where, f"{number} is not a legal number in {rules.title!r}; it is kept")
        words = grammar.words
        for one, other in words.pairs_alike(numbers):
            said = f"say {words.digits(one)!r} or {words.digits(other)!r}"
            yield Remark(where, f"{one} and {other} sound alike: {said}")


def _lines(form: Form, lists: Mapping[Team, ReadList]) -> Iterator[tuple[str, str]]:
    """The lines of the file, each with the field that it comes from."""
    for line in language_rows(form.language):
        yield "language", line
    yield "profile", f"profile: {form.profile}"
    for line in DUTIES[form.duty]:
        yield "duty", line
    for key in ("place", "competition", "officials", "wake"):
        if text := _one_line(getattr(form, key)):
            yield key, f"{key}: {text}"
    for team in Team:
        given, side = form.team(team), team.value
        players = say_roster(lists[team].players)
        yield f"{side} name", f"{side}: {clean_name(given.name)} | {players}".rstrip()
        told: Sequence[tuple[str, str]] = (
            ("starters", " ".join(given.starters)), ("captain", given.captain),
            ("coach", given.coach or given.staff), ("assistant", given.assistant),
            ("colour", given.colour), ("nickname", given.nickname),
        )  # fmt: skip
        for key, value in told:
            if text := _one_line(value):
                yield f"{side} {key}", f"{key} {side}: {text}"


def _one_line(text: str) -> str:
    return " ".join(text.split())
