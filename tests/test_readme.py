"""README.md can be followed: its commands run, its calls and keys do what it says."""

from __future__ import annotations

import re
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest
import typer

from callout import __main__
from callout.edges.models.catalogue import known_models
from callout.game.profile.file import profile_names
from callout.language.parser import Parsed, Parser
from callout.table.hands.keymap import HANDS
from callout.table.language import parsers_of, scope_of
from callout.table.scripts.script import read_script
from callout.table.setup.setup import Setup, read_setup
from tests.english import english_grammar
from tests.patience import HANG_S

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
FENCED = [
    (kind, re.sub(r"^ {3}", "", text, flags=re.MULTILINE))
    for kind, text in re.findall(r"^ *```(\w*)\n(.*?)^ *```$", README, re.MULTILINE | re.DOTALL)
]
SHELL = [line.split("#")[0].strip() for kind, text in FENCED if kind == "sh"
         for line in text.splitlines()]  # fmt: skip
SETUP = next(text for kind, text in FENCED if not kind and text.startswith("profile:"))
COMMANDS = [
    line.replace("\n", " ")
    for line in [
        *SHELL,
        *re.findall(r"`([^`]+)`", re.sub(r"```.*?```", "", README, flags=re.DOTALL)),
    ]
    if line.startswith("callout ")
]
MOST_LINES = 155


def section(title: str) -> str:
    """The text under a heading, up to the next one."""
    found = re.search(rf"^## {title}\n(.*?)(?=^## |\Z)", README, re.MULTILINE | re.DOTALL)
    assert found, title
    return found[1]


def rows(title: str) -> list[list[str]]:
    """The cells of a section's table, without its head and its rule."""
    lines = [line for line in section(title).splitlines() if line.startswith("|")]
    return [line.strip("|").split("|") for line in lines[2:]]


CARD = rows("Ten calls that make nine tenths of a game")
CALLS = [call for row in CARD for call in re.findall(r"`([^`]+)`", row[1])]


@pytest.fixture(scope="module")
def setup(tmp_path_factory: pytest.TempPathFactory) -> Setup:
    """The game of the README's own example."""
    path = tmp_path_factory.mktemp("readme") / "saturday.setup"
    path.write_text(SETUP, encoding="utf-8")
    return read_setup(path)


@pytest.fixture(scope="module")
def parser(setup: Setup) -> Parser:
    """Understands all that can be said in that game, answers too."""
    return parsers_of(english_grammar(), scope_of(setup)).now(asked=True)


def run(line: str, folder: Path, said: str = "") -> subprocess.CompletedProcess[str]:
    """Run one of the README's lines as it stands, with the Python of these tests."""
    program, *arguments = line.split()
    assert program == "callout"
    return subprocess.run(
        [sys.executable, "-m", "callout", *arguments],
        input=said, cwd=folder, capture_output=True, text=True, timeout=HANG_S, check=False,
    )  # fmt: skip


def test_it_opens_with_the_job_and_then_the_two_commands() -> None:
    title, job, block = README.split("\n\n")[:3]
    assert title == "# callout"
    assert not job.startswith(("#", "`", "|"))
    assert "basketball table" in job
    assert [line.split("#")[0].strip() for line in block.splitlines()[1:-1]] == [
        "make demo",
        "make test",
    ]


def test_it_is_two_screens_long() -> None:
    assert len(README.splitlines()) <= MOST_LINES


def test_make_knows_what_it_is_told_to_make() -> None:
    known = re.findall(r"^(\w+):", (ROOT / "Makefile").read_text(encoding="utf-8"), re.MULTILINE)
    told = [line.split()[1] for line in SHELL if line.startswith("make ")]
    assert told
    assert set(told) <= set(known)


@pytest.mark.thorough
def test_the_first_game_can_be_typed_in_an_empty_folder(tmp_path: Path) -> None:
    (tmp_path / "saturday.setup").write_text(SETUP, encoding="utf-8")
    practice, game = (next(line for line in COMMANDS if f" {name}" in line)
                      for name in ("live practice.game", "live saturday.game"))  # fmt: skip
    typed = re.search(r"type (.*?),\s+each with Enter", section("Your first game"), re.DOTALL)
    assert typed
    lines = "\n".join(re.findall(r"`([^`]+)`", typed[1]))
    first = run(practice, tmp_path, lines)
    assert first.returncode == 0, first.stderr
    assert "Home two, number five. Two, nothing." in first.stdout
    assert "Undone: home two, number five." in first.stdout
    deaf = f"{game} --ear off --voice print"
    assert run(deaf, tmp_path, "start clock\ntip home\nhome two number five\n").returncode == 0
    again = run(deaf, tmp_path, "yes\nscore check\n")
    assert "Score: home two, guest nothing." in again.stdout
    assert run(deaf, tmp_path, "yes\nend game\nyes\n").returncode == 0
    for name in ("sheet", "box"):
        written = set(tmp_path.iterdir())
        made = run(next(line for line in COMMANDS if f" {name} " in line), tmp_path)
        assert made.returncode == 0, made.stderr
        (pdf,) = set(tmp_path.iterdir()) - written
        assert pdf.read_bytes().startswith(b"%PDF-")


