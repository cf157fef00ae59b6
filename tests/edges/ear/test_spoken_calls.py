"""Utterances read as calls, and what is left in doubt."""

from __future__ import annotations

import math
from typing import Any

import pytest

from callout.edges.ear.hypotheses import Word
from callout.edges.ear.messages import HeardCall, OtherWords, Utterance
from callout.edges.ear.spoken_calls import WHOLE, Prior, understand
from callout.game import calls
from callout.game.terms import Team
from callout.language.grammar import Scope
from callout.language.parser import Parser
from callout.table.talk.doubt import number_alone, number_in_doubt
from callout.table.talk.prior import REFUSED
from tests.language.conftest import ROSTERS


def call(text: str, *others: tuple[str, float], margin: float = 9.0) -> HeardCall:
    words = tuple(Word(word, 1.0 + at, 1.5 + at) for at, word in enumerate(text.split()))
    likely = tuple(OtherWords(tuple(other.split()), gap) for other, gap in others)
    return HeardCall(words, 9.0, margin, likely)


def utterance(*found: HeardCall, text: str = "said") -> Utterance:
    return Utterance(1.0, 9.0, text, found)


def times(p: float, kind: type[calls.Call]) -> Prior:
    """Calls of a kind are so many times as likely as others."""
    return lambda each, _: p if isinstance(each, kind) else 1.0


def unlikely(kind: type[calls.Call]) -> Prior:
    """The game refuses calls of that kind."""
    return times(REFUSED, kind)


def test_calls_come_with_their_own_times(parser: Parser) -> None:
    found = list(understand(parser, utterance(call("home two"), call("guest foul eleven"))))
    assert [each.text for each in found] == ["home two", "guest foul eleven"]
    assert [(each.start_s, each.end_s) for each in found] == [(1.0, 2.5), (1.0, 3.5)]
    assert [each.status for each in found] == ["call", "call"]
    assert found[0].sentence is not None
    assert found[0].sentence.call == calls.Score(Team.HOME, 2)


@pytest.mark.parametrize(
    ("other", "gap", "status"),
    [
        ("guest foul fifty", 2.9, "unsure"),
        ("guest foul fifty", 3.0, "call"),
        ("guest foul eleven", 2.9, "unsure"),
        ("guest foul fifty", 0.5, "unsure"),
    ],
)
def test_a_number_that_sounds_like_another_is_asked_about_like_any_other(
    parser: Parser, other: str, gap: float, status: str
) -> None:
    anyone = Parser(parser.grammar, Scope({}, legal=("11", "15", "50")))
    (found,) = understand(anyone, utterance(call("guest foul fifteen", (other, gap))))
    assert (found.text, found.status) == ("guest foul fifteen", status)


def test_the_plain_form_is_the_published_one(parser: Parser) -> None:
    (found,) = understand(parser, utterance(call("guest foul eleven shooting two")))
    assert found.to_dict() == {
        "start_s": 1.0,
        "end_s": 5.5,
        "text": "guest foul eleven shooting two",
        "status": "call",
        "call": "foul",
        "slots": {"team": "guest", "number": "11", "award": "two"},
        "choices": [],
    }


def test_a_word_that_wakes_the_ear_is_not_said_back(parser: Parser) -> None:
    woken = Parser(parser.grammar, Scope(ROSTERS, wake=("table",)))
    doubtful = call("table stop clock", ("table start clock", 0.5))
    (found,) = understand(woken, utterance(doubtful))
    assert [choice.text for choice in found.choices] == ["stop clock", "start clock"]


