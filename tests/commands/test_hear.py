"""`callout hear`: what it prints, and how it fails."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from callout.commands.hear import hear, scope_of
from callout.errors import CalloutError, InputError
from callout.game.terms import Team
from callout.language.parser import Parser
from tests.patience import HANG_S
from tests.speech import speech_file

ORDERS = Path(__file__).parent.parent / "bench" / "orders"


def test_json_is_one_object_a_call(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = speech_file(tmp_path, "home two number five.", "The weather is lovely today.")
    assert hear([path], roster="5,11", as_json=True) == 0
    first, *rest = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert list(first) == ["file", "start_s", "end_s", "text", "status", "call", "slots", "choices"]
    assert first["file"] == str(path)
    assert (first["status"], first["call"]) == ("call", "score")
    assert first["slots"] == {"team": "home", "points": 2, "number": "5"}
    assert [each["status"] for each in rest] == ["ignored"]


@pytest.mark.thorough
def test_people_get_a_line_a_call(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = speech_file(tmp_path, "start clock.")
    talk = speech_file(tmp_path, "Nice weather, is it not?", name="talk.wav")
    assert hear([said, talk]) == 0
    first, second = capsys.readouterr().out.splitlines()
    assert first.endswith("'start clock': start_clock")
    assert second == f"{talk}: no call"


def test_another_domain_needs_no_code(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = speech_file(tmp_path, "Can I have a large latte with soy milk.")
    assert hear([path], grammar=ORDERS, as_json=True) == 0
    told = json.loads(capsys.readouterr().out)
    wanted = {"size": "large", "coffeeDrink": "latte", "milkAmount": "soy milk"}
    assert (told["call"], told["slots"]) == ("order", wanted)


def test_the_roster_is_both_teams(parser: Parser) -> None:
    scope = scope_of(parser.grammar, "4, 00")
    assert scope.rosters == {Team.HOME: ("4", "00"), Team.GUEST: ("4", "00")}
    assert "99" in scope.legal
    with pytest.raises(CalloutError, match="--roster: expected a shirt number"):
        scope_of(parser.grammar, "4,100")


@pytest.mark.thorough
def test_a_bad_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="got nothing there"):
        hear([tmp_path / "absent.wav"])


@pytest.mark.thorough
@pytest.mark.skipif(sys.platform != "linux", reason="only there a name may be any bytes")
@pytest.mark.parametrize(
    "encoding", ["ascii:strict", pytest.param("utf-8:strict", marks=pytest.mark.thorough)]
)
def test_a_name_that_cannot_be_written_is_told_by_its_bytes(tmp_path: Path, encoding: str) -> None:
    said = speech_file(tmp_path, "start clock.")
    name = os.fsdecode(b"caf\xe9-\xff.wav")
    said.rename(tmp_path / name)
    done = subprocess.run(
        [sys.executable, "-m", "callout", "hear", "--json", name, "absent-" + name],
        cwd=tmp_path, capture_output=True, text=True, timeout=HANG_S,
        env={**os.environ, "PYTHONIOENCODING": encoding},
    )  # fmt: skip
    (told,) = [json.loads(line) for line in done.stdout.splitlines()]
    assert (told["file"], told["call"]) == (name, "start_clock")
    assert done.returncode == 2
    assert done.stderr == (
        "callout: absent-caf\\udce9-\\udcff.wav: expected a sound file, got nothing there\n"
    )
