"""`callout new`: a first game's setup file, asked for line by line."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from callout import __main__
from callout.commands.new import new
from callout.errors import CalloutError, InputError
from callout.game.profile.file import profile_names
from callout.table.setup.setup import Setup, read_setup
from tests.patience import HANG_S

LIST = "No.,Player,Pos\n3,Ida Rush,C\n5,Jo Sand,G\n"
Run = Callable[..., str]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Answers the questions, in an empty folder; gives what was printed."""
    monkeypatch.chdir(tmp_path)

    def answered(
        *answers: str, file: str = "saturday.setup", status: int = 0, language: str = ""
    ) -> str:
        arguments = ["new", *([file] if file else [])]
        arguments += ["--language", language] if language else []
        done = CliRunner().invoke(
            __main__.app,
            arguments,
            input="".join(f"{each}\n" for each in answers),
        )
        assert done.exit_code == status, (done.output, done.exception)
        return done.output

    return answered


def made(path: str = "saturday.setup") -> Setup:
    return read_setup(Path(path))


def test_league_teams_and_numbers_make_a_game(run: Run) -> None:
    shown = run("nfhs-2026", "Harbour Kites", "4 5 10", "", "Quarry Foxes", "3 14", "15", "")
    setup = made()
    assert setup.profile == "nfhs-2026"
    assert setup.home.side().numbers == ("4", "5", "10")
    assert (setup.guest.name, setup.guest.side().numbers) == ("Quarry Foxes", ("3", "14", "15"))
    # What is written is what a person would write, and the next command stands there.
    assert Path("saturday.setup").read_text().splitlines()[1:] == [
        "profile: nfhs-2026",
        "home: Harbour Kites | 4 5 10",
        "guest: Quarry Foxes | 3 14 15",
    ]
    assert "callout live saturday.game --setup saturday.setup" in shown
    assert shown.count("It is no official clock") == 1
    assert "which may be children's" not in shown


def test_the_language_stands_in_the_file_and_nothing_is_asked_for_one_that_is_not_there(
    run: Run,
) -> None:
    shown = run("", "", "", "", "", language="es")
    assert made().language == "es"
    assert Path("saturday.setup").read_text().splitlines()[1:3] == [
        "language: es",
        "profile: youth-6-minute",
    ]
    assert "callout live saturday.game --setup saturday.setup --ear off" in shown
    with pytest.raises(CalloutError, match="--language: expected en, es, got 'fr'"):
        new(ask=lambda what, usual: pytest.fail(what), language="fr")


def test_each_question_has_an_answer_of_its_own(run: Run) -> None:
    run("", "", "", "", "")
    setup = made()
    assert setup.profile == "youth-6-minute"
    assert (setup.home.name, setup.guest.name) == ("Home", "Guest")
    assert setup.home.players == setup.guest.players == ()


@pytest.mark.parametrize(
    ("answer", "meant"),
    [
        ("2", profile_names()[1]),
        ("7-minute", "youth-7-minute"),
        ("ncaa women", "ncaa-women-2026"),
        ("Recreation", "rec-running-clock"),
        ("grades 7 and 8", "youth-7-minute"),
    ],
)
def test_a_league_may_be_named_by_number_or_in_part(run: Run, answer: str, meant: str) -> None:
    run(answer, "", "", "", "")
    assert made().profile == meant


def test_a_league_that_may_be_several_is_asked_again_with_those(run: Run) -> None:
    shown = run("youth", "yuoth-7", "badminton", "0", "fiba-2024", "", "", "", "")
    assert "such as 'youth-6-minute' or 'youth-7-minute', got 'youth'" in shown
    assert "such as 'youth-6-minute' or 'youth-7-minute', got 'yuoth-7'" in shown
    assert "Expected a profile or its number, got 'badminton'" in shown
    assert made().profile == "fiba-2024"


def test_a_list_may_be_pasted_or_lie_in_a_file(run: Run) -> None:
    Path("foxes.csv").write_text(LIST, encoding="utf-8")
    shown = run("", "Kites", "#4 Ada Moss", "Coach Lane", "5 Reed, Bo", "", "Foxes", "foxes.csv")
    setup = made()
    assert [(p.number, p.name) for p in setup.home.players] == [("4", "Ada Moss"), ("5", "Reed Bo")]
    assert [(p.number, p.name) for p in setup.guest.players] == [
        ("3", "Ida Rush"),
        ("5", "Jo Sand"),
    ]
    assert "saturday.setup: it holds 4 names, which may be children's" in shown
    assert "roster guest: foxes.csv" in Path("saturday.setup").read_text()


