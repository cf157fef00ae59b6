"""Families of dataclasses known by name, to and from plain values."""

from __future__ import annotations

import pytest

from callout.errors import CalloutError
from callout.game.calls import CALLS, Foul, Score, Shot
from callout.game.registry import Registry
from callout.game.terms import Award, FoulKind, Team


def test_a_call_is_made_of_plain_values() -> None:
    assert CALLS.load("score", {"team": "home", "points": 2}) == Score(Team.HOME, 2)


def test_defaults_are_left_out_and_enums_written_plainly() -> None:
    foul = Foul(Team.GUEST, "14", FoulKind.TECHNICAL, award=Award.NONE)
    dumped = {"team": "guest", "number": "14", "foul": "technical", "award": "none"}
    assert CALLS.dump(foul) == dumped
    assert CALLS.dump(Shot(False)) == {"made": False}


def test_the_fields_of_a_member() -> None:
    assert CALLS.fields("score") == {"team", "points", "number", "own_basket"}


@pytest.mark.parametrize(
    ("name", "fields", "message"),
    [
        ("scored", {}, "expected the name of a known call, got 'scored'"),
        ("score", {"teem": "home"}, "call 'score' has no field 'teem'"),
        ("score", {"team": "home"}, "call 'score': points: field required, got nothing"),
        ("score", {"team": "hosts", "points": 2}, "call 'score': team: "),
    ],
)
def test_what_is_wrong_is_said_in_one_line(name: str, fields: dict[str, str], message: str) -> None:
    with pytest.raises(CalloutError) as caught:
        CALLS.load(name, fields)
    assert str(caught.value).startswith(message)
    assert "\n" not in str(caught.value)


def test_lists_of_a_member_become_tuples_and_back() -> None:
    family = Registry[object]("thing")

    class Crowd:
        names: tuple[str, ...]
        teams: tuple[Team, ...] = ()

    made = family.add("crowd", Crowd)
    crowd = family.load("crowd", {"names": ["a", "b"], "teams": ["home"]})
    assert crowd == made(("a", "b"), (Team.HOME,))  # type: ignore[call-arg]
    assert family.dump(crowd) == {"names": ["a", "b"], "teams": ["home"]}
