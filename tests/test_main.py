"""The command line: what a volunteer reads, and how a mistake looks."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest
import typer

from callout import __main__
from callout.errors import CalloutError

COMMANDS = ("live", "hear", "replay", "models")


def run(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "callout", *arguments],
        stdin=subprocess.DEVNULL, capture_output=True, text=True, timeout=60,
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
        [sys.executable, "-c", program], capture_output=True, text=True, timeout=60
    )
    assert done.stdout.splitlines()[-1] == "[]"
    for command in COMMANDS:
        assert re.search(rf"\b{command}\b", done.stdout)


@pytest.mark.parametrize("command", COMMANDS)
def test_each_command_explains_itself_and_each_of_its_options(command: str) -> None:
    program = typer.main.get_command(__main__.app)
    assert isinstance(program, typer.core.TyperGroup)
    assert set(program.commands) == set(COMMANDS)
    asked = program.commands[command]
    assert (asked.help or "").endswith(".")
    assert len(asked.params) >= 2
    assert [each.name for each in asked.params if not getattr(each, "help", None)] == []


@pytest.mark.parametrize("command", COMMANDS)
def test_each_command_shows_its_help(command: str) -> None:
    done = run(command, "--help")
    assert done.returncode == 0
    assert f"Usage: callout {command}" in done.stdout


def test_without_a_command_it_shows_the_help() -> None:
    done = run()
    assert "Usage: callout" in done.stdout + done.stderr


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        (("replay", "no.game"), "no.game: "),
        (("live", "no-folder/game", "--setup", "no.setup", "--ear", "off"), "no.setup: "),
        (("hear", "no.wav"), "no.wav: "),
        (("models", "no-such"), "expected one of vosk-model-en, joe, got 'no-such'"),
    ],
)
def test_a_mistake_is_one_line_on_stderr_and_status_2(
    arguments: tuple[str, ...], expected: str
) -> None:
    done = run(*arguments)
    assert done.returncode == 2
    assert done.stdout == ""
    (line,) = done.stderr.splitlines()
    assert line.startswith(f"callout: {expected}")


def test_a_command_that_is_not_one_is_refused() -> None:
    done = run("keep")
    assert done.returncode == 2
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
        cwd=tmp_path, capture_output=True, text=True, timeout=60,
    )  # fmt: skip
    assert done.returncode == 0
    assert "Fetch the recognizer" in done.stdout
