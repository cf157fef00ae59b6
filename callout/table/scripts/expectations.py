"""The `== …` lines of a script: what the book should show; one lookup for each form of line."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

from callout.game.figures.fouls import coach_is_out, team_fouls, throws_for
from callout.game.figures.score import owed_to
from callout.game.figures.timeouts import timeouts_struck
from callout.game.terms import Team
from callout.table.clock import clock_text, parse_clock
from callout.table.foul_codes import coach_codes
from callout.table.session import Session
from callout.table.view import view

Book = Mapping[str, Any]
Lookup = Callable[[Session, Book, str], str]


class UnknownExpectationError(Exception):
    """The line asks for something that no book has."""


def check_book(session: Session, words: str) -> str:
    """The difference between the book and an expectation, as a line; empty if there is none.

    Raises:
        UnknownExpectationError: no book has what the line asks for.
    """
    book = view(session.game, session.now().left_tenths)
    for name in sorted(FORMS, key=len, reverse=True):
        if words == name or words.startswith(f"{name} "):
            rest = words[len(name) :].strip()
            about, look = FORMS[name]
            subject, wanted = _split(rest, about)
            try:
                got = look(session, book, subject)
            except KeyError:
                raise UnknownExpectationError(
                    f"expected a team or a player, got {rest!r}"
                ) from None
            subject = f"{name} {subject}".strip()
            return "" if _same(got, wanted) else f"expected {subject} {wanted!r}, got {got!r}"
    known = ", ".join(sorted(FORMS))
    raise UnknownExpectationError(f"expected one of {known}, got {words!r}")


def _split(rest: str, about: int) -> tuple[str, str]:
    """The words that say whose value it is, and the value expected."""
    parts = rest.split()
    return " ".join(parts[:about]), " ".join(parts[about:])


def _same(got: str, wanted: str) -> bool:
    """Whether the two values are the same; a clock time may be written in any of its forms."""
    shown = parse_clock(wanted)
    return got == (wanted if shown is None else clock_text(shown))


def _team(subject: str) -> Team:
    try:
        return Team(subject)
    except ValueError:
        raise KeyError(subject) from None


def _player(book: Book, subject: str) -> Mapping[str, Any]:
    team, _, number = subject.partition(" ")
    player: Mapping[str, Any] = book["players"][team][number]
    return player


def _score(session: Session, book: Book, subject: str) -> str:
    return f"{book['score']['home']} {book['score']['guest']}"


def _codes(session: Session, book: Book, subject: str) -> str:
    return " ".join(_player(book, subject)["foul_codes"]) or "none"


def _made(session: Session, book: Book, subject: str) -> str:
    made = _player(book, subject)["made"]
    return f"{made['1']} {made['2']} {made['3']}"


def _of_player(key: str) -> Lookup:
    return lambda session, book, subject: _plain(_player(book, subject)[key])


def _of_team(key: str) -> Lookup:
    return lambda session, book, subject: _plain(book[key][subject])


def _of_game(key: str) -> Lookup:
    return lambda session, book, subject: _plain(book[key])


def _team_fouls(session: Session, book: Book, subject: str) -> str:
    return str(team_fouls(session.game, _team(subject)))


def _owed(session: Session, book: Book, subject: str) -> str:
    owed = owed_to(session.game, _team(subject))
    return str(owed.left if owed else 0)


def _throws(session: Session, book: Book, subject: str) -> str:
    """The free throws for each foul charged to a player, `coach` or `bench`; c for cancelled."""
    name, _, who = subject.partition(" ")
    mine = [charge for charge in session.game.charges if charge.team is _team(name)]
    found = [charge for charge in mine if who in (charge.number, charge.on.value)]
    each = ("c" if charge.cancelled else str(throws_for(session.game, charge)) for charge in found)
    return " ".join(each) or "none"


def _open(session: Session, book: Book, subject: str) -> str:
    return f"{book['open'][subject]['points']} {book['open'][subject]['fouls']}"


def _struck(session: Session, book: Book, subject: str) -> str:
    return str(timeouts_struck(session.game, _team(subject), session.now().left_tenths))


def _coach_codes(session: Session, book: Book, subject: str) -> str:
    form = session.game.profile.sheet.form
    return " ".join(coach_codes(session.game, form, _team(subject))) or "none"


def _coach_out(session: Session, book: Book, subject: str) -> str:
    return _plain(coach_is_out(session.game, _team(subject)))


def _forfeit(session: Session, book: Book, subject: str) -> str:
    """Who lost it, and the score by the rules."""
    if not (lost := book["forfeit"]):
        return "none"
    return f"{lost['by']} {lost['score']['home']} {lost['score']['guest']}"


def _first_worn(session: Session, book: Book, subject: str) -> str:
    team, _, number = subject.partition(" ")
    return str(book["first_worn"][team].get(number, "none"))


def _clock(session: Session, book: Book, subject: str) -> str:
    return clock_text(book["clock_tenths"])


def _plain(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return " ".join(value)
    return "none" if value is None else str(value)


FORMS: Final[Mapping[str, tuple[int, Lookup]]] = {
    "score": (0, _score),
    "team fouls": (1, _team_fouls),
    "fouls": (2, _codes),
    "penalty": (1, _of_team("penalty")),
    "arrow": (0, _of_game("arrow")),
    "timeouts left": (1, _of_team("timeouts_left")),
    "timeouts used": (1, _of_team("timeouts_used")),
    "points": (2, _of_player("points")),
    "made": (2, _made),
    "missed": (2, _of_player("missed_1")),
    "out": (2, _of_player("out")),
    "owed": (1, _owed),
    "throws": (2, _throws),
    "open": (1, _open),
    "team points": (1, _of_team("team_points")),
    "adjusted": (1, _of_team("adjusted")),
    "timeouts struck": (1, _struck),
    "coach out": (1, _coach_out),
    "coach codes": (1, _coach_codes),
    "coach fouls": (1, _of_team("coach_fouls")),
    "bench fouls": (1, _of_team("bench_fouls")),
    "on court": (1, _of_team("on_court")),
    "first worn": (2, _first_worn),
    "forfeit": (0, _forfeit),
    "period": (0, _of_game("period")),
    "phase": (0, _of_game("phase")),
    "clock": (0, _clock),
    "clock running": (0, _of_game("clock_running")),
    "undone": (0, _of_game("undone")),
}
"""Each form of line, with the number of words that say whose value it is, and its lookup."""