def test_a_list_in_another_folder_is_found_from_the_setup(run: Run, tmp_path: Path) -> None:
    (tmp_path / "lists").mkdir()
    (tmp_path / "lists" / "foxes.csv").write_text(LIST, encoding="utf-8")
    (tmp_path / "games").mkdir()
    run("", "", "", "", "lists/foxes.csv", file="games/one.setup")
    assert made("games/one.setup").guest.side().numbers == ("3", "5")


def test_what_is_left_out_is_said(run: Run) -> None:
    lines = ("4 Ada, 4 Cy", "Coach Lane", "100 Bo")
    shown = run("", "Kites", *lines, "", "Foxes", "none.csv", "3", "")
    assert "Left out: 4 Cy: expected each number once, got '4' twice" in shown
    assert "Left out: Coach Lane: it has no number" in shown
    assert "Left out: 100 Bo: expected a shirt number (0, 00, 1 to 99), got '100'" in shown
    assert "none.csv" in shown
    assert "Another file, or the numbers:" in shown
    assert made().guest.side().numbers == ("3",)


def test_two_teams_of_one_name_are_not_taken(run: Run) -> None:
    shown = run("", "Kites", "", "kites", "Kites 4 5", "Foxes", "")
    assert shown.count("Expected another name than the home team's, got") == 2
    assert made().guest.name == "Foxes"


def test_numbers_typed_behind_the_name_are_taken_as_numbers(run: Run) -> None:
    shown = run("", "Kites 4 5 7", "Foxes 2", "")
    assert "Taken as numbers: 4 5 7." in shown
    setup = made()
    assert (setup.home.name, setup.home.side().numbers) == ("Kites", ("4", "5", "7"))
    assert (setup.guest.name, setup.guest.players) == ("Foxes 2", ())


def test_a_number_that_the_league_forbids_is_told_and_kept(run: Run) -> None:
    # NFHS 3-4: no digit above 5.
    shown = run("nfhs-2026", "Kites", "4 7 66", "", "", "")
    assert "Kites: 7, 66 are not legal numbers in NFHS high school, as of 2026; kept." in shown
    assert made().home.side().numbers == ("4", "7", "66")


def test_without_a_name_the_file_is_called_after_the_teams(run: Run) -> None:
    answers = ("", "Harbour Kites", "", "Zürich Füchse", "")
    run(*answers, file="")
    run(*answers, file="")
    names = sorted(path.name for path in Path().glob("*.setup"))
    assert names == ["harbour-kites-z-rich-f-chse-2.setup", "harbour-kites-z-rich-f-chse.setup"]


def test_an_old_file_is_never_replaced(run: Run) -> None:
    Path("saturday.setup").write_text("mine", encoding="utf-8")
    with pytest.raises(CalloutError, match="exists already"):
        new(Path("saturday.setup"), lambda what, usual: usual)
    assert Path("saturday.setup").read_text() == "mine"


def test_a_folder_is_no_file_s_name(tmp_path: Path) -> None:
    with pytest.raises(CalloutError, match=r"expected a new file's name, got a folder$"):
        new(tmp_path, lambda what, usual: pytest.fail(f"asked {what}"))


def test_where_it_cannot_be_written_it_says_so_before_it_asks(tmp_path: Path) -> None:
    with pytest.raises(CalloutError, match=r"nowhere/x.setup: there is no folder .*nowhere$"):
        new(tmp_path / "nowhere" / "x.setup", lambda what, usual: pytest.fail(f"asked {what}"))


def test_answers_that_end_early_leave_no_file(run: Run) -> None:
    run("fiba-2024", "Kites", status=1)
    assert list(Path().iterdir()) == []


def test_ctrl_c_at_the_last_question_leaves_no_file(tmp_path: Path) -> None:
    """Answers from a pipe may end there, as those of the tests above do; a person who stops may
    have seen a mistake.
    """
    answers = iter(("fiba-2024", "Kites 4 5", "Foxes", "3", ""))

    def ask(what: str, usual: str) -> str:
        if what.startswith("Place, coaches"):
            try:
                raise KeyboardInterrupt
            except KeyboardInterrupt:
                raise typer.Abort from None
        return next(answers)

    with pytest.raises(typer.Abort):
        new(tmp_path / "x.setup", ask)
    assert list(tmp_path.iterdir()) == []