@pytest.mark.parametrize("call", CALLS)
def test_what_it_says_one_may_say_is_one_call(parser: Parser, call: str) -> None:
    reading = parser.parse(call)
    assert isinstance(reading, Parsed)
    assert len(reading.calls) == 1


def test_its_calls_make_nine_tenths_of_the_demo_s_game(parser: Parser) -> None:
    on_card = {type(parsed.calls[0]) for call in CALLS
               if isinstance(parsed := parser.parse(call), Parsed)}  # fmt: skip
    script = read_script(ROOT / "tests/games/demo.game")
    reader = parsers_of(english_grammar(), scope_of(script.setup)).now(asked=True)
    made = Counter(
        type(call)
        for line in script.said()
        if isinstance(parsed := reader.parse(line.words), Parsed)
        for call in parsed.calls
    )
    assert len(CARD) == 10
    assert sum(made[kind] for kind in on_card) >= 0.9 * made.total()


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("guest two", "visitors two"),
        ("guest two", "away two"),
        ("guest two", "red two"),
        ("home two number twenty three", "home two number two three"),
    ],
)
def test_the_other_words_it_gives_mean_the_same(parser: Parser, one: str, other: str) -> None:
    first, second = parser.parse(one), parser.parse(other)
    assert isinstance(first, Parsed)
    assert isinstance(second, Parsed)
    assert first.calls == second.calls


def test_its_keys_make_its_calls() -> None:
    says = english_grammar().keys()
    told = {"tab": "start clock", "space": "stop clock", "s": "{team} two", "g": "{team} foul",
            "x": "shooting two", "w": "shot good", "q": "shot missed", "t": "{team} timeout",
            "o": "timeout over", "k": "sub waiting", "l": "subs in", "f2": "score check",
            "f3": "time left", "u": "undo that"}  # fmt: skip
    assert told.items() <= says.items()
    card = section("Ten calls that make nine tenths of a game")
    named = {key.lower() for key in re.findall(r"<kbd>(.*?)</kbd>", card)}
    helpers = {"f", "j", "enter", "5", "8", "/", ":", "?"}
    assert helpers <= set(HANDS)
    assert named == set(told) | helpers


def test_every_command_it_gives_exists_with_its_options() -> None:
    program = typer.main.get_command(__main__.app)
    assert isinstance(program, typer.core.TyperGroup)
    assert COMMANDS
    for line in COMMANDS:
        _, name, *rest = line.split()
        if name.startswith("--"):
            continue
        has = {option for each in program.commands[name].params for option in each.opts}
        assert {part for part in rest if part.startswith("--")} <= has | {"--help"}, line


def test_every_league_is_told_of() -> None:
    cells = " ".join(row[1] for row in rows("Leagues"))
    assert set(re.findall(r"`([\w-]+)`", cells)) == set(profile_names())


def test_the_size_of_the_voice_is_the_listed_one() -> None:
    files = known_models()["joe"].files.values()
    assert f"the voice ({round(sum(file.bytes for file in files) / 1e6)} MB)" in " ".join(
        README.split()
    )


def test_its_figures_are_those_of_the_results() -> None:
    results = (ROOT / "tests/bench/RESULTS.md").read_text(encoding="utf-8")
    cells = [cell for row in rows("How well it hears") for cell in row[1:]]
    figures = {figure for cell in cells for figure in re.findall(r"\d+\.\d", cell)}
    assert figures
    assert {figure for figure in figures if figure not in results} == set()


@pytest.mark.parametrize(
    "page", ["README.md", "DEVELOPERS.md", "tests/bench/RESULTS.md", "tests/faults/RESULTS.md"]
)
def test_every_link_of_a_page_leads_somewhere(page: str) -> None:
    path = ROOT / page
    for target in re.findall(r"\]\(([^)#]+)\)", path.read_text(encoding="utf-8")):
        assert (path.parent / target).exists(), target
