"""The talk about which entry is meant; its wording is common practice, no source."""

from __future__ import annotations

import pytest

from callout.game import calls
from callout.game.calls import Foul, PutRight, Score
from callout.game.decide import Decisions
from callout.game.put_right import PastEntries
from callout.game.terms import Team
from callout.table.speech.reply import Sort
from callout.table.talk.answers import answering
from callout.table.talk.dialogue import hear
from callout.table.talk.questions import Doubt, Heard
from tests.game.play import well_formed
from tests.table.play import Table

HOME, GUEST = Team.HOME, Team.GUEST
WRONG = ("home foul number five", "home foul number five", "home foul number five")


@pytest.fixture
def three(table: Table) -> Table:
    """Three fouls on one player, ten seconds apart."""
    table.begun()
    for words in WRONG:
        table.say(words)
        table.wait(10)
    return table


def take(table: Table, call: calls.Call, doubt: Doubt | None = None) -> str:
    return table.session.take(call, "voice", doubt=doubt).text


def signed(table: Table) -> list[tuple[str, str]]:
    return [(each.by, each.reason) for each in table.game.signatures]


def numbers(table: Table) -> list[str | None]:
    return [charge.number for charge in table.game.charges]


@pytest.mark.parametrize(
    ("answers", "expected"),
    [
        (["yes"], ["5", "5", "4"]),
        (["no", "yes"], ["5", "4", "5"]),
        (["earlier", "earlier", "yes"], ["4", "5", "5"]),
        (["earlier", "earlier", "later", "yes"], ["5", "4", "5"]),
        (["leave it"], ["5", "5", "5"]),
        (["cancel that"], ["5", "5", "5"]),
        (["no", "no", "no"], ["5", "5", "5"]),
    ],
)
def test_the_newest_is_named_first(three: Table, answers: list[str], expected: list[str]) -> None:
    reply = three.say("home foul five was four")
    assert reply.text == "First quarter, seven thirty: home foul, five. This one?"
    three.say(*answers)
    assert numbers(three) == expected
    assert three.session.dialogue.question is None


def test_neither_end_of_the_list_is_passed(three: Table) -> None:
    assert three.say("home foul five was four", "later").text == "None later."
    assert three.say("no", "earlier", "earlier").text == "None earlier."
    assert three.say("no").text == "Left as it was."


def test_without_an_answer_the_book_stays(three: Table) -> None:
    three.say("home foul five was four")
    assert three.wait(9).text == "Left as it was."
    assert numbers(three) == ["5", "5", "5"]


def test_earlier_and_later_answer_this_question_alone(three: Table) -> None:
    for call in (calls.Earlier(), calls.Later()):
        assert take(three, call) == "Nothing was asked."
        assert not three.session.may(call)
    three.say("end period")
    assert take(three, calls.Earlier()) == "I asked for yes or no."
    three.say("no", "home foul five was four")
    question = three.session.dialogue.question
    for answer in (calls.Earlier(), calls.Later(), calls.Yes(), calls.No()):
        assert answering(question, answer) == 1.0
    assert three.session.may(calls.Later())
    # What is no answer closes it, and is booked.
    three.say("guest foul number eight")
    assert three.session.dialogue.question is None
    assert len(three.game.charges) == 4


def test_what_is_said_of_each_kind_of_line(table: Table) -> None:
    table.begun()
    said = ["home bench technical", "guest foul five", "home three number five",
            "home shot missed number five", "home timeout", "timeout over"]  # fmt: skip
    for words in said * 2:
        table.say(words)
        table.wait(10)
        if table.session.dialogue.question:
            table.say("yes")
    asked = [
        table.say(words).text
        for words in ("home foul was guest", "home basket five was two", "home shot five was good",
                      "home timeout was guest")
    ]  # fmt: skip
    assert [each.partition(": ")[2] for each in asked] == [
        "home bench technical foul. This one?",
        "home three, five. This one?",
        "home shot missed, five. This one?",
        "home time-out. This one?",
    ]


def test_the_questions_slots_are_those_of_its_row(three: Table) -> None:
    game, entries = three.game, three.session.entries
    past = PastEntries(three.session.book.start, entries, game)
    heard = Heard(PutRight(HOME, "foul", "5", to=GUEST), "voice", three.session.now())
    asks = hear(three.session.dialogue, heard, Decisions(game, past)).asks
    assert asks is not None
    assert asks.kind == "ask_this_one"
    well_formed(asks)


def test_what_does_not_fit_is_refused_before_anything_is_asked(three: Table) -> None:
    for words, text in [
        ("guest foul five was four", "Nothing in the book fits."),
        ("home foul five was ninety nine", "No ninety nine for home."),
    ]:
        reply = three.say(words)
        assert reply.of(Sort.REFUSAL)[0].text == text
        assert three.session.dialogue.question is None


