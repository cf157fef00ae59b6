"""The command line: its help, and how a mistake is reported."""

from __future__ import annotations

import io
import json
import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from callout import __main__
from callout.errors import CalloutError
from tests.patience import HANG_S

COMMANDS = (
    "live", "new", "hear", "replay", "sheet", "box", "blank", "verify", "recover", "forget",
    "rules", "models", "check", "keys", "send", "league", "practice",
    "close", "people", "before",
)  # fmt: skip


def run(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "callout", *arguments],
        stdin=subprocess.DEVNULL, capture_output=True, text=True, timeout=HANG_S,
    )  # fmt: skip


def test_help_names_every_command_and_loads_none_of_their_libraries() -> None:
    program = (
        "import sys; sys.argv = ['callout', '--help']\n"
        "from callout.__main__ import main\n"
        "try: main()\n"
        "except SystemExit: print([m for m in ('vosk', 'numpy', 'sounddevice', 'hassil')"
        " if m in sys.modules])\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, timeout=HANG_S
    )
    assert done.stdout.splitlines()[-1] == "[]"
    for command in COMMANDS:
        assert re.search(rf"\b{command}\b", done.stdout)


def test_each_command_explains_itself_and_each_of_its_options() -> None:
    program = typer.main.get_command(__main__.app)
    assert isinstance(program, typer.core.TyperGroup)
    assert set(program.commands) == set(COMMANDS)
    every = program.commands.items()
    assert [name for name, each in every if not (each.help or "").endswith(".")] == []
    assert [name for name, each in every if not each.params] == []
    options = [(name, option) for name, each in every for option in each.params]
    assert [(n, each.name) for n, each in options if not getattr(each, "help", None)] == []


@pytest.mark.parametrize("command", COMMANDS)
def test_each_command_shows_its_help(command: str) -> None:
    done = CliRunner().invoke(__main__.app, [command, "--help"], prog_name="callout")
    assert done.exit_code == 0
    assert f"Usage: callout {command}" in done.output


def test_without_a_command_it_shows_the_help() -> None:
    done = CliRunner().invoke(__main__.app, [], prog_name="callout")
    assert "Usage: callout" in done.output


SETUP = "profile: nfhs-2026\nsource: made up\nhome: A | 4\nguest: B | 5\n"
SCRIPT = f"{SETUP}\n8:00 start clock\n"


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        (("replay", "no.game"), "no.game: "),
        (("replay", "header.game"), "header.game:1: "),
        (("replay", "call.game"), "call.game:6: "),
        (("replay", "bytes.game"), "bytes.game:2: "),
        (("replay", "good.game", "call.game", "--keep", "new"), "--keep: expected one script"),
        (("replay", "good.game", "--keep", "bytes.game"), "bytes.game: "),
        (("hear", "no.wav", "--roster", "4,x"), "--roster: "),
        (("hear", "no.wav", "--grammar", "nowhere"), "nowhere"),
        (("hear", "no.wav", "--model", "nowhere"), "nowhere: expected a folder with a model"),
        (("hear", "no.wav"), "; get it with: callout models"),
        (("live", "new.game"), "new.game: a new game needs its teams: --setup FILE"),
        (
            ("live", "new.game", "--ear", "both"),
            "--ear: expected hold, open, tap or off, got 'both'",
        ),
        (("live", "no-folder/game", "--setup", "no.setup", "--ear", "off"), "no.setup: "),
        (("live", "bytes.game", "--ear", "off"), "bytes.game: "),
        (("live", "new.game", "--setup", "no.setup", "--keys", "x"), "no.setup: "),
        (("keys", "bytes.game"), "bytes.game:2: expected a text file in UTF-8, got other bytes"),
        (("sheet", "no.game", "--text"), "no.game: cannot be read: no such file"),
        (("sheet",), "expected a game's file, such as saturday.game, got none"),
        (
            ("sheet", "no.game", "--text", "--json"),
            "expected one of --text, --csv",
        ),
        (
            ("sheet", "no.game", "--pdf", "--json"),
            "expected one of --text, --csv",
        ),
        (("sheet", "no.game", "--pdf"), "no.game: cannot be read: no such file"),
        (
            ("sheet", "no.game", "--pdf", "--paper", "a5"),
            "--paper: expected a4 or letter, got 'a5'",
        ),
        (
            ("sheet", "no.game", "--png", "--form", "own"),
            "--form: expected league, fiba or american, got 'own'",
        ),
        (("sheet", "no.game", "--csv", "tables"), "no.game: cannot be read: no such file"),
        (("verify", "no.game"), "no.game: there is no such file; expected a game's file, such as"),
        (("recover", "no.game"), "no.game: cannot be read: no such file"),
        (("recover", "bytes.game"), "bytes.game: no part of a game was found in it"),
        (("forget", "bytes.game"), "bytes.game: expected a game's journal"),
        (("rules", "no-such"), "expected one of the profiles ("),
        (
            ("keys", "--league", "youth"),
            "--league: expected one of the profiles that callout rules lists, such as 'youth-6-",
        ),
        (("models", "no-such"), "expected one of vosk-model-en, joe, got 'no-such'"),
        (("recover", "/"), "/: expected a game, got a folder"),
        (("rules", "youth"), "such as 'youth-6-minute' or 'youth-7-minute', got 'youth'"),
        (("models", "--folder", "nowhere"), "nowhere: expected a folder with a model"),
        (("verify", "s.setup"), "s.setup: is a setup file, not a game"),
        (("sheet", "s.setup", "--text"), "s.setup: is a setup file, not a game"),
        (("forget", "s.setup"), "s.setup: is a setup file, not a game"),
        (("recover", "s.setup"), "s.setup: is a setup file, not a game"),
        (("replay", "s.setup"), "s.setup: is a setup file, not a game"),
        (("live", "s.setup", "--ear", "off"), "s.setup: is a setup file, not a game"),
        (
            ("live", "new", "--setup", "s.setup", "--ear", "off", "--language", "fr"),
            "--language: expected en, es, or a folder, got 'fr'",
        ),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)