def test_a_number_in_doubt_leaves_the_rest_certain(parser: Parser) -> None:
    doubtful = call("guest foul fifteen", ("guest foul eleven", 0.5), ("guest two", 4.5))
    (found,) = understand(parser, utterance(doubtful))
    told = found.to_dict()
    assert (told["status"], told["call"], told["slots"]) == ("unsure", "foul", {"team": "guest"})
    assert [choice["slot"] for choice in told["choices"]] == ["number", "number"]
    assert [choice["value"] for choice in told["choices"]] == ["15", "11"]
    assert sum(choice["p"] for choice in told["choices"]) == pytest.approx(1.0, abs=0.002)
    assert told["choices"][0]["p"] == pytest.approx(1 / (1 + 2.718281828**-0.5), abs=0.001)


@pytest.mark.parametrize(
    ("gap", "status"), [(1.0, "unsure"), (2.9, "unsure"), (3.0, "call"), (5.0, "call")]
)
def test_a_call_is_asked_about_below_its_probability(
    parser: Parser, gap: float, status: str
) -> None:
    """A wrong entry is worth 20 questions: of two readings, up to a gap of ln 19, 2.94."""
    (found,) = understand(parser, utterance(call("guest eleven out", margin=-0.1)))
    assert found.status == "ignored"
    (found,) = understand(parser, utterance(call("guest two", ("guest three", gap))))
    assert found.status == status


@pytest.mark.parametrize(
    ("heard", "other", "gap", "status"),
    [
        ("foul on guest eight", "fouls on guest eight", 1.0, "unsure"),
        ("foul on guest eight", "fouls on guest eight", 3.1, "call"),
        ("fouls on guest eight", "foul on guest eight", 1.0, "unsure"),
        ("fouls on guest eight", "foul on guest eight", 1.5, "ignored"),
        ("home ball", "held ball", 5.0, "ignored"),
        ("guest eight", "guest foul eight", 0.1, "ignored"),
    ],
)
def test_beside_what_sounds_like_it_and_is_none_a_call_is_asked_about(
    parser: Parser, heard: str, other: str, gap: float, status: str
) -> None:
    """A call of a quarter of the decoy's weight, a gap of ln 4, is asked about."""
    (found,) = understand(parser, utterance(call(heard, (other, gap))))
    assert found.status == status
    if status == "unsure":
        assert [choice.text for choice in found.choices] == ["foul on guest eight"]
        assert found.doubt is not None
        assert found.doubt.maybe_none


def test_numbers_in_doubt_beside_a_decoy_are_a_whole_call_in_doubt(parser: Parser) -> None:
    """Else the foul would be booked before the answer."""
    others = ("foul on guest fifteen", 0.5), ("fouls on guest eight", 0.5)
    (found,) = understand(parser, utterance(call("foul on guest eight", *others)))
    assert found.doubt is not None
    assert number_in_doubt(found.doubt.calls) == "number"
    assert number_alone(found.doubt) is None


def test_two_ways_to_say_the_same_speak_for_one_call(parser: Parser) -> None:
    same = call("guest foul eleven", ("guest foul one one", 0.7), ("visitors foul eleven", 0.7))
    assert [each.status for each in understand(parser, utterance(same))] == ["call"]
    together = call("guest foul fifteen", ("guest foul eleven", 0.5), ("visitors foul eleven", 0.5))
    (found,) = understand(parser, utterance(together))
    assert [choice.value(found.slot) for choice in found.choices] == ["11", "15"]
    assert found.sentence == found.choices[0].sentence


def test_calls_that_differ_in_more_than_a_slot_are_offered_whole(parser: Parser) -> None:
    (found,) = understand(parser, utterance(call("undo that", ("mark that", 0.1))))
    told = found.to_dict()
    assert (told["status"], told["call"], told["slots"]) == ("unsure", None, {})
    assert [(c["slot"], c["value"], c["text"]) for c in told["choices"]] == [
        ("call", "undo", "undo that"),
        ("call", "mark", "mark that"),
    ]


def test_what_may_not_be_called_now_is_not_asked_about(parser: Parser) -> None:
    told = call("stop clock", ("start clock", 1.2))
    (found,) = understand(parser, utterance(told))
    assert found.status == "unsure"
    (stops,) = understand(parser, utterance(told), unlikely(calls.StartClock))
    assert (stops.status, stops.choices, stops.text) == ("call", (), "stop clock")
    (same,) = understand(parser, utterance(told), lambda each, _: REFUSED)
    assert same.to_dict() == found.to_dict()


