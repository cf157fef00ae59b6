"""Another book has another figure: what could explain it is asked in words.

Source of the times: NFHS 2-2-4, FIBA 2024 art. 44; of the order: the weights of this table.
"""

from __future__ import annotations

import pytest

from callout.table.setup.setup import Setup
from callout.table.speech.reply import Sort
from callout.table.talk import question_kinds as kinds
from callout.table.talk.dialogue import open_question
from tests.game.play import well_formed
from tests.table.play import FOXES, KITES, Table


@pytest.fixture
def goals(table: Table) -> Table:
    """Four goals ten seconds apart, the last of them called twice by keys."""
    table.begun()
    for words in ("home two number five", "guest three number three", "home two number four"):
        table.say(words)
        table.wait(14)
    table.say("guest two number five", source="key")
    table.wait(2)
    table.say("guest two number five", source="key")
    table.wait(14)
    return table


def test_a_goal_called_twice_is_named_first_and_taken_off(goals: Table) -> None:
    reply = goals.say("official book says guest five")
    assert reply.text == (
        "Guest points: theirs five, ours seven. First quarter, seven zero four, guest two, five. "
        "Booked twice?"
    ).replace("seven zero four", "seven oh six")
    assert goals.say("yes").text.endswith("Four, five.")
    assert goals.say("official book says guest five").text == "The books agree."
    assert goals.session.dialogue.question is None


def test_no_goes_on_to_the_next_and_leave_it_ends_it(goals: Table) -> None:
    goals.say("book says home five")
    assert goals.say("no").of(Sort.QUESTION)
    assert goals.say("earlier", "leave it").text == "Left as it was."
    assert [goal.points for goal in goals.game.goals] == [2, 3, 2, 2, 2]


def test_two_for_three(goals: Table) -> None:
    asked = goals.say("official book says guest six").of(Sort.QUESTION)[0]
    assert asked.text.endswith("guest three, three. Was it a two?")
    assert goals.say("yes").text.startswith("Changed: guest two, number three, not three.")


def test_two_things_together_are_asked_about_one_after_the_other(goals: Table) -> None:
    asked = goals.say("official book says home nine").of(Sort.QUESTION)[0]
    assert asked.text == "Two things together: home two. Not booked?"
    reply = goals.say("yes")
    assert reply.text == "Home two. Six, seven. And then: home three. Not booked?"
    assert goals.say("yes").text.startswith("Home three. Nine, seven.")
    assert goals.session.dialogue.question is None
    assert goals.say("official book says home nine").text == "The books agree."


def test_a_no_to_one_of_two_goes_on_and_leaves_the_other(goals: Table) -> None:
    goals.say("official book says home nine")
    asked = goals.say("no").of(Sort.QUESTION)[0]
    assert asked.text.startswith("Two things together: ")
    assert "home two. Not booked" not in asked.text
    goals.say("earlier", "leave it", "official book says home nine", "yes")
    assert goals.say("leave it").text == "Left as it was."
    assert [goal.points for goal in goals.game.goals] == [2, 3, 2, 2, 2, 2]


def test_what_another_figure_contradicts_gives_way_to_two_things(goals: Table) -> None:
    # Home has two more and guest as many as here: no goal of guest's was home's.
    goals.say("official book says guest seven")
    alone = goals.say("official book says home six").of(Sort.QUESTION)[0]
    assert alone.text == "Home two. Not booked?"


def test_the_other_teams_figure_tells_whose_it_was(goals: Table) -> None:
    goals.say("official book says home six", "leave it")
    asked = goals.say("official book says guest five").of(Sort.QUESTION)[0]
    assert asked.text.endswith("guest two, five. Was it home's?")
    # Had theirs agreed, no goal would have gone to the wrong team.
    goals.say("leave it", "official book says home four")
    asked = goals.say("official book says guest five").of(Sort.QUESTION)[0]
    assert asked.text.endswith("Booked twice?")


def test_a_lost_goal_is_offered_where_nothing_was_booked(goals: Table) -> None:
    assert goals.say("official book says home seven").text.endswith("Home three. Not booked?")
    goals.say("leave it")
    goals.wait(5)
    goals.say("home something or other")
    asked = goals.say("official book says home seven").of(Sort.QUESTION)[0]
    assert asked.text == "First quarter, six forty seven, home three. Not booked?"
    assert goals.say("yes").text.startswith("Home three. Seven, seven.")


def test_a_players_fouls_and_another_number(table: Table) -> None:
    table.begun()
    table.say("home foul number five", "home foul number four")
    reply = table.say("official book says home number four has two fouls")
    assert reply.text.startswith("Home, number four, fouls: theirs two, ours one.")
    assert reply.text.endswith("Not booked?")
    asked = table.say("no").of(Sort.QUESTION)[0]
    assert asked.text == "First quarter, seven fifty, home foul, five. Was it number four?"
    table.say("leave it")
    asked = table.say("book says home five has zero fouls").of(Sort.QUESTION)[0]
    while not asked.text.endswith("Another number?"):
        asked = table.say("no").of(Sort.QUESTION)[0]
    assert table.say("yes").text == "Whose? Say the number."
    question = table.session.dialogue.question
    assert question is not None
    assert question.kind is kinds.WHOSE
    well_formed(open_question(table.session.dialogue, question)[1])
    assert table.say("eleven").text.startswith("Changed: home foul, number eleven, not five.")


def test_the_questions_slots_are_those_of_its_row(goals: Table) -> None:
    for words in ("book says guest six", "book says guest five", "book says home seven"):
        goals.say(words)
        while question := goals.session.dialogue.question:
            assert question.kind is kinds.SUSPECT
            well_formed(open_question(goals.session.dialogue, question)[1])
            goals.say("no")


def test_the_board_is_searched_for_as_well_and_a_script_is_not_asked(goals: Table) -> None:
    assert goals.say("board shows guest five").text.startswith("Board five, book seven. First")
    goals.say("leave it")
    reply = goals.say("board says guest five", source="script")
    assert reply.text == "Board five, book seven."


def test_what_nothing_explains_is_only_told(goals: Table) -> None:
    reply = goals.say("official book says home fifty")
    assert reply.text == "Home points: theirs fifty, ours four."
    assert goals.session.dialogue.question is None


def test_after_the_rules_time_it_says_so() -> None:
    """FIBA 2024 art. 44: a slip before the last two minutes is put right before them."""
    table = Table(Setup("fiba-2024", KITES, FOXES)).begun()
    table.say("home three number five")
    for _ in range(3):
        table.say("end period", "yes", "start period", "start clock")
    assert "Too late" not in table.say("book says home two").text
    table.say("leave it", "stop clock", "set clock one thirty", "yes", "start clock")
    table.wait(5)
    table.say("stop clock", "start clock")
    text = table.say("book says home two").text
    assert text.endswith("Was it a two? Too late by the rules: ask the referee.")


def test_a_book_may_be_put_right_until_the_officials_leave(goals: Table) -> None:
    """NFHS 2-2-4: bookkeeping mistakes, until the referee approves the final score."""
    goals.say("end game", "yes")
    assert goals.session.game.phase.name == "OVER"
    assert "Too late" not in goals.say("book says guest five").text
    assert "Ask the referee whether it may still be put right." in goals.say("yes").text