def test_a_mistake_is_one_line_and_status_2_and_leaves_nothing_behind(
    arguments: tuple[str, ...],
    expected: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
) -> None:
    (tmp_path / "good.game").write_text(SCRIPT, encoding="utf-8")
    (tmp_path / "header.game").write_text("league: none\n" + SCRIPT, encoding="utf-8")
    (tmp_path / "call.game").write_text(SCRIPT.replace("8:00", "75:0x"), encoding="utf-8")
    (tmp_path / "s.setup").write_text(SETUP, encoding="utf-8")
    (tmp_path / "bytes.game").write_bytes(bytes(range(256)) * 20)
    before = {path: path.read_bytes() for path in tmp_path.iterdir()}
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("CALLOUT_MODELS", str(tmp_path))
    monkeypatch.setattr(sys, "argv", ["callout", *arguments])
    with pytest.raises(SystemExit) as ended:
        __main__.main()
    out, err = capfd.readouterr()
    assert ended.value.code == 2
    assert out == ""
    (line,) = err.splitlines()
    assert line.startswith("callout: ")
    assert expected in line
    assert {path: path.read_bytes() for path in tmp_path.iterdir()} == before


PATHS = (
    ("verify", "{}"), ("sheet", "{}", "--text"), ("forget", "{}"), ("recover", "{}"),
    ("replay", "{}"), ("replay", "good.game", "--keep", "{}"), ("keys", "{}"), ("live", "{}"),
    ("live", "{}", "--setup", "s.setup", "--ear", "off"),
    ("live", "new", "--setup", "{}", "--ear", "off"),
    ("live", "new", "--setup", "s.setup", "--ear", "off", "--language", "{}"),
    ("live", "new", "--setup", "s.setup", "--model", "{}"), ("hear", "no.wav", "--model", "{}"),
    ("hear", "no.wav", "--grammar", "{}"), ("models", "--folder", "{}"),
)  # fmt: skip
"""Every command that takes a path, with the path left open."""


@pytest.mark.parametrize("arguments", PATHS, ids=" ".join)
@pytest.mark.parametrize("path", ["a" * 300, "s.setup/x", "loop", "a\x1b[2Jb"])
def test_a_path_that_cannot_be_is_one_line_and_leaves_nothing_behind(
    arguments: tuple[str, ...],
    path: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
) -> None:
    (tmp_path / "good.game").write_text(SCRIPT, encoding="utf-8")
    (tmp_path / "s.setup").write_text(SETUP, encoding="utf-8")
    (tmp_path / "loop").symlink_to("loop")
    if "\x1b" in path:
        (tmp_path / path).mkdir()
    before = sorted(tmp_path.iterdir())
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(sys, "argv", ["callout", *(each.format(path) for each in arguments)])
    monkeypatch.setattr(sys, "stdin", io.StringIO())
    with pytest.raises(SystemExit) as ended:
        __main__.main()
    out, err = capfd.readouterr()
    assert (ended.value.code, out) == (2, "")
    (line,) = err.splitlines()
    assert line.isprintable()
    assert line.startswith("callout: ")
    assert sorted(tmp_path.iterdir()) == before


