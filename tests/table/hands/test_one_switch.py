"""One switch; the reference of each call is the same call said in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from callout.errors import InputError
from callout.game import calls
from callout.game.calls import Call
from callout.game.terms import Award, FoulKind, Offender, Team
from callout.language.replies import Replies
from callout.table.hands.one_switch import GRACE_NS, ROUNDS, Choosing, Switch, read_menu
from callout.table.language import menu_of, patterns_of, replies_of
from tests.english import english_grammar

GRAMMAR = english_grammar()
LISTS: dict[Team | None, Sequence[str]] = {
    Team.HOME: ("4", "5", "12", "23"), Team.GUEST: ("00", "0", "8", "15"), None: ("4", "15"),
}  # fmt: skip
SECOND = 10**9


def switch(*refused: type[Call]) -> Switch:
    menu, patterns = menu_of(GRAMMAR), patterns_of(GRAMMAR)
    replies = replies_of(GRAMMAR)
    return Switch(menu, patterns, replies, LISTS.__getitem__, lambda c: not isinstance(c, refused))


def choose(*texts: str, asked: bool = False) -> tuple[list[Call], Choosing]:
    """The calls of choosing what is read as these texts, each waited for."""
    rules, now, made = switch(), 0, list[Call]()
    choosing = rules.press(Choosing(), now, asked).choosing
    for text in texts:
        while choosing.reading != text:
            now += 2 * SECOND
            choosing = rules.next(choosing, now)
            assert choosing.offers, f"{text} was not read"
        now += SECOND
        step = rules.press(choosing, now)
        choosing = step.choosing
        made += [keyed.call for keyed in step.calls]
    return made, choosing


@pytest.mark.parametrize(
    ("texts", "expected"),
    [
        (["stop clock"], [calls.StopClock()]),
        (["home", "two"], [calls.Score(Team.HOME, 2)]),
        (["home", "two", "twenty", "twenty three"],
         [calls.Score(Team.HOME, 2), calls.Number("23")]),
        (["guest", "foul", "below ten", "double zero"],
         [calls.Foul(Team.GUEST), calls.Number("00")]),
        (["shot missed", "ten", "fifteen"], [calls.Shot(False), calls.Number("15")]),
        (["guest", "more", "shot good", "ten", "fifteen"],
         [calls.Shot(True, Team.GUEST), calls.Number("15")]),
        (["home", "two", "another number", "ninety", "ninety"],
         [calls.Score(Team.HOME, 2), calls.Number("90")]),
        (["guest", "more", "add player", "another number", "below ten", "seven"],
         [calls.AddPlayer(Team.GUEST, "7")]),
        (["home", "more", "shirt", "below ten", "four", "another number", "forty", "forty four"],
         [calls.ChangeShirt(Team.HOME, "4", "44")]),
        (["guest", "substitution", "below ten", "eight", "ten", "fifteen"],
         [calls.Substitution(Team.GUEST, "8", "15")]),
        (["home", "more", "coach foul", "technical"],
         [calls.Foul(Team.HOME, foul=FoulKind.TECHNICAL, on=Offender.COACH)]),
        (["home", "more", "score", "zero", "four", "two"], [calls.SetScore(Team.HOME, 42)]),
        (["home", "more", "score", "one", "zero", "five"], [calls.SetScore(Team.HOME, 105)]),
        (["home", "more", "own basket", "two"], [calls.Score(Team.HOME, 2, own_basket=True)]),
        (["home", "more", "put right", "last basket was", "guest"],
         [calls.PutRight(Team.HOME, last=True, to=Team.GUEST)]),
        (["home", "more", "put right", "foul number", "below ten", "five", "ten", "twelve"],
         [calls.PutRight(Team.HOME, "foul", "5", to_number="12")]),
        (["ball", "tip", "home"], [calls.Tip(Team.HOME)]),
        (["ball", "double foul", "below ten", "four", "ten", "fifteen"],
         [calls.DoubleFoul("4", "15")]),
        (["more", "clock", "set clock", "four", "two", "seven"], [calls.SetClock(2_670)]),
        (["more", "clock", "set clock", "zero", "four", "two"], [calls.SetClock(420)]),
        (["more", "clock", "set clock", "twelve", "zero", "five"], [calls.SetClock(7_250)]),
        (["more", "clock", "take off", "zero", "five"], [calls.AdjustClock(-50)]),
        (["shots", "one and one"], [calls.SetAward(Award.ONE_AND_ONE)]),
        (["more", "put right", "points", "three"], [calls.MakePoints(3)]),
    ],
)  # fmt: skip
def test_choices_make_calls(texts: list[str], expected: list[Call]) -> None:
    assert choose(*texts)[0] == expected


def test_what_is_asked_is_read_first() -> None:
    assert choose("yes", asked=True)[0] == [calls.Yes()]
    assert choose("number", "ten", "fifteen", asked=True)[0] == [calls.Answer("15")]


def test_the_goal_is_booked_before_its_number_is_chosen() -> None:
    made, choosing = choose("home", "two")
    assert made == [calls.Score(Team.HOME, 2)]
    tens = ["below ten", "ten", "twenty", "another number"]
    assert [offer.text for offer in choosing.offers] == tens


def test_who_presses_as_the_next_choice_begins_meant_the_one_before() -> None:
    rules = switch()
    choosing = rules.press(Choosing(), 0).choosing
    first, second = (offer.text for offer in choosing.offers[:2])
    assert (first, second) == ("stop clock", "start clock")
    choosing = rules.next(choosing, SECOND)
    early = rules.press(choosing, SECOND + GRACE_NS - 1)
    late = rules.press(choosing, SECOND + GRACE_NS)
    assert [keyed.call for keyed in early.calls] == [calls.StopClock()]
    assert [keyed.call for keyed in late.calls] == [calls.StartClock()]
    assert late.calls[0].at_ns == SECOND + GRACE_NS


def test_a_choice_that_cannot_be_taken_any_more_was_not_meant() -> None:
    allowed = {calls.StopClock, calls.StartClock}
    rules = switch()
    rules = replace(rules, may=lambda call: type(call) in allowed)
    choosing = rules.next(rules.press(Choosing(), 0).choosing, SECOND)
    assert [offer.text for offer in choosing.offers[:2]] == ["stop clock", "start clock"]
    allowed.remove(calls.StopClock)  # A pedal has stopped it meanwhile.
    pressed = rules.press(choosing, SECOND + 1)
    assert [keyed.call for keyed in pressed.calls] == [calls.StartClock()]


def test_after_a_list_has_begun_again_no_choice_came_before() -> None:
    rules = switch()
    choosing = rules.next(rules.press(Choosing(), 0).choosing, SECOND)
    again = rules.again(choosing, 2 * SECOND)
    assert again.reading == "stop clock"
    pressed = rules.press(again, 2 * SECOND + 1)
    assert [keyed.call for keyed in pressed.calls] == [calls.StopClock()]


def test_numbers_that_were_cut_into_are_read_again_too() -> None:
    _, choosing = choose("home", "two")
    rules = switch()
    again = rules.again(rules.next(choosing, SECOND), 2 * SECOND)
    tens = ["below ten", "ten", "twenty", "another number"]
    assert [offer.text for offer in again.offers] == tens
    assert again.reading == "below ten"


def test_what_would_be_refused_is_not_read() -> None:
    choosing = switch(calls.StopClock, calls.Shot, calls.Approve).press(Choosing(), 0).choosing
    texts = [offer.text for offer in choosing.offers]
    assert texts[:3] == ["start clock", "home", "guest"]


def test_it_is_given_up_after_some_rounds() -> None:
    rules, read = switch(), 0
    choosing = rules.press(Choosing(), 0).choosing
    count = len(choosing.offers)
    while choosing.offers:
        choosing, read = rules.next(choosing, SECOND * read), read + 1
    assert read == ROUNDS * count
    assert choosing.reading == ""


@given(st.lists(st.integers(0, 40), max_size=30))
def test_whenever_it_is_pressed_there_are_calls_or_choices(waits: list[int]) -> None:
    rules, choosing, now = switch(), Choosing(), 0
    for wait in waits:
        for _ in range(wait if choosing.offers else 0):
            now += 2 * SECOND
            choosing = rules.next(choosing, now) if choosing.offers else choosing
        now += SECOND
        step = rules.press(choosing, now)
        assert step.calls or step.choosing.offers
        choosing = step.choosing


def test_every_call_but_a_number_said_alone_can_be_chosen() -> None:
    chosen = {
        GRAMMAR.calls[leads.index].name
        for group in menu_of(GRAMMAR).values()
        for leads in group.values()
        if not isinstance(leads, str)
    }
    # "Leave it" is "cancel that", which is read. What is never heard is typed without its team.
    assert {file.name for file in GRAMMAR.calls if file.say} - {"leave_it"} == chosen


def test_a_choice_that_is_no_call_is_told(tmp_path: Path) -> None:
    replies = replies_of(GRAMMAR)
    wrong = replies.file.model_copy(update={"choices": {"first": {"two": "home twice"}}})
    with pytest.raises(InputError, match=r"replies\.yaml: choices\.first\.two: expected a call"):
        read_menu(GRAMMAR, Replies(wrong, replies.words, replies.team_names), patterns_of(GRAMMAR))
