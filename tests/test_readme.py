"""README.md is right: its commands run, and its calls are understood."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest
import typer

from callout import __main__
from callout.edges.models.catalogue import known_models
from callout.game.profile.file import profile_names
from callout.language.grammar import Scope
from callout.language.parser import Parsed, Parser
from callout.table.hands.key_file import read_keys
from callout.table.language import scope_of
from callout.table.setup.setup import Setup, read_setup
from tests.english import english_grammar
from tests.patience import HANG_S

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
FENCED = re.findall(r"^```(\w*)\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)
SHELL = [line.split("#")[0].strip() for kind, text in FENCED if kind == "sh"
         for line in text.splitlines()]  # fmt: skip
SETUP = next(text for kind, text in FENCED if not kind and text.startswith("profile:"))


def section(title: str) -> str:
    """The text under a heading, up to the next one."""
    found = re.search(rf"^## {title}\n(.*?)(?=^## |\Z)", README, re.MULTILINE | re.DOTALL)
    assert found, title
    return found[1]


def rows(title: str) -> list[list[str]]:
    """The cells of a section's table, without its head and its rule."""
    lines = [line for line in section(title).splitlines() if line.startswith("|")]
    return [line.strip("|").split("|") for line in lines[2:]]


CALLS = [call for row in rows("What you may say") for call in re.findall(r"`([^`]+)`", row[1])]
COMMANDS = [re.findall(r"`callout ([^`]+)`", row[0])[0] for row in rows("Commands")]


@pytest.fixture(scope="module")
def setup(tmp_path_factory: pytest.TempPathFactory) -> Setup:
    """The game of the README's own example."""
    path = tmp_path_factory.mktemp("readme") / "saturday.setup"
    path.write_text(SETUP, encoding="utf-8")
    return read_setup(path)


@pytest.fixture(scope="module")
def parser(setup: Setup) -> Parser:
    """Reads all that can be said in that game, answers included."""
    return Parser(english_grammar(), scope_of(setup), "any")


def run(line: str, folder: Path, said: str = "") -> subprocess.CompletedProcess[str]:
    """Run one of the README's lines as it stands, with the Python of these tests."""
    program, *arguments = line.split()
    assert program == ".venv/bin/callout"
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


def test_make_knows_what_it_is_told_to_make() -> None:
    known = re.findall(r"^(\w+):", (ROOT / "Makefile").read_text(encoding="utf-8"), re.MULTILINE)
    told = [line.split()[1] for line in SHELL if line.startswith("make ")]
    assert told
    assert set(told) <= set(known)


def test_the_replay_it_shows_is_as_expected() -> None:
    lines = [line for line in SHELL if " replay " in line]
    assert lines
    for line in lines:
        done = run(line, ROOT)
        assert (done.returncode, done.stderr) == (0, "")
        assert "as expected" in done.stdout


def test_the_game_it_sets_up_can_be_typed_and_taken_up_again(tmp_path: Path) -> None:
    (tmp_path / "saturday.setup").write_text(SETUP, encoding="utf-8")
    (line,) = [line for line in SHELL if " live " in line]
    deaf = f"{line} --ear off --voice print"
    first = run(deaf, tmp_path, "start clock\ntip home\nhome two number five\n")
    assert first.returncode == 0, first.stderr
    assert "Home two, number five. Two, nothing." in first.stdout
    again = run(deaf, tmp_path, "score check\n")
    assert again.returncode == 0, again.stderr
    assert "Score: home two, guest nothing." in again.stdout


@pytest.mark.parametrize("call", CALLS)
def test_what_it_says_one_may_say_is_one_call(parser: Parser, call: str) -> None:
    reading = parser.parse(call)
    assert isinstance(reading, Parsed)
    assert len(reading.calls) == 1


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("guest two", "visitor two"),
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


def test_every_command_is_told_of_with_options_that_it_has() -> None:
    written = {command.split()[0]: set(re.findall(r"--[\w-]+", command)) for command in COMMANDS}
    program = typer.main.get_command(__main__.app)
    assert isinstance(program, typer.core.TyperGroup)
    assert set(written) == set(program.commands)
    for name, options in written.items():
        has = {option for each in program.commands[name].params for option in each.opts}
        assert options <= has, name


def test_the_file_of_keys_it_shows_can_be_used(tmp_path: Path) -> None:
    (text,) = [text for kind, text in FENCED if kind == "toml"]
    (tmp_path / "mine.toml").write_text(text, encoding="utf-8")
    keymap = read_keys(tmp_path / "mine.toml", english_grammar(), Scope())
    assert set(keymap.pedal) == {"a", "a long", "b", "b+c"}
    assert set(keymap.everywhere) == {"f13"}


def test_the_keys_it_names_say_what_it_says() -> None:
    says = english_grammar().keys()
    told = {"space": "stop clock", "tab": "start clock", "a": "{team} one", "s": "{team} two",
            "d": "{team} three", "g": "{team} foul", "w": "shot good", "q": "shot missed",
            "t": "{team} timeout", "k": "sub waiting", "l": "subs in", "z": "shooting one",
            "x": "shooting two", "c": "shooting three", "v": "one and one", "u": "undo that",
            "y": "yes", "n": "no", "b": "dead ball", "h": "held ball", "m": "referee told",
            "r": "say again", "p n": "no basket", "p g": "{team} charge",
            "p ]": "end game"}  # fmt: skip
    assert told.items() <= says.items()
    named = {key.lower() for key in re.findall(r"<kbd>(.*?)</kbd>", section("Keys and pedals"))}
    single = {key for gesture in told for key in gesture.split()}
    assert named == single | {"f", "j", "enter", "backspace", ":", "?", "5", "page down"}


def test_every_league_is_told_of() -> None:
    leagues = README[README.index("## Leagues") : README.index("<!-- figures -->")]
    assert set(re.findall(r"\| `([\w-]+)` \|", leagues)) == set(profile_names())


def test_the_size_of_the_voice_is_the_listed_one() -> None:
    files = known_models()["joe"].files.values()
    assert f"the voice ({round(sum(file.bytes for file in files) / 1e6)} MB)" in " ".join(
        README.split()
    )