def over() -> typer.Abort:
    """How `typer` tells that the answers are over, by Ctrl-D or the end of a pipe."""
    ended = typer.Abort()
    ended.__context__ = EOFError()
    return ended


Answer = str | typer.Abort


def new_with(path: Path, *given: Answer) -> int:
    """Make a setup file with these answers."""
    left = list(given)

    def ask(_what: str, _usual: str) -> str:
        answer = left.pop(0)
        if isinstance(answer, str):
            return answer
        raise answer

    return new(path, ask)


def test_ctrl_d_ends_a_list_and_the_questions_that_may_be_left_out(tmp_path: Path) -> None:
    path = tmp_path / "x.setup"
    lists = ("fiba-2024", "Kites", "4 Ada Moss", "5", over(), "Foxes", "3", over())
    assert new_with(path, *lists, "yes", "Harbour Hall", "Cup", "5", over()) == 0
    setup = read_setup(path)
    assert (setup.home.side().numbers, setup.guest.side().numbers) == (("4", "5"), ("3",))
    assert (setup.place, setup.competition, setup.home.captain) == ("Harbour Hall", "Cup", "5")
    assert setup.people == ()


@pytest.mark.parametrize("given", [
    ("fiba-2024", "Kites", over()),
    ("fiba-2024", "Kites", "4", typer.Abort()),
    ("fiba-2024", "Kites 4 5", "Foxes", "3", "", "yes", typer.Abort()),
])  # fmt: skip
def test_what_is_broken_off_before_or_by_ctrl_c_leaves_no_file(
    given: tuple[Answer, ...], tmp_path: Path
) -> None:
    with pytest.raises(typer.Abort):
        new_with(tmp_path / "x.setup", *given)
    assert list(tmp_path.iterdir()) == []


def test_a_path_that_a_setup_file_cannot_hold_is_refused_before_it_is_written(
    tmp_path: Path,
) -> None:
    folder = tmp_path / "odd # name"
    folder.mkdir()
    (folder / "kites.csv").write_text("No.\n4\n", encoding="utf-8")
    answers = iter(["youth-6-minute", "Kites", str(folder / "kites.csv"), "Foxes", "", ""])
    with pytest.raises(InputError):
        new(tmp_path / "x.setup", lambda what, usual: next(answers))
    assert not (tmp_path / "x.setup").exists()


def test_a_real_process_makes_a_game_that_can_be_played(tmp_path: Path) -> None:
    def callout(*arguments: str, said: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "callout", *arguments],
            input=said, cwd=tmp_path, capture_output=True, text=True, timeout=HANG_S,
        )  # fmt: skip

    done = callout("new", "a.setup", said="fiba-2024\nKites 4 5 7\nFoxes\n3 Ida Rush\n\n")
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "a.setup").stat().st_mode & 0o077 == 0, "names are private"
    played = callout(
        *("live", "a.game", "--setup", "a.setup", "--ear", "off", "--voice", "print"),
        said="start clock\nguest two number three\n",
    )
    assert played.returncode == 0, played.stderr
    assert "Guest two, number three. Nothing, two." in played.stdout


def test_a_game_is_picked_from_a_list_of_fixtures(
    run: Run, capsys: pytest.CaptureFixture[str]
) -> None:
    Path("games.csv").write_text("game,date,place,home,guest,home numbers\n"
                                 "7,2001-02-03,Hall #2,A,B,4 5\n"
                                 "8,2001-02-04,,Mill Herons,Harbour Kites,4 5\n")  # fmt: skip
    answers = iter(("9", "8", "nfhs-2026", "3 14", "15", "", ""))
    assert new(Path("x.setup"), lambda _what, _usual: next(answers), "games.csv") == 0
    setup = made("x.setup")
    assert (setup.profile, setup.fixture, setup.home.name) == ("nfhs-2026", "8", "Mill Herons")
    assert setup.home.side().numbers == ("4", "5")
    assert setup.guest.side().numbers == ("3", "14", "15"), "the list of fixtures has none"
    assert f"No game of this list is today's, {date.today():%Y-%m-%d}." in capsys.readouterr().out
    answers = iter(("1", "nfhs-2026", "", "yes", "Cup", *[""] * 8, "Di Tern"))
    assert new(None, lambda _what, _usual: next(answers), "games.csv") == 0
    assert made("a-b.setup").fixture == "7"
    assert (made("a-b.setup").place, made("a-b.setup").competition) == ("Hall 2", "Cup")
    assert made("a-b.setup").people == (("", "Timer", "Di Tern"),)
