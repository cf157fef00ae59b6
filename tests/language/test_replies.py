"""Replies: a line of text a kind, checked before a game begins."""

from __future__ import annotations

from pathlib import Path

import pytest

from callout.errors import InputError
from callout.game.kind import ask, echo
from callout.game.terms import Award, FoulKind, Team
from callout.language.grammar import Grammar
from callout.language.replies import Level, Replies, load_replies

NAMES = {Team.HOME: "home", Team.GUEST: "guest"}
ROWS = (
    echo("goal", team=Team, points=int, number=str, home=int, guest=int),
    echo("foul", team=Team, foul=FoulKind | None, nth=int),
    ask("pick", numbers=tuple),
    echo("shots", award=Award, left=int),
)
KINDS = {row.name: row for row in ROWS}
TEXT = """
nothing: nothing
either: ", or "
terms:
  foul: {technical: technical}
  shots: {one-and-one: one and one}
kinds:
  goal:
    normal: "{team} {points}[, number {number:shirt}]. {home:score}, {guest:score}."
    less: "{home:score}, {guest:score}."
    urgent: "{team}."
  foul: {normal: "{team} [{foul:foul} ]foul[, {nth:ordinal}]."}
  pick: {normal: "{numbers:either}?", more: "Was it {numbers:either}?"}
  shots: {normal: "{award:shots}, {left:clock}."}
"""


def load(tmp_path: Path, grammar: Grammar, text: str = TEXT) -> Replies:
    path = tmp_path / "replies.yaml"
    path.write_text(text, encoding="utf-8")
    return load_replies(path, grammar.words, NAMES, KINDS)


@pytest.fixture
def replies(tmp_path: Path, grammar: Grammar) -> Replies:
    """The replies of TEXT."""
    return load(tmp_path, grammar)


GOAL = {"team": Team.HOME, "points": 2, "number": "15", "home": 14, "guest": 0}


def test_values_become_words(replies: Replies) -> None:
    assert replies.say("goal", GOAL) == "Home two, number one five. Fourteen, nothing."
    foul = {"team": Team.GUEST, "foul": FoulKind.TECHNICAL, "nth": 3}
    assert replies.say("foul", foul) == "Guest technical foul, third."
    assert replies.say("pick", {"numbers": ("15", "50")}) == "Fifteen, or fifty?"
    shots = {"award": Award.ONE_AND_ONE, "left": 83}
    assert replies.say("shots", shots) == "One and one, eight point three."


def test_a_part_without_its_value_is_left_out(replies: Replies) -> None:
    assert replies.say("goal", {**GOAL, "number": None}) == "Home two. Fourteen, nothing."
    assert replies.say("foul", {"team": Team.HOME, "foul": None, "nth": None}) == "Home foul."


@pytest.mark.parametrize("points", [-1, 1000])
def test_what_has_no_words_is_left_out_and_the_rest_is_said(replies: Replies, points: int) -> None:
    assert replies.say("goal", {**GOAL, "home": points}) == "Home two, number one five."
    assert replies.say("goal", {**GOAL, "home": points}, Level.LESS) == ""
    foul = {"team": Team.GUEST, "foul": None, "nth": points}
    assert replies.say("foul", foul) == "Guest foul."


def test_a_value_that_is_not_given_is_as_if_not_known(replies: Replies) -> None:
    without = {name: value for name, value in GOAL.items() if name != "number"}
    assert replies.say("goal", without) == "Home two. Fourteen, nothing."
    with pytest.raises(KeyError):
        replies.say("goal", {"team": Team.HOME})


def test_each_sentence_begins_with_a_capital(tmp_path: Path, grammar: Grammar) -> None:
    text = TEXT.replace('"{numbers:either}?"', '"{numbers:either}? say it. now! please"')
    said = load(tmp_path, grammar, text).say("pick", {"numbers": ("0", "00")})
    assert said == "Zero, or double zero? Say it. Now! Please"


def test_each_level_says_its_own(replies: Replies) -> None:
    said = [replies.say("goal", GOAL, level) for level in Level]
    assert said == [
        "Home.",
        "Fourteen, nothing.",
        "Home two, number one five. Fourteen, nothing.",
        "Home two, number one five. Fourteen, nothing.",
    ]
    foul = {"team": Team.HOME, "foul": None, "nth": None}
    assert [replies.say("foul", foul, level) for level in Level] == ["", *["Home foul."] * 3]
    pick = {"numbers": ("1", "2")}
    assert replies.say("pick", pick, Level.MORE) == "Was it one, or two?"


@pytest.mark.parametrize(
    ("old", "new", "line", "says"),
    [
        ("  foul: {normal", "  fowl: {normal", 7, "expected a text for every kind, got none for"),
        ("kinds:\n", "kinds:\n  more: {normal: x}\n", 8, "expected a known kind, got 'more'"),
        ("{left:clock}", "{rest:clock}", 14, "expected a value of this kind (award, left)"),
        ("{left:clock}", "{left:timer}", 14, "expected a known form, got '{left:timer}'"),
        ("[{foul:foul} ]", "[{foul:foul} ", 12, "expected matching brackets"),
        ("less:", "fewer:", 10, "kinds.goal.fewer: extra inputs are not permitted"),
    ],
)
def test_a_mistake_is_refused_with_its_line(
    tmp_path: Path, grammar: Grammar, old: str, new: str, line: int, says: str
) -> None:
    with pytest.raises(InputError) as caught:
        load(tmp_path, grammar, TEXT.replace(old, new, 1))
    assert f"replies.yaml:{line}: " in str(caught.value)
    assert says in str(caught.value)


def test_a_kind_nobody_knows_is_an_error(replies: Replies) -> None:
    with pytest.raises(KeyError):
        replies.say("fowl", {})
