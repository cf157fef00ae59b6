"""Every phase with every call: what comes is events or a refusal, and never anything else."""

from __future__ import annotations

import ast
import itertools
import types
import typing
from collections.abc import Iterator
from enum import Enum
from pathlib import Path
from typing import Any

import pytest

import callout.game
from callout.game import calls
from callout.game.apply import TABLE, apply
from callout.game.calls import CALLS, TALK, Call
from callout.game.decide import RULES, Refusal, decide
from callout.game.events import EVENTS
from callout.game.fold import Entry
from callout.game.notices.after_entry import KINDS, notices
from callout.game.notices.echoes import ECHOES
from callout.game.profile.file import load_profile, profile_names
from callout.game.profile.profile import Profile
from callout.game.state import Game, Phase
from callout.game.terms import FoulKind
from callout.game.values import ShirtNumber
from tests.game.play import GUEST, HOME, Play, well_formed
from tests.game.strategies import limits_of
from tests.quick import thorough_but

PLAYED = (calls.StartClock(), calls.Score(HOME, 2), calls.Foul(GUEST, "14"), calls.Tip(HOME))
WAYS: dict[Phase, tuple[tuple[Call, ...], ...]] = {
    Phase.BEFORE: ((),),
    Phase.RUNNING: ((calls.StartClock(),), PLAYED),
    Phase.STOPPED: ((*PLAYED, calls.StopClock()), (calls.StartPeriod(),)),
    Phase.TIMEOUT: ((calls.StartPeriod(), calls.Timeout(HOME)), (*PLAYED, calls.OfficialTimeout())),
    Phase.INTERVAL: ((*PLAYED, calls.TimeoutWaiting(HOME), calls.EndPeriod()),),
    Phase.OVER: ((*PLAYED, calls.EndGame()),),
}
"""Calls that lead into each phase, with an empty book and with one that has lines."""


def values(hint: Any) -> list[Any]:
    """A few values of a type that stand for all: every one of a short list, and the limits."""
    origin, args = typing.get_origin(hint), typing.get_args(hint)
    if hint is ShirtNumber:
        return ["4", "99"]
    if hint is bool:
        return [False, True]
    if hint is FoulKind:
        return [FoulKind.PERSONAL, FoulKind.OFFENSIVE, FoulKind.TECHNICAL, FoulKind.DISQUALIFYING]
    if origin is typing.Annotated and args[0] is Call:
        return [calls.SetScore(HOME, 9), calls.Number("4"), calls.StartClock()]
    if origin is typing.Annotated and args[0] is str:
        return ["", "J. Miller"]
    if origin is typing.Annotated:
        low, high = limits_of(hint)
        return [low, min(high, low + 1), high]
    if origin is typing.Literal:
        return list(args)
    if origin in (types.UnionType, typing.Union):
        return [value for arg in args for value in values(arg)]
    if hint is type(None):
        return [None]
    assert issubclass(hint, Enum)
    return list(hint)


def of_class(cls: type[Call]) -> Iterator[Call]:
    """Calls of one class, with every combination of the values of its fields."""
    hints = typing.get_type_hints(cls, include_extras=True)
    combinations = itertools.product(*map(values, hints.values()))
    # No rule looks at the fields of talk.
    for combination in itertools.islice(combinations, 9 if cls in TALK else None):
        yield cls(*combination)


def game_after(profile: Profile, way: tuple[Call, ...]) -> Play:
    return Play(profile).take(*way).wait(2)


QUICK = "nfhs-2026"
"""The league that is tried each time; the others where there are minutes."""


@pytest.mark.parametrize("phase", Phase)
@pytest.mark.parametrize(
    "name",
    thorough_but(profile_names(), {QUICK}),
)
def test_every_call_in_every_phase(
    name: str, phase: Phase, capsys: pytest.CaptureFixture[str]
) -> None:
    profile = load_profile(name)
    booked = refused = 0
    for way in WAYS[phase]:
        play = game_after(profile, way)
        assert play.game.phase is phase
        for cls in CALLS.members().values():
            for call in of_class(cls):
                if is_booked(play, call):
                    booked += 1
                else:
                    refused += 1
    assert refused
    assert booked
    with capsys.disabled():
        print(f" {profile.name} {phase.value}: {booked} booked, {refused} refused", end="")


def is_booked(play: Play, call: Call) -> bool:
    """Whether the call brings events; both answers are checked for what they must be."""
    decision = decide(play.game, call, play.at())
    if isinstance(decision, Refusal):
        well_formed(decision)
        return False
    assert decision
    after: Game = play.game
    for event in decision:
        assert type(event) in EVENTS.members().values()
        after = apply(after, event)
    entry = Entry(play.game.entry + 1, call, "script", play.at(), decision)
    found = notices(play.game, entry, after)
    assert [notice.rank for notice in found] == sorted(notice.rank for notice in found)
    return True


def test_every_phase_has_its_ways() -> None:
    assert set(WAYS) == set(Phase)


def test_every_event_has_its_row_and_its_echo() -> None:
    assert set(TABLE) == set(EVENTS.members().values())
    assert set(ECHOES) == set(TABLE)


def test_every_call_has_a_rule_or_is_talk() -> None:
    assert set(RULES) | set(TALK) == set(CALLS.members().values())
    assert not set(RULES) & set(TALK)


# --- the kinds of all that is said, as the source has them --------------------------------------

MAKERS = ("Notice", "Refusal")


def made() -> list[tuple[ast.Call, str]]:
    """Where the source of the game makes a notice or a refusal of a kind that it names there."""
    found = []
    for path in sorted(Path(callout.game.__file__).parent.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") in MAKERS:
                named = node.args[0]
                if isinstance(named, ast.Attribute):
                    found.append((node, named.attr.lower()))
    return found


def test_slots_written_out_in_the_source_are_those_of_the_row() -> None:
    written = 0
    for node, kind in made():
        slots = [each.value for each in node.keywords if each.arg == "slots"] + node.args[1:2]
        if slots and isinstance(slots[0], ast.Dict) and None not in slots[0].keys:
            keys = {key.value for key in slots[0].keys if isinstance(key, ast.Constant)}
            assert keys == KINDS[kind].slots.keys(), ast.unparse(node)
            written += 1
    assert written > 30
