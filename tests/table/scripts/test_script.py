"""Game scripts. The forms are those that the design's page lists; times are arithmetic."""

from __future__ import annotations

from pathlib import Path

import pytest

from callout.errors import InputError
from callout.game.calls import SetClock
from callout.game.state import Phase
from callout.language.grammar import Grammar
from callout.table.book.journal import Journal
from callout.table.scripts.script import Line, Runner, read_script
from tests.english import english_grammar

HEADER = """\
profile: nfhs-2026
home: Harbour Kites | 4 5 7 10 11 12 23
guest: Quarry Foxes | 3 5 8 14 15 20 33
"""


@pytest.fixture(scope="module")
def grammar() -> Grammar:
    return english_grammar()


def write(folder: Path, body: str, header: str = HEADER) -> Path:
    path = folder / "x.game"
    path.write_text(f"{header}\n{body}", encoding="utf-8")
    return path


class Run:
    """A script's text, played; a fixture makes it."""

    def __init__(self, grammar: Grammar, folder: Path) -> None:
        self._grammar, self._folder = grammar, folder

    def __call__(self, body: str, header: str = HEADER) -> Runner:
        script = read_script(write(self._folder, body, header))
        runner = Runner(script, self._grammar, Journal.in_memory(script.setup))
        runner.run()
        return runner


@pytest.fixture
def run(grammar: Grammar, tmp_path: Path) -> Run:
    return Run(grammar, tmp_path)


def test_the_worked_example_of_the_design(run: Run) -> None:
    runner = run("""\
8:00 start clock
     tip home
     => Home control. Arrow, guest.
7:41 home two number five
     => Home two, number five. Two, nothing.
7:20 guest foul eleven
     => No eleven for guest. Team foul one, number open.
     number fourteen
     == fouls guest 14 P
     == team fouls guest 1
""")
    assert (runner.differences, runner.unmentioned) == ([], [])
    assert runner.session.game.goals[0].left_tenths == 4_610


def test_a_script_is_read_line_by_line(tmp_path: Path) -> None:
    body = "8:00 start clock  # the first\n\n+45s\n0:07.5 <f13>\n8.3 home two\n-- \n== score 2 0\n"
    script = read_script(write(tmp_path, body))
    assert script.lines == (
        Line(5, "start clock", 4_800),
        Line(7, "+45s"),
        Line(8, "<f13>", 75),
        Line(9, "home two", 83),
        Line(10, "", mark="--"),
        Line(11, "score 2 0", mark="=="),
    )
    assert [line.words for line in script.said()] == ["start clock", "home two"]


# --- what is wrong with a script ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("body", "message"),
    [
        ("=>\n", ":5: expected a part of the reply after '=>', got ''"),
        ("!!\n", ":5: expected a part of a refusal after '!!', got ''"),
        ("-- home two\n", ":5: expected nothing after '--', got 'home two'"),
        ("start clock\nhome too\n", ":6: expected a call, got 'home too'"),
        ("start clock\nnote: two\n", ":6: expected a call, got 'note: two'"),
        ("start clock\n<f99>\n", ":6: expected keys ("),
        ("start clock\n== scores 2 0\n", ":6: expected one of "),
        ("start clock\n== points home 99 2\n", ":6: expected a team or a player, got 'home 99 2'"),
        ("9:00 start clock\n", ":5: expected a time within the period, got '9:00'"),
    ],
)
def test_a_wrong_line_is_named(run: Run, body: str, message: str) -> None:
    with pytest.raises(InputError) as caught:
        run(body)
    assert message in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_header_after_the_first_call_is_no_header(run: Run) -> None:
    with pytest.raises(InputError, match="expected a call, got 'clock: ours'"):
        run("start clock\nclock: ours\n")


# --- expectations: each must be able to fail ---------------------------------------------------

BODY = """\
start clock
home two number five
{}
"""


@pytest.mark.parametrize(
    "right",
    [
        "=> Home two, number five.",
        "=> Two, nothing",
        "== score 2 0",
        "== open home 0 0",
        "start clock\n!! Already running",
        "start clock\n=> Already running",
        "home three number five\n--\n== score 5 0",
        "end period\n?? End the period?",
        "stop clock\nguest foul number fourteen shooting two\n!> Two shots, home",
        "home nine\n!! Say again",
    ],
)
def test_what_is_as_expected(run: Run, right: str) -> None:
    differences = run(BODY.format(right)).differences
    if "--" in right:
        # That line was not silent: it is here to show that silence can fail.
        assert len(differences) == 1
        assert (
            "expected nothing said, got 'Home three, number five. Five, nothing.'"
            in (differences[0])
        )
    else:
        assert differences == []


