"""What to call, and what was called, as rows that a language has words for."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

from callout.game.notices.kinds import Notice
from callout.game.terms import Award, FoulKind
from callout.practice import kinds
from callout.practice.facts import MADE, Fact

_PLAIN: Final = {
    "timeout over": kinds.SAY_TIMEOUT_OVER,
    "sub": kinds.SAY_SUB,
    "subs in": kinds.SAY_SUBS_IN,
    "held ball": kinds.SAY_HELD,
    "start": kinds.SAY_START,
    "stop": kinds.SAY_STOP,
    "undo": kinds.SAY_UNDO,
    "score": kinds.SAY_SCORE,
}


def said(fact: Fact) -> Notice:
    """The call that says so."""
    if fact.kind in _PLAIN:
        return Notice(_PLAIN[fact.kind])
    return _SAID[fact.kind](fact)


def _goal(fact: Fact) -> Notice:
    return Notice(kinds.SAY_GOAL, {**_player(fact), "points": int(fact.what)})


def _throw(fact: Fact) -> Notice:
    return Notice(kinds.SAY_THROW, {"made": fact.what == MADE[True]})


def _foul(fact: Fact) -> Notice:
    foul = FoulKind(fact.what)
    if foul is FoulKind.PERSONAL:
        return Notice(kinds.SAY_FOUL, _player(fact))
    if foul is FoulKind.OFFENSIVE:
        return Notice(kinds.SAY_CHARGE, _player(fact))
    return Notice(kinds.SAY_FOUL_KIND, {**_player(fact), "foul": foul})


def _player(fact: Fact) -> dict[str, Any]:
    return {"team": fact.team, "number": fact.number}


_SAID: Final[Mapping[str, Callable[[Fact], Notice]]] = {
    "goal": _goal,
    "throw": _throw,
    "foul": _foul,
    "shots": lambda fact: Notice(kinds.SAY_SHOTS, {"award": Award(fact.what)}),
    "timeout": lambda fact: Notice(kinds.SAY_TIMEOUT, {"team": fact.team}),
    "tip": lambda fact: Notice(kinds.SAY_TIP, {"team": fact.team}),
    "number": lambda fact: Notice(kinds.SAY_NUMBER, {"number": fact.number}),
}
