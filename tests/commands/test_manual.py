"""The longer texts of `--help`: they fit a terminal, and their examples can be used."""

from __future__ import annotations

from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from callout import __main__
from callout.commands.manual import KEYS_EXAMPLE, SETUP_EXAMPLE
from callout.language.check import load_language
from callout.language.grammar import Scope, language_folder
from callout.table.hands.key_file import RANGES, read_keys
from callout.table.setup.header import KEYS
from callout.table.setup.own_words import check_own_words
from callout.table.setup.setup import read_setup
from tests.english import english_grammar

COLUMNS = 80
MARGIN = 2
"""What the frame of the help takes of a line, on both sides together."""


def commands() -> dict[str, typer.core.TyperCommand]:
    program = typer.main.get_command(__main__.app)
    assert isinstance(program, typer.core.TyperGroup)
    return program.commands  # type: ignore[return-value]


@pytest.mark.parametrize("name", commands())
def test_no_line_of_a_longer_text_is_broken_by_a_terminal_of_80_columns(name: str) -> None:
    command = commands()[name]
    paragraphs = [*(command.help or "").split("\n\n")[1:], command.epilog or ""]
    lines = [line for text in paragraphs for line in text.splitlines()]
    assert [line for line in lines if len(line) > COLUMNS - MARGIN] == []


def test_the_setup_file_it_shows_can_be_used(tmp_path: Path) -> None:
    path = tmp_path / "saturday.setup"
    path.write_text(SETUP_EXAMPLE, encoding="utf-8")
    (tmp_path / "foxes.csv").write_text("No.,Name,Starter\n8,Ada Moss,yes\n33,,\n", "utf-8")
    setup = read_setup(path)
    check_own_words(path, load_language(language_folder()), None)
    assert [player.number for player in setup.guest.players] == ["8", "33"]
    assert setup.guest.words == ("red", "foxes")
    assert setup.wake == ("table",)


def test_it_shows_every_key_of_a_setup_that_is_no_script_s_own() -> None:
    shown = {line.partition(":")[0] for line in SETUP_EXAMPLE.splitlines()}
    for_home = {key.replace("home", "guest") for key in shown} | shown
    for_both = {key.replace("guest", "home") for key in for_home} | for_home
    assert for_both == set(KEYS) - {"source", "situation"}


def test_the_file_of_keys_it_shows_can_be_used(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(KEYS_EXAMPLE, encoding="utf-8")
    keymap = read_keys(path, english_grammar(), Scope())
    assert {";", "p 9"} <= set(keymap.keys)
    assert set(keymap.everywhere) == {"f13"}
    assert set(keymap.pedal) == {"a", "a long", "b", "b+c"}
    assert (keymap.feel.digit_ms, keymap.feel.repeat_ms) == (200, 200)
    assert {"digit_ms", "repeat_ms"} <= set(RANGES)


def test_the_help_shows_the_tables_of_a_file_of_keys() -> None:
    done = CliRunner().invoke(__main__.app, ["keys", "--help"], prog_name="callout")
    for head in ("[keys]", "[everywhere]", "[pedal]"):
        assert head in done.output
    assert "\\[" not in done.output