@pytest.mark.parametrize(
    ("margin", "p", "status"),
    [
        (-0.1, 1.0, "ignored"),
        (-2.9, 20.0, "call"),
        (-3.1, 20.0, "ignored"),
        (3.9, REFUSED, "ignored"),
        (4.0, REFUSED, "call"),
        (9.0, 0.0, "ignored"),
    ],
)
def test_what_is_likely_now_needs_less_of_its_sound_to_be_a_call(
    parser: Parser, margin: float, p: float, status: str
) -> None:
    """Bayes: odds of 20 are worth ln 20, 3.00, of a log-likelihood ratio; ln 0.02 is -3.91."""
    told = utterance(call("stop clock", margin=margin))
    (found,) = understand(parser, told, times(p, calls.StopClock))
    assert found.status == status


def test_each_call_is_weighed_after_the_one_before_it(parser: Parser) -> None:
    doubtful = call("stop clock", ("start clock", 1.2))
    begun: list[str] = []
    found = understand(
        parser,
        utterance(call("undo that"), doubtful),
        lambda each, _: REFUSED if isinstance(each, calls.StartClock) and begun else 1.0,
    )
    begun.append(next(found).text)
    assert [each.status for each in found] == ["call"]


@pytest.mark.parametrize(
    ("gap", "heard"),
    [
        (0.5, ("call", "stop clock")),
        (4.0, ("unsure", "start clock")),
        (9.0, ("call", "start clock")),
    ],
)
def test_what_would_be_refused_is_weighed_against_its_sound(
    parser: Parser, gap: float, heard: tuple[str, str]
) -> None:
    """Bayes: at a gap of 4 it has 0.02 / (0.02 + exp(-4)) of it, 0.52."""
    told = utterance(call("start clock", ("stop clock", gap)))
    (weighed,) = understand(parser, told, unlikely(calls.StartClock))
    assert (weighed.status, weighed.text) == heard


def test_what_is_expected_now_may_outweigh_its_sound(parser: Parser) -> None:
    """Bayes: at a gap of 1 a call that is 60 times as likely has 60 / (60 + e) of it, 0.957."""
    told = utterance(call("stop clock", ("start clock", 1.0)))
    (starts,) = understand(parser, told, times(60.0, calls.StartClock))
    assert (starts.status, starts.text) == ("call", "start clock")
    (little,) = understand(parser, told, times(2.0, calls.StartClock))
    assert (little.status, little.text) == ("unsure", "stop clock")


def test_a_doubt_names_the_calls_and_their_words(parser: Parser) -> None:
    (found,) = understand(parser, utterance(call("undo that", ("mark that", 0.1))))
    assert found.doubt is not None
    assert found.doubt.calls == (calls.Undo(), calls.Mark())
    assert found.doubt.words == ("undo that", "mark that")
    assert found.doubt.likely == pytest.approx((1 / (1 + math.exp(-0.1)), 1 / (1 + math.exp(0.1))))
    assert found.others == (), "they are asked about"
    (sure,) = understand(parser, utterance(call("undo that")))
    assert (sure.doubt, sure.others) == (None, ())


def test_what_else_a_certain_call_may_have_been_is_kept(parser: Parser) -> None:
    (found,) = understand(parser, utterance(call("undo that", ("mark that", 4.0))))
    assert found.doubt is None
    ((other, share),) = found.others
    assert other == calls.Mark()
    assert share == pytest.approx(1 / (1 + math.exp(4.0)))


def test_a_doubt_of_whole_calls_says_their_numbers_by_digits(parser: Parser) -> None:
    doubtful = call("guest foul fifteen", ("guest two number fifteen", 0.2))
    (found,) = understand(parser, utterance(doubtful))
    assert [choice.text for choice in found.choices] == [
        "guest foul fifteen",
        "guest two number fifteen",
    ]
    assert found.doubt is not None
    assert found.doubt.words == ("guest foul one five", "guest two number one five")


