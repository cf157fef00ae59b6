"""Questions that the table asks before it books, and the calls that bring them up; pure.

A question is opened by one call, and waits some seconds for yes, no or a number. Unanswered it is
a no, said aloud with what stays as it was.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Final

from callout.game import calls
from callout.game.calls import Call
from callout.game.questions import score
from callout.game.state import At, Game, Owner, Phase

# Source for these: the design of this table; no rule book speaks of them.
ANSWER_MS: Final = 8_000
"""A question waits so long for its answer."""
JUMP_TENTHS: Final = 600
"""A clock that is put further than this is asked about first."""

CERTAIN: Final = 0.95
"""A call less likely than this, among all that its sound may be, is asked about.

Of 216 table calls in nine synthetic voices, 202 were likelier than 0.8 at 12 dB, and one of those
wrong; at 6 dB 138 were likelier than 0.95, none of them wrong. Of another 216 at 12 dB eight were
booked wrong at 0.85, all of them between 0.88 and 0.97.
"""

SPOKEN: Final = "voice"
"""The source of calls that came by ear."""
KEY: Final = "key"
"""The source of calls that came by key or pedal."""
QUIET: Final = frozenset({"clock", "script"})
"""Sources that no person stands behind: they are never asked back."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """What one sound may have been: several calls, the likeliest first."""

    calls: tuple[Call, ...]
    words: tuple[str, ...]
    """The words that each was heard as."""
    likely: tuple[float, ...] = ()
    """How likely each is by its sound; empty where that is not known."""

    @property
    def chances(self) -> tuple[float, ...]:
        """How likely each is; all the same where nothing is known."""
        return self.likely or (1.0,) * len(self.calls)


@dataclass(frozen=True, slots=True)
class Heard:
    """A call as it came to the table."""

    call: Call
    source: str
    at: At
    doubt: Doubt | None = None


@dataclass(frozen=True, slots=True)
class Question:
    """A question that is open."""

    kind: str
    until_ms: int
    heard: Heard | None = None
    """What is done on yes, or once the answer completes it."""
    otherwise: Heard | None = None
    """What is done on no."""
    slots: Mapping[str, object] = field(default_factory=dict, hash=False)
    wants: str = "yes"
    """What answers it: yes (or no), a number, a team, or one of several calls."""
    slot: str = ""
    """The field of the call that a number is put into."""
    choices: tuple[Call, ...] = ()
    """What may be picked, in the order in which it is asked about."""
    likely: tuple[float, ...] = ()
    """How likely each of them was when it was asked about."""


ASKED: Final[Mapping[str, frozenset[str]]] = {
    "another": frozenset({"team", "points"}),
    "another_foul": frozenset({"team", "number"}),
    "before_horn": frozenset({"team"}),
    "carry_on": frozenset({"nth", "unit", "left_tenths", "home", "guest", "team"}),
    "carry_on_between": frozenset({"nth", "unit", "home", "guest", "team"}),
    "carry_on_running": frozenset(
        {"nth", "unit", "left_tenths", "now_tenths", "home", "guest", "team"}
    ),
    "clock": frozenset({"left_tenths", "new_tenths"}),
    "end_game": frozenset({"left_tenths"}),
    "end_period": frozenset({"left_tenths"}),
    "expired": frozenset(),
    "horn": frozenset(),
    "number": frozenset({"numbers"}),
    "once_more": frozenset(),
    "set_score": frozenset({"team", "points", "was"}),
    "shirt": frozenset({"numbers"}),
    "team": frozenset({"made"}),
    "which": frozenset({"words"}),
}
"""Every kind of question with its slots. Asked, it is the notice `ask_` + kind; closed without a
yes, `kept_` + kind with the same slots."""

CARRY_ON: Final = frozenset(kind for kind in ASKED if kind.startswith("carry_on"))
"""Asked where a game is taken up again: whether it stands as the journal has it."""


def question_for(heard: Heard, game: Game) -> Question | None:
    """What must be asked before the call is booked, if anything."""
    if heard.source in QUIET:
        return None
    rule = _RULES.get(type(heard.call))
    return rule(heard, game, heard.call) if rule else None


def with_value(call: Call, slot: str, value: object) -> Call:
    """The call with another value in one field."""
    changed: Call = replace(call, **{slot: value})  # type: ignore[type-var]
    return changed


def until_ms(heard: Heard) -> int:
    """When a question about what was heard has waited long enough."""
    return heard.at.wall_ms + ANSWER_MS


# --- one small function for each call that is asked about -------------------------------------


def _end(kind: str) -> Callable[[Heard, Game, Any], Question | None]:
    def ask(heard: Heard, game: Game, call: Any) -> Question | None:
        left = heard.at.left_tenths
        playing = game.phase in (Phase.RUNNING, Phase.STOPPED, Phase.TIMEOUT)
        if not playing or left == 0 or game.owner is Owner.NONE:
            return None
        return Question(kind, until_ms(heard), heard, None, {"left_tenths": left})

    return ask


def _set_score(heard: Heard, game: Game, call: calls.SetScore) -> Question | None:
    slots = {"team": call.team, "points": call.points, "was": score(game, call.team)}
    return Question("set_score", until_ms(heard), heard, None, slots)


def _set_clock(heard: Heard, game: Game, call: calls.SetClock) -> Question | None:
    return _clock(heard, call.left_tenths)


def _adjust_clock(heard: Heard, game: Game, call: calls.AdjustClock) -> Question | None:
    return _clock(heard, heard.at.left_tenths + call.tenths)


def _clock(heard: Heard, new_tenths: int) -> Question | None:
    left = heard.at.left_tenths
    if abs(new_tenths - left) <= JUMP_TENTHS:
        return None
    slots = {"left_tenths": left, "new_tenths": new_tenths}
    return Question("clock", until_ms(heard), heard, None, slots)


def _horn(heard: Heard, game: Game, call: calls.SoundHorn) -> Question | None:
    return Question("horn", until_ms(heard), heard) if game.phase is Phase.RUNNING else None


def _before_horn(heard: Heard, game: Game, call: calls.Foul) -> Question | None:
    if call.before_horn is not None or game.phase is not Phase.INTERVAL:
        return None
    yes, no = (replace(heard, call=with_value(call, "before_horn", b)) for b in (True, False))
    return Question("before_horn", until_ms(heard), yes, no, {"team": call.team})


def _whose_throw(heard: Heard, game: Game, call: calls.Shot) -> Question | None:
    if call.team is not None or game.owed:
        return None
    return Question("team", until_ms(heard), heard, None, {"made": call.made}, "team")


_RULES: Final[Mapping[type[Call], Callable[[Heard, Game, Any], Question | None]]] = {
    calls.EndPeriod: _end("end_period"),
    calls.EndGame: _end("end_game"),
    calls.SetScore: _set_score,
    calls.SetClock: _set_clock,
    calls.AdjustClock: _adjust_clock,
    calls.SoundHorn: _horn,
    calls.Foul: _before_horn,
    calls.Shot: _whose_throw,
}
