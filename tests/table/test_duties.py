"""What each code asks of the table's officials, duty by duty: the call, its key and its script.

`tests/games/duties.csv` has the list. A duty without a script says why; one without a call is done
by itself or not at all. Source: the articles in the list.
"""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

import pytest

from callout.game.calls import Foul
from callout.game.profile.file import load_profile
from callout.game.terms import FoulKind
from callout.language.parser import Parsed
from callout.table.language import parsers_of, scope_of
from callout.table.scripts.script import read_script
from callout.table.setup.setup import Setup
from tests.english import english_grammar
from tests.table.play import FOXES, KITES

GAMES = Path(__file__).parent.parent / "games"
LEAGUES = {"FIBA": "fiba-2024", "NFHS": "nfhs-2026", "NCAA": "ncaa-men-2026", "NBA": "nba-2026",
           "FIBA-3x3": "fiba-3x3"}  # fmt: skip

with (GAMES / "duties.csv").open(encoding="utf-8", newline="") as file:
    DUTIES = tuple(csv.DictReader(file))


def name(duty: dict[str, str]) -> str:
    return f"{duty['code']} {duty['who']}: {duty['duty']}"


@cache
def calls_in(words: str, setup: Setup) -> frozenset[str]:
    """The kinds of call that the words are in a game with that setup."""
    parsers = parsers_of(english_grammar(), scope_of(setup))
    result = parsers.with_answers.parse(words)
    found = result.calls if isinstance(result, Parsed) else ()
    return frozenset(type(call).__name__ for call in found)


def foul_in(duty: dict[str, str]) -> FoulKind | None:
    """The kind of foul that a duty's call is, if it is one."""
    parsers = parsers_of(english_grammar(), scope_of(Setup(LEAGUES[duty["code"]], KITES, FOXES)))
    result = parsers.with_answers.parse(duty["call"])
    (call,) = result.calls if isinstance(result, Parsed) else (None,)
    return call.foul if isinstance(call, Foul) else None


@pytest.mark.parametrize("code", ["FIBA", "NFHS", "NCAA", "NBA"])
def test_every_kind_of_foul_of_a_code_is_a_duty(code: str) -> None:
    kinds = load_profile(LEAGUES[code]).fouls.kinds
    mine = [duty for duty in DUTIES if duty["code"] == code and duty["call"]]
    assert set(kinds) <= {foul_in(duty) for duty in mine}


def test_a_duty_is_done_by_a_call_that_exists_or_says_why_not() -> None:
    assert len(DUTIES) > 140
    for duty in DUTIES:
        assert duty["code"] in LEAGUES, name(duty)
        assert duty["article"], name(duty)
        done = duty["call"] and duty["key"] and duty["script"]
        assert duty["why"] or done, name(duty)
        assert bool(duty["call"]) is bool(duty["key"]), name(duty)


def test_the_key_makes_that_call() -> None:
    files = english_grammar().calls
    wrong = []
    for duty in (each for each in DUTIES if each["call"]):
        setup = Setup(LEAGUES[duty["code"]], KITES, FOXES)
        made = calls_in(duty["call"], setup)
        keyed = [file for file in files if duty["key"] in file.keys]
        examples = [calls_in(each.say, setup) for file in keyed for each in file.examples]
        if len(keyed) != 1 or len(made) != 1 or made not in examples:
            wrong.append(name(duty))
    assert wrong == []


def test_the_script_is_of_that_code_and_makes_that_call() -> None:
    wrong = []
    for duty in (each for each in DUTIES if each["script"]):
        script = read_script(GAMES / duty["script"])
        of_code = script.setup.profile.startswith(duty["code"].lower())
        if not of_code and "another league" not in duty["why"]:
            wrong.append(f"{name(duty)}: {duty['script']} is of another code")
        if duty["call"]:
            (call,) = calls_in(duty["call"], Setup(LEAGUES[duty["code"]], KITES, FOXES))
            if not any(call in calls_in(line.words, script.setup) for line in script.said()):
                wrong.append(f"{name(duty)}: {duty['script']} has no {call}")
    assert wrong == []