SHUT_OUT = """
import gc, importlib, json, os, pkgutil, sys
import callout.commands
from callout.__main__ import app, main
for each in pkgutil.iter_modules(callout.commands.__path__):
    importlib.import_module(f"callout.commands.{each.name}")
app(["replay", "good.game"], standalone_mode=False)
gc.freeze()  # else each child copies most of the memory as it collects
for arguments in json.loads(sys.argv[1]):
    sys.stdout.flush()
    if child := os.fork():
        print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), file=sys.stderr)
        continue
    if os.geteuid() == 0:
        os.setgroups([])
        os.setuid(65534)
    sys.argv = ["callout", *arguments]
    main()
"""
"""The program run by a user who is not root, since no folder is closed to root.

Python itself may lie where only root can read it, so all that it loads later is loaded before.
"""


@pytest.mark.thorough
@pytest.mark.skipif(os.name == "nt", reason="other rights there")
def test_a_folder_that_may_not_be_looked_into_is_one_line() -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        folder.chmod(0o755)
        (folder / "good.game").write_text(SCRIPT, encoding="utf-8")
        (folder / "s.setup").write_text(SETUP, encoding="utf-8")
        (folder / "shut").mkdir()
        (folder / "shut").chmod(0)
        asked = [[each.format("shut/x") for each in arguments] for arguments in PATHS]
        asked += [["hear", "no.wav"], ["live", "new", "--setup", "s.setup"]]
        done = subprocess.run(
            [sys.executable, "-c", SHUT_OUT, json.dumps(asked)],
            stdin=subprocess.DEVNULL, capture_output=True, text=True, timeout=HANG_S, cwd=folder,
            env={**os.environ, "CALLOUT_MODELS": "shut/models"},
        )  # fmt: skip
        (folder / "shut").chmod(0o700)
    lines = done.stderr.splitlines()
    assert len(lines) == 2 * len(asked), done.stderr
    for arguments, line, status in zip(asked, lines[::2], lines[1::2], strict=True):
        assert re.fullmatch("callout: shut/.*permission denied", line), arguments
        assert status == "2", arguments


def test_a_mistake_in_a_process_of_its_own_looks_the_same() -> None:
    done = run("replay", "no.game")
    assert (done.returncode, done.stdout) == (2, "")
    assert re.fullmatch(r"callout: no\.game: [^\n]+\n", done.stderr)


def test_a_difference_is_status_1_and_told_with_its_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "odd.game"
    path.write_text(SCRIPT + "     => Something else.\n", encoding="utf-8")
    monkeypatch.setattr(sys, "argv", ["callout", "replay", str(path)])
    with pytest.raises(SystemExit) as ended:
        __main__.main()
    told = capsys.readouterr()
    assert ended.value.code == 1
    assert told.err.startswith(f"{path}:7: ")
    assert "NOT as expected" in told.out.replace("\n", " ")


def test_a_command_that_is_not_one_is_refused() -> None:
    done = CliRunner().invoke(__main__.app, ["keep"], prog_name="callout")
    assert done.exit_code == 2
    assert "No such command 'keep'" in done.stderr


@pytest.mark.parametrize(
    ("raised", "status", "told"),
    [
        (CalloutError("no headset is plugged in"), 2, "callout: no headset is plugged in\n"),
        (KeyboardInterrupt(), 130, ""),
    ],
)
def test_what_a_command_raises_becomes_a_status(
    raised: BaseException,
    status: int,
    told: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """130 is a shell's status of what Ctrl-C ended. Source: Bash Reference Manual, 3.7.5."""

    def fail(prog_name: str) -> None:
        raise raised

    monkeypatch.setattr(__main__, "app", fail)
    with pytest.raises(SystemExit) as ended:
        __main__.main()
    assert ended.value.code == status
    assert capsys.readouterr().err == told


def test_it_is_run_from_any_folder(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "callout", "models", "--help"],
        cwd=tmp_path, capture_output=True, text=True, timeout=HANG_S,
    )  # fmt: skip
    assert done.returncode == 0
    assert "Fetch the recognizer" in done.stdout


def test_a_fault_of_the_program_itself_is_not_hidden(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(prog_name: str) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(__main__, "app", fail)
    with pytest.raises(ZeroDivisionError):
        __main__.main()
