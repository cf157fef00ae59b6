"""Words into calls: the inverse of the templates, and never a guess."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from pathlib import Path
from time import perf_counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from callout.game import calls
from callout.game.calls import Call
from callout.game.terms import Award, FoulKind, Offender, Team, Topic
from callout.game.values import SHIRTS
from callout.language.folder import load_grammar
from callout.language.grammar import Grammar, Scope, language_folder
from callout.language.parser import MOST_READINGS, Ambiguous, Parsed, Parser, Unparsed
from callout.language.sample import every
from callout.language.scope import Sentences
from tests.drawn import draw
from tests.language.conftest import ROSTERS

HOME, GUEST = Team.HOME, Team.GUEST
LANGUAGES = sorted(path.name for path in language_folder().parent.iterdir() if path.is_dir())
PARSER = Parser(load_grammar(language_folder()), Scope(ROSTERS, legal=("7", "50")))


@pytest.mark.parametrize(
    ("said", "call"),
    [
        ("home two", calls.Score(HOME, 2)),
        ("Visitors three number double zero", calls.Score(GUEST, 3, "00")),
        ("home two own basket", calls.Score(HOME, 2, own_basket=True)),
        ("number one two", calls.Number("12")),
        ("shot missed", calls.Shot(False)),
        ("away shot good number eight", calls.Shot(True, GUEST, "8")),
        ("guest foul fifteen shooting two", calls.Foul(GUEST, "15", award=Award.TWO)),
        ("home number five technical foul", calls.Foul(HOME, "5", FoulKind.TECHNICAL)),
        ("home number five technical", calls.Foul(HOME, "5", FoulKind.TECHNICAL)),
        ("guest number eight charge", calls.Foul(GUEST, "8", FoulKind.OFFENSIVE)),
        ("set clock one second", calls.SetClock(10)),
        ("home charge four", calls.Foul(HOME, "4", FoulKind.OFFENSIVE)),
        ("guest coach technical", calls.Foul(GUEST, None, FoulKind.TECHNICAL, Offender.COACH)),
        ("one and one", calls.SetAward(Award.ONE_AND_ONE)),
        ("double foul home five guest number eight", calls.DoubleFoul("5", "8")),
        ("set clock four oh five", calls.SetClock(2450)),
        ("take off ten seconds", calls.AdjustClock(-100)),
        ("home timeout thirty", calls.Timeout(HOME, "thirty")),
        ("home sub twelve in four out", calls.Substitution(HOME, "12", "4")),
        ("last home basket was guest", calls.PutRight(HOME, last=True, to=GUEST)),
        ("make that three points", calls.MakePoints(3)),
        ("count on guest fifteen", calls.Ask(Topic.PLAYER_FOULS, GUEST, "15")),
    ],
)
def test_words_are_this_call(said: str, call: Call) -> None:
    result = PARSER.parse(said)
    assert isinstance(result, Parsed)
    assert result.calls == (call,)


@pytest.mark.parametrize(
    ("said", "number", "award"),
    [
        ("shooting foul on home twenty three", "23", None),
        ("shooting foul guest twenty one", "21", None),
        ("shooting foul guest twenty two shots", "20", Award.TWO),
        ("shooting foul guest number eight two", "8", Award.TWO),
        ("shooting foul on home five two", "52", None),
    ],
)
def test_of_two_readings_the_likelier_is_meant(
    grammar: Grammar, said: str, number: str, award: Award | None
) -> None:
    """Each may be a shirt and its shots, or a higher shirt; 21 and 82 are on no list."""
    rosters = {HOME: ("5", "20", "23", "52"), GUEST: ("8", "20")}
    result = Parser(grammar, Scope(rosters, legal=SHIRTS)).parse(said)
    assert isinstance(result, Parsed)
    (call,) = result.calls
    assert isinstance(call, calls.Foul)
    assert (call.number, call.award) == (number, award)


def test_of_as_many_calls_those_said_in_the_usual_way_are_meant() -> None:
    """A basket is seldom called "number five home two"."""
    number, basket = PARSER.parse("number five home two number twelve").calls  # type: ignore[union-attr]
    assert (number, basket) == (calls.Number("5"), calls.Score(HOME, 2, "12"))
    award, timeout = PARSER.parse("two shots home timeout").calls  # type: ignore[union-attr]
    assert (award, timeout) == (calls.SetAward(Award.TWO), calls.Timeout(HOME))


def test_while_a_question_is_open_a_line_may_answer_it_and_go_on(
    grammar: Grammar, scope: Scope
) -> None:
    both = Parser(grammar, scope, Sentences.BOTH)
    assert both.parse("number five start clock").calls == (  # type: ignore[union-attr]
        calls.Answer("5"),
        calls.StartClock(),
    )


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("which", [Sentences.CALLS, Sentences.BOTH])
def test_nothing_that_can_be_said_is_left_without_a_reading(
    language: str, which: Sentences
) -> None:
    """With every shirt that may be worn: the ear takes no call that may be two."""
    grammar = load_grammar(language_folder(language))
    scope = Scope(ROSTERS, legal=SHIRTS)
    parser = Parser(grammar, scope, which)
    said = [each.words for each in draw(grammar, scope, 3_000, seed=3, which=which)]
    assert [words for words in said if not isinstance(parser.heard.parse(words), Parsed)] == []


# The orders in which officials and tables say it: common practice, no source.
@pytest.mark.parametrize(
    ("said", "call"),
    [
        ("guest foul eight two shots", calls.Foul(GUEST, "8", award=Award.TWO)),
        ("guest foul eight one shot", calls.Foul(GUEST, "8", award=Award.ONE)),
        ("home foul five three shots", calls.Foul(HOME, "5", award=Award.THREE)),
        ("home number five foul two shots", calls.Foul(HOME, "5", award=Award.TWO)),
        ("guest foul eight one and one", calls.Foul(GUEST, "8", award=Award.ONE_AND_ONE)),
        ("guest foul five zero two shots", calls.Foul(GUEST, "50", award=Award.TWO)),
        ("guest foul two shots", calls.Foul(GUEST, award=Award.TWO)),
        ("foul on guest fifteen", calls.Foul(GUEST, "15")),
        ("foul on guest eight two free throws", calls.Foul(GUEST, "8", award=Award.TWO)),
        ("foul home five", calls.Foul(HOME, "5")),
        ("guest foul on eight", calls.Foul(GUEST, "8")),
        ("intentional foul guest eight", calls.Foul(GUEST, "8", FoulKind.INTENTIONAL)),
        ("player control foul home five", calls.Foul(HOME, "5", FoulKind.OFFENSIVE)),
        ("technical foul home bench", calls.Foul(HOME, None, FoulKind.TECHNICAL, Offender.BENCH)),
        ("two shots", calls.SetAward(Award.TWO)),
        ("two shots home", calls.SetAward(Award.TWO, HOME)),
        ("two shots and the ball guest", calls.SetAward(Award.TWO, GUEST)),
        ("home two shots", calls.SetAward(Award.TWO, HOME)),
        ("number five home two", calls.Score(HOME, 2, "5")),
        ("home number five two", calls.Score(HOME, 2, "5")),
        ("number eight guest two", calls.Score(GUEST, 2, "8")),
        ("number five home foul", calls.Foul(HOME, "5")),
        ("number five home charge", calls.Foul(HOME, "5", FoulKind.OFFENSIVE)),
        ("number five home free throw good", calls.Shot(True, HOME, "5")),
        ("timeout guest", calls.Timeout(GUEST)),
        ("timeout guest waiting", calls.TimeoutWaiting(GUEST)),
        ("arrow to guest", calls.SetArrow(GUEST)),
        ("home number twelve in for seven", calls.Substitution(HOME, "12", "7")),
        ("sub for home", calls.SubWaiting(HOME)),
        ("stop the clock", calls.StopClock()),
        ("team fouls home", calls.Ask(Topic.TEAM_FOULS)),
        ("how many fouls on guest fifteen", calls.Ask(Topic.PLAYER_FOULS, GUEST, "15")),
    ],
)
def test_it_may_be_said_in_the_orders_that_people_use(said: str, call: Call) -> None:
    test_words_are_this_call(said, call)


@pytest.mark.parametrize(
    "said",
    [
        "fouls on guest fifteen",  # sounds like a foul, and was the question once
        "home ball",
        "double foul",
        "double technical",
        "number twelve in for seven",
        "number twelve out",
        "home basket number five",
        "shots",
        "home number twenty two",  # 22, or two points of 20
    ],
)
def test_what_might_be_taken_for_a_call_is_none(said: str) -> None:
    assert isinstance(PARSER.heard.parse(said), Unparsed)


@pytest.mark.parametrize(
    ("words", "call"),
    [
        ("home basket five was three", calls.PutRight(HOME, "basket", "5", points=3)),
        ("home basket five was number three", calls.PutRight(HOME, "basket", "5", to_number="3")),
        ("home basket five was one two", calls.PutRight(HOME, "basket", "5", to_number="12")),
        ("home three number five was guest", calls.PutRight(HOME, number="5", worth=3, to=GUEST)),
        ("second half home foul was seven", calls.PutRight(HOME, "foul", period=2, to_number="7")),
        ("home shot five was missed", calls.PutRight(HOME, "throw", "5", made=False)),
        (
            "fourth quarter take that two off home five",
            calls.PutRight(HOME, number="5", worth=2, period=4, off=True),
        ),
    ],
)
def test_what_is_wrong_in_the_book_has_one_reading(
    grammar: Grammar, words: str, call: Call
) -> None:
    listed = Parser(grammar, Scope({HOME: ("5", "12"), GUEST: ("8",)}, legal=("3", "7")))
    parsed = listed.parse(words)
    assert isinstance(parsed, Parsed)
    assert parsed.calls == (call,)
    # A line can only be the other team's: its own it is already.
    assert isinstance(listed.parse("home foul five was home"), Unparsed)


def test_no_number_before_points_is_a_part_of_a_players_number(grammar: Grammar) -> None:
    listed = Parser(grammar, Scope({HOME: ("5", "52"), GUEST: ("5",)}, legal=("20", "22")))
    assert isinstance(listed.parse("home number five two"), Unparsed)
    assert isinstance(listed.parse("home number twenty two"), Unparsed)
    other = listed.parse("guest number five two")
    assert isinstance(other, Parsed)
    assert other.calls == (calls.Score(GUEST, 2, "5"),)


def test_a_number_between_two_calls_is_that_of_the_first() -> None:
    result = PARSER.parse("guest foul number eight home two number five guest two")
    assert isinstance(result, Parsed)
    expected = (calls.Foul(GUEST, "8"), calls.Score(HOME, 2, "5"), calls.Score(GUEST, 2))
    assert result.calls == expected
    words = ["guest", "foul", "number", "eight", "home", "two"]
    assert PARSER.network.split(words) == (4, 6)


def test_where_shots_are_said_none_are_left_out(grammar: Grammar) -> None:
    """Over every sentence of a small game: a smaller call, or "no shots", must not be left."""
    scope = Scope({HOME: ("5",), GUEST: ("8", "82")})
    counted = 0
    for sample in every(grammar, scope):
        if sample.meaning.name != "shot" and sample.words[-1] in (
            "shot", "shots", "throw", "throws"
        ):  # fmt: skip
            counted += 1
            award = sample.meaning.slots["award"]
            assert (award == "none") == (sample.words[-2:][0] == "no" or "no" in sample.words)
    assert counted > 100


def test_where_a_word_wakes_the_ear_no_call_is_one_without_it() -> None:
    woken = Parser(PARSER.grammar, Scope(ROSTERS, wake=("table",)), Sentences.BOTH)
    result = woken.parse("table home two table guest foul eight")
    assert isinstance(result, Parsed)
    assert result.calls == (calls.Score(HOME, 2), calls.Foul(GUEST, "8"))
    assert woken.parse("home two") == Unparsed(("home", "two"))
    assert woken.without_wake(["table", "home", "two"]) == ("home", "two")
    assert woken.without_wake(["yes"]) == ("yes",)


def test_an_answer_needs_no_word_that_wakes_the_ear() -> None:
    woken = Parser(PARSER.grammar, Scope(ROSTERS, wake=("table",)), Sentences.BOTH)
    result = woken.parse("yes")
    assert isinstance(result, Parsed)
    assert result.calls == (calls.Yes(),)
    assert woken.parse("table yes") == Unparsed(("table", "yes"))


def test_while_a_question_is_open_a_number_is_its_answer(grammar: Grammar) -> None:
    """It is a call as well, which reaches back to the newest entry; two readings would be none."""
    asked = Parser(grammar, Scope(ROSTERS), Sentences.BOTH)
    for said in ("number five", "five"):
        result = asked.parse(said)
        assert isinstance(result, Parsed), said
        assert result.calls == (calls.Answer("5"),)
    for said in ("home two", "make that number five"):
        assert isinstance(asked.parse(said), Parsed), said


@pytest.mark.parametrize(
    ("which", "one_in"),
    [
        (Sentences.CALLS, 31),
        (Sentences.ANSWERS, 1),
        pytest.param(Sentences.CALLS, 1, marks=pytest.mark.thorough),
    ],
)
def test_every_sentence_of_the_language_is_read_as_what_it_means(
    grammar: Grammar, which: Sentences, one_in: int
) -> None:
    """Each kind of call; of its sentences one in 31 where there is little time."""
    scope = Scope({HOME: ("5",), GUEST: ("15", "00")})
    small = Parser(grammar, scope, which)
    times_ms = []
    met: Counter[str] = Counter()
    for sample in every(grammar, scope, which):
        met[sample.meaning.name] += 1
        if met[sample.meaning.name] % one_in and met[sample.meaning.name] > 1:
            continue
        started = perf_counter()
        result = small.parse(sample.words)
        times_ms.append(1_000 * (perf_counter() - started))
        assert result == Parsed((sample.meaning,)), sample.words
    median_ms, worst_ms = sorted(times_ms)[len(times_ms) // 2], max(times_ms)
    print(f"{len(times_ms)} sentences, median {median_ms:.3f} ms, at most {worst_ms:.2f} ms")
    assert len(times_ms) > (50_000 // one_in if which is Sentences.CALLS else 5)


def test_a_long_text_is_read_in_no_time() -> None:
    """Where each of many pieces may be one call or two, the ways to read them all are not tried."""
    result = PARSER.parse("home two number five " * 200)
    assert isinstance(result, Parsed)
    assert result.calls == (calls.Score(HOME, 2, "5"),) * 200
    assert isinstance(PARSER.parse("home two number five " * 200 + "two"), Unparsed)


def test_of_very_many_readings_some_are_told(grammar: Grammar) -> None:
    both = Scope(ROSTERS, team_words={HOME: ("red",), GUEST: ("red",)})
    result = Parser(grammar, both).parse("red two " * 40)
    assert isinstance(result, Ambiguous)
    assert len(result.readings) == len({r.calls for r in result.readings}) == MOST_READINGS
    assert all(len(reading.calls) == 40 for reading in result.readings)


def test_every_template_is_reached_by_an_example(grammar: Grammar) -> None:
    """An example of each template: without one, a mistake in it would show only in a hall."""
    for index, file in enumerate(grammar.calls):
        for template in (t for t in grammar.templates if t.call == index):
            alone = Grammar(grammar.folder, grammar.calls, (template,), grammar.slots)
            numbers = ("00", "0", *(str(n) for n in range(4, 60)))
            scope = Scope({HOME: numbers, GUEST: numbers}, legal=("1", "2", "3"))
            parser = Parser(alone, scope, file.sentences)
            reached = [e.say for e in file.examples if isinstance(parser.parse(e.say), Parsed)]
            assert reached, f"{template.path.name}:{template.line}: no example"


@pytest.mark.parametrize(
    ("said", "asked"),
    [
        ("guest foul fifteen", "guest foul one five"),
        ("guest three number seven", "guest three number seven"),
        ("guest sub fifty in fifteen out", "guest sub five zero in one five out"),
        # A score is a count, and nobody calls one by its digits.
        ("set home score fifty", "set home score fifty"),
        ("set clock four fifty", "set clock four fifty"),
    ],
)
def test_shirts_that_sound_alike_are_asked_about_by_digits(said: str, asked: str) -> None:
    # Common practice, no source: officials tell a shirt's digits one by one.
    assert " ".join(PARSER.by_digits(said.split())) == asked


def test_one_call_is_preferred_to_two() -> None:
    one = PARSER.parse("home two number five")
    assert isinstance(one, Parsed)
    assert one.calls == (calls.Score(HOME, 2, "5"),)
    two = PARSER.parse("home two number five guest foul")
    assert isinstance(two, Parsed)
    assert two.calls == (calls.Score(HOME, 2, "5"), calls.Foul(GUEST))
    assert [sentence.end for sentence in two.sentences] == [4, 6]


@pytest.mark.parametrize(
    "said", ["", "home", "two home", "home two number", "yes", "fifteen", "home ninety nine", "x"]
)
def test_what_is_no_call_is_unparsed(said: str) -> None:
    assert PARSER.parse(said) == Unparsed(tuple(said.split()))


def test_answers_are_heard_only_while_a_question_is_open(grammar: Grammar, scope: Scope) -> None:
    answers = Parser(grammar, scope, Sentences.ANSWERS)
    for said, call in [("yes", calls.Yes()), ("no", calls.No()), ("five zero", calls.Answer("50"))]:
        result = answers.parse(said)
        assert isinstance(result, Parsed)
        assert result.calls == (call,)
    assert isinstance(answers.parse("home two"), Unparsed)


@given(st.lists(st.sampled_from(sorted(PARSER.network.words())), max_size=9))
def test_known_words_are_calls_or_unparsed(words: list[str]) -> None:
    result = PARSER.parse(words)
    if isinstance(result, Unparsed):
        assert PARSER.network.split(words) is None
    else:
        assert isinstance(result, Parsed)
        assert result.sentences[-1].end == len(words)


@given(st.text(max_size=40))
def test_any_text_gets_a_result(text: str) -> None:
    assert isinstance(PARSER.parse(text), Parsed | Unparsed | Ambiguous)


def test_what_may_mean_two_things_is_not_guessed(grammar: Grammar) -> None:
    scope = Scope(ROSTERS, team_words={HOME: ("red",), GUEST: ("red",)})
    result = Parser(grammar, scope).parse("red two")
    assert isinstance(result, Ambiguous)
    assert {reading.calls for reading in result.readings} == {
        (calls.Score(HOME, 2),),
        (calls.Score(GUEST, 2),),
    }


def test_values_that_no_call_takes_are_no_call(language: Callable[..., Path]) -> None:
    slots = "slots: {n: {values: {2: [two], 9: [nine]}}}\n"
    text = (
        'name: s\nsay: ["home {n}"]\ndoes: {score: {team: home, points: $n}}\n'
        "examples: [{say: home two, slots: {n: 2}}]\n"
    )
    parser = Parser(load_grammar(language(slots, s=text)), Scope())
    assert isinstance(parser.parse("home two"), Parsed)
    assert parser.parse("home nine") == Unparsed(("home", "nine"))