def test_what_is_left_of_whole_calls_may_be_a_doubt_of_a_number(parser: Parser) -> None:
    three = call("guest foul fifteen", ("guest foul eleven", 0.2), ("undo that", 0.4))
    (found,) = understand(parser, utterance(three))
    assert found.slot == WHOLE
    (left,) = understand(parser, utterance(three), times(0.0, calls.Undo))
    assert (left.slot, [c.value("number") for c in left.choices]) == ("number", ["15", "11"])
    assert sum(choice.weight for choice in left.choices) == pytest.approx(1.0)


def test_many_faint_readings_are_a_doubt_together(parser: Parser) -> None:
    faint = [(f"{team} foul {n}", 3.3) for team in ("home", "guest") for n in ("four", "five")]
    more = [(f"{team} {n}", 3.3) for team in ("home", "guest") for n in ("one", "three")]
    (found,) = understand(parser, utterance(call("guest two", *faint, *more)))
    assert found.status == "unsure"
    assert found.choices[0].text == "guest two"
    assert len(found.choices) == 2


@pytest.mark.parametrize(
    "found",
    [
        [],
        [call("home two", margin=-0.1)],
        [call("home two home")],
        [call("home ninety nine")],
    ],
)
def test_what_holds_no_call_is_one_ignored_stretch(parser: Parser, found: list[Any]) -> None:
    (ignored,) = understand(parser, utterance(*found, text="[unk] home"))
    assert (ignored.status, ignored.text, ignored.sentence) == ("ignored", "[unk] home", None)
    assert ignored.to_dict()["call"] is None


THREE = calls.Score(Team.HOME, 3)


def heard_again(parser: Parser, margin: float, again: calls.Call = THREE) -> str:
    """What becomes of "home three" with that margin if that call was nearly heard before."""
    told = utterance(call("home three", margin=margin))
    (found,) = understand(parser, told, again=lambda each, _: each == again)
    return found.status


def test_a_call_that_is_not_clear_enough_is_nearly_heard(parser: Parser) -> None:
    (found,) = understand(parser, utterance(call("home three", margin=-8.9)))
    assert (found.status, found.nearly) == ("ignored", THREE)


def test_a_call_far_from_clear_is_not_even_nearly_heard(parser: Parser) -> None:
    (found,) = understand(parser, utterance(call("home three", margin=-9.1)))
    assert (found.status, found.nearly) == ("ignored", None)


def test_talk_beside_a_call_that_is_heard_is_not_nearly_heard(parser: Parser) -> None:
    told = utterance(call("home three", margin=-1.0), call("guest foul eleven"))
    assert [(each.text, each.nearly) for each in understand(parser, told)] == [
        ("guest foul eleven", None)
    ]


@pytest.mark.parametrize(
    ("margin", "status"),
    [
        # It gains 6 nats. With 3 left it is talk in one of twenty, and asked about below that.
        (-2.9, "call"),
        (-3.1, "unsure"),
        (-5.9, "unsure"),
        (-6.1, "ignored"),
    ],
)
def test_a_call_that_is_said_again_needs_less(parser: Parser, margin: float, status: str) -> None:
    assert heard_again(parser, margin) == status


def test_another_call_than_the_one_before_gains_nothing(parser: Parser) -> None:
    assert heard_again(parser, -1.0, calls.Score(Team.GUEST, 3)) == "ignored"


def test_a_question_about_a_call_said_again_may_be_answered_with_no(parser: Parser) -> None:
    (found,) = understand(
        parser, utterance(call("home three", margin=-4.0)), again=lambda each, _: each == THREE
    )
    assert found.doubt is not None
    assert (found.doubt.calls, found.doubt.maybe_none) == ((THREE,), True)
