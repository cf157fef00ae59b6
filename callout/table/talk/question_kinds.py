"""What the table asks before it books: one row for each kind of question.

A new kind is a row here, the lines `ask_…` and `kept_…` of each language's replies.yaml, and the
code that opens it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Self

from callout.game.kind import Kind, SlotType, ask, echo
from callout.game.terms import Award, FoulKind, Offender, Team


@dataclass(frozen=True, eq=False, repr=False)
class QuestionKind(str):
    """A kind of question; it is a text, its own name, as a kind of notice is."""

    name: str
    ask: Kind
    """The question itself."""
    kept: Kind
    """What is said when it is closed without a yes: what stays as it was."""
    agreed: Kind | None = None
    """What is said to an answer that books nothing."""

    def __new__(cls, name: str, *_: object) -> Self:
        """The text; `__init__`, which the dataclass makes, sets the rest."""
        return super().__new__(cls, name)


def _asked(name: str, **slots: SlotType) -> QuestionKind:
    return QuestionKind(name, ask(f"ask_{name}", **slots), echo(f"kept_{name}", **slots))


def _confirmed(name: str, **slots: SlotType) -> QuestionKind:
    """The row of a question whose yes may book nothing, and is confirmed in words."""
    plain = _asked(name, **slots)
    return QuestionKind(name, plain.ask, plain.kept, echo(f"agreed_{name}"))


AFTER_END: Final = _asked("after_end")
ANOTHER: Final = _asked("another", team=Team, points=int)
ANOTHER_FOUL: Final = _asked("another_foul", team=Team, number=str | None)
ANOTHER_TIMEOUT: Final = _asked("another_timeout", team=Team)
ARROW_TURNED: Final = _asked("arrow_turned", team=Team)
APPROVE: Final = _asked("approve", home=int, guest=int, open=int | None)
BEFORE_HORN: Final = _asked("before_horn", team=Team)
CLOCK: Final = _asked("clock", left_tenths=int, new_tenths=int)
END_GAME: Final = _asked("end_game", left_tenths=int)
END_GAME_EARLY: Final = _asked("end_game_early", count=int, unit=str)
END_GAME_LEVEL: Final = _asked("end_game_level", home=int, guest=int)
END_PERIOD: Final = _confirmed("end_period", left_tenths=int)
EXPIRED: Final = _confirmed("expired")
EXTRA_THROW: Final = _asked("extra_throw", team=Team, award=Award)
FORFEIT: Final = _asked("forfeit", team=Team, winner=Team, home=int, guest=int)
HORN: Final = _asked("horn")
NUMBER: Final = _asked("number", numbers=tuple)
OLD_BASKET: Final = _asked(
    "old_basket",
    team=Team,
    points=int,
    number=str | None,
    nth=int,
    unit=str,
    left_tenths=int | None,
)
OLD_NUMBER: Final = _asked("old_number", team=Team, number=str, line=str, left_tenths=int | None)
ONCE_MORE: Final = _asked("once_more")
OVERTIME: Final = _asked("overtime", team=Team, home=int, guest=int)
SET_SCORE: Final = _asked("set_score", team=Team, points=int, was=int)
SHIRT: Final = _asked("shirt", numbers=tuple)
START_EARLY: Final = _asked("start_early", nth=int, unit=str)
STARTERS: Final = _asked("starters", team=Team, numbers=tuple)
SUSPECT: Final = _asked(
    "suspect",
    of_two=str | None,
    nth=int | None,
    unit=str | None,
    left_tenths=int | None,
    team=Team,
    line=str,
    points=int | None,
    foul=FoulKind | None,
    on=Offender | None,
    number=str | None,
    cause=str | None,
    to=Team | None,
    points_now=int | None,
    made_now=bool | None,
    number_now=str | None,
    late=bool | None,
)
TEAM: Final = _asked("team", made=bool)
TECHNICAL: Final = _asked("technical", team=Team, on=Offender)
THIS_ONE: Final = _asked(
    "this_one",
    nth=int,
    unit=str,
    left_tenths=int | None,
    team=Team | None,
    line=str,
    points=int | None,
    foul=FoulKind | None,
    on=Offender | None,
    number=str | None,
    leaving=str | None,
)
UNOWED_THROW: Final = _asked("unowed_throw", team=Team)
WHOSE: Final = _asked("whose")
WHICH: Final = _asked("which", words=tuple)

# --- asked where a game is taken up again: whether it stands as the journal has it ----------------

CARRY_ON: Final = _confirmed(
    "carry_on", nth=int, unit=str, left_tenths=int, home=int, guest=int, team=Team | None
)
CARRY_ON_BETWEEN: Final = _confirmed(
    "carry_on_between", nth=int, unit=str, home=int, guest=int, team=Team | None
)
CARRY_ON_RUNNING: Final = _asked(
    "carry_on_running",
    nth=int,
    unit=str,
    left_tenths=int,
    now_tenths=int,
    home=int,
    guest=int,
    team=Team | None,
)

QUESTION_KINDS: Final = tuple(
    row for row in list(globals().values()) if isinstance(row, QuestionKind)
)
"""Every kind of question."""

ENDING: Final = (END_PERIOD, EXPIRED)
"""Those whether a period is over."""

TAKEN_UP: Final = (CARRY_ON, CARRY_ON_BETWEEN, CARRY_ON_RUNNING)
"""Those of a game that is taken up again."""