@pytest.mark.parametrize(
    ("wrong", "got"),
    [
        ("=> Home three", "expected => 'Home three', got 'Home two, number five. Two, nothing.'"),
        ("!! Already running", "expected !! 'Already running', got 'Home two"),
        ("!- Two, nothing", "expected no 'Two, nothing', got 'Home two"),
        ("!> Two, nothing", "expected !> 'Two, nothing', got 'Home two"),
        ("?? Another", "expected ?? 'Another', got 'Home two"),
        ("--", "expected nothing said, got 'Home two"),
        ("== score 0 2", "expected score '0 2', got '2 0'"),
        ("== clock 7:59", "expected clock '7:59', got '8:00'"),
        ("== points home 5 3", "expected points home 5 '3', got '2'"),
    ],
)
def test_what_is_not_is_a_difference_with_its_line(run: Run, wrong: str, got: str) -> None:
    (difference,) = run(BODY.format(wrong)).differences
    assert f"x.game:7: {got}" in difference


def test_silence_is_silence(run: Run) -> None:
    runner = run("start clock\nurgent only\nhome two number five\n--\n== score 2 0\n")
    assert runner.differences == []


def test_a_refusal_that_the_script_does_not_speak_of_is_noted(run: Run) -> None:
    runner = run("start clock\nstart clock\nstop clock\n== score 0 0\n")
    assert runner.differences == []
    assert [note.partition("x.game:")[2] for note in runner.unmentioned] == [
        "6: refused: Already running."
    ]


# --- time --------------------------------------------------------------------------------------


def test_a_clock_before_a_call_lets_a_running_clock_come_to_it(run: Run) -> None:
    runner = run("start clock\n6:30 home two\n")
    assert runner.time.wall_ms() == 90_000
    assert runner.session.game.goals[0].left_tenths == 3_900


def test_a_clock_before_a_call_sets_a_standing_clock_without_a_word(run: Run) -> None:
    runner = run(
        "start clock\n7:00 stop clock\n6:30 home two\n=> Home two\nundo that\n=> Undone: h"
    )
    assert runner.differences == []
    assert runner.session.game.clock.left_tenths == 3_900
    clocks = [e for e in runner.session.entries if isinstance(e.call, SetClock)]
    assert [entry.source for entry in clocks] == ["clock"]
    # It is the time itself and no call: "undo that" passes over it.
    runner.play(Line(99, "undo that"))
    assert runner.session.game.clock.left_tenths == 3_900


def test_a_later_clock_than_is_left_lets_the_period_run_out_first(run: Run) -> None:
    runner = run("start clock\n1:00 home two\n8:00 start period\n=> End of first quarter\n")
    assert runner.differences == []
    assert runner.session.game.period == 2
    assert runner.time.wall_ms() == 480_000


def test_time_passes_and_what_falls_due_on_the_way_is_said(run: Run) -> None:
    # NFHS 5-11: a full time-out is 60 s, with a warning 15 s before its end.
    runner = run("""\
start clock
7:00 stop clock
home timeout
+44.9s
--
+0.1s
!> Warning horn
+15s
!> Time-out is over
""")
    assert runner.differences == []
    assert runner.session.now().left_tenths == 4_200


def test_a_clock_that_is_not_to_be_had_is_a_difference(run: Run) -> None:
    runner = run("start clock\n1:00 end period\nyes\n0:00 mark that\n0:30 mark that\n")
    (difference,) = runner.differences
    assert "x.game:9: expected the clock at 30.0, got 0.0, interval" in difference
    assert runner.session.game.phase is Phase.INTERVAL


def test_a_clock_may_stand_alone(run: Run) -> None:
    runner = run("start clock\n7:00\n== clock 7:00\n== clock running yes\n")
    assert runner.differences == []


def test_another_s_clock_is_set_forward_too(run: Run) -> None:
    header = HEADER + "clock: follow\n"
    runner = run("start clock\n7:00 home two\n7:30 guest two\n== clock 7:30\n", header)
    assert runner.differences == []


def test_keys_make_calls(run: Run) -> None:
    runner = run("start clock\n<f> <s>\n<u>\n=> Undone: home two\n<f> <1> <1> <enter>\n!! not used")
    assert runner.differences == []
    assert [entry.source for entry in runner.session.entries] == ["voice", "key", "key"]


def test_a_key_that_wants_more_asks_for_it(run: Run) -> None:
    runner = run("start clock\n<s>\n?? Home or guest?\n<f>\n=> Home two\n<6> <.>\n<space>\n")
    assert runner.differences == []