def test_a_number_in_doubt_is_asked_about_first(three: Table) -> None:
    wrong, other = PutRight(HOME, "foul", "5", to_number="15"), PutRight(HOME, "foul", "5",
                                                                        to_number="50")  # fmt: skip
    doubt = Doubt((wrong, other), ("fifteen", "fifty"), (0.6, 0.4))
    assert take(three, wrong, doubt) == "Fifteen, or fifty?"
    assert three.say("fifty").text.endswith("This one?")
    three.say("yes")
    assert numbers(three) == ["5", "5", "50"]
    assert take(three, wrong, doubt) == "Fifteen, or fifty?"
    # A number that was not offered is taken, too.
    assert three.say("ten", "yes").text.startswith("Changed: home foul, number ten, not five.")


def test_the_same_words_again_do_not_silently_change_another_line(three: Table) -> None:
    """A partner who repeats a correction aloud: within four seconds it is asked about."""
    three.say("take a foul off home five", "no", "yes")
    three.wait(9)
    three.say("take a foul off home five", "yes")
    assert numbers(three) == ["5"]
    three.wait(1)
    assert three.say("take a foul off home five").text == "Again?"
    assert three.say("no").text == "Left as it was."
    assert numbers(three) == ["5"]
    three.wait(9)
    three.say("take a foul off home five")
    assert numbers(three) == []


def test_it_may_be_typed_with_figures(three: Table) -> None:
    typed = three._parsers.typed("first quarter, home foul 5 was 4")
    assert three.say(typed).text.endswith("This one?")


def test_two_readings_are_asked_about_before_the_book_is_searched(three: Table) -> None:
    wrong = PutRight(HOME, "foul", "5", to=GUEST)
    doubt = Doubt((wrong, Foul(HOME, "5")), ("home foul five was guest", "home foul five"))
    assert take(three, wrong, doubt).endswith("home foul five?")
    assert three.say("the first one").text.endswith("This one?")


def test_a_script_s_description_is_looked_for_as_well(table: Table) -> None:
    table.begun()
    table.session.take(Score(HOME, 2, "5"), "script")
    table.session.take(PutRight(HOME, "basket", "5", points=3), "script")
    assert [goal.points for goal in table.game.goals] == [3]


def test_the_journal_keeps_what_was_wrong_and_by_whose_word_it_was_put_right(three: Table) -> None:
    three.say("home foul five was four", "yes")
    kept = list(three.journal.entries())
    assert kept == three.session.entries
    item = three.game.charges[-1].item
    assert [entry.call for entry in kept[1:4]] == [Foul(HOME, "5")] * 3
    assert kept[-1].call == calls.Correct(item, number="4")
    assert kept[-1].source == "voice"


def test_undo_names_what_it_has_undone(table: Table) -> None:
    table.begun()
    assert table.say("guest shot missed number five", "yes", "undo that").text == (
        "Undone: free throw missed, guest five. Nothing, nothing."
    )
    assert table.say("home bench technical", "undo that").text == (
        "Undone: home bench technical foul. Team zero."
    )
    table.say("home timeout", "make that guest")
    assert table.say("undo that").text == "Undone: change of team. Home time-out, full. Four left."
    table.say("home shot missed number five", "yes", "make that number ten")
    assert table.say("undo that").text == (
        "Undone: change of number. "
        "Changed: home free throw missed, number five, not ten. Nothing, nothing."
    )
    assert table.game.charges == ()


def test_a_signed_description_is_found_or_asked_about_as_any_other(three: Table) -> None:
    """Only the signature differs (`callout close --correct` takes the same words)."""

    def sign(call: calls.Call) -> calls.Call:
        return calls.Signed(call, "J. Miller", "the film shows it")

    parser, session = three.parser(), three.session
    three.say("end game", "yes", "officials approve", "yes")
    assert session.hear(parser, "guest foul five was four", "key", sign).refused
    asked = session.hear(parser, "home foul five was four", "key", sign)
    assert asked.text == "First quarter, seven thirty: home foul, five. This one?"
    assert signed(three) == []
    three.say("no", "yes")
    assert numbers(three) == ["5", "4", "5"]
    assert signed(three) == [("J. Miller", "the film shows it")]
    # One line fits a number that only one player has.
    session.hear(parser, "home foul four was ten", "key", sign)
    assert numbers(three) == ["5", "10", "5"]
    assert session.hear(parser, "undo that", "key", sign).refused
    assert session.hear(parser, "mumble", "key", sign).refused
    assert len(signed(three)) == 2
