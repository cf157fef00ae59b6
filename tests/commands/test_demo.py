"""The demo on a few calls of a short script: spoken, heard back, kept, answered."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest
import soundfile

from callout.commands.demo import Spoken, verdict
from callout.edges.ear.spoken_calls import Meaning, Understood
from callout.language.parser import Parsed, Parser, Sentence
from callout.table.scripts.script import Line
from tests.patience import HANG_S

SCRIPT = """
profile: nfhs-2026
home: Harbour Kites | 4 5 12
guest: Quarry Foxes | 8 11 23

8:00 start clock
     tip home
7:41 home two number five
7:20 guest foul number eleven
"""


def test_it_speaks_hears_keeps_and_answers(tmp_path: Path) -> None:
    script = tmp_path / "short.game"
    script.write_text(SCRIPT, encoding="utf-8")
    out = tmp_path / "out"
    done = subprocess.run(
        [sys.executable, "-m", "callout.commands.demo", str(script), "--clean", "--out", str(out)],
        capture_output=True, text=True, timeout=HANG_S,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    right = re.search(r"4 calls without noise: (\d) right", done.stdout)
    assert right is not None
    # Its voice speaks otherwise each time; how many are right is for the benchmark to say.
    assert int(right.group(1)) >= 3
    assert "Home two, number five." in done.stdout
    assert soundfile.info(out / "replies.wav").duration > 5
    assert (out / "calls-01.wav").is_file()


def test_a_missing_script_is_one_line(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "callout.commands.demo", "absent.game"],
        cwd=tmp_path, capture_output=True, text=True, timeout=HANG_S,
    )  # fmt: skip
    assert done.returncode == 2
    assert done.stderr.strip() == (
        "demo: absent.game: expected a file that can be read: no such file or directory"
    )


def calls_of(parser: Parser, text: str) -> tuple[Sentence, ...]:
    result = parser.parse(text)
    assert isinstance(result, Parsed)
    return result.sentences


def heard(parser: Parser, *texts: str) -> Understood:
    """One of several calls, all as likely, as the ear would tell it."""
    meanings = [Meaning(calls_of(parser, text)[0], text, 1.0) for text in texts]
    return Understood(texts[0], 0.0, 1.0, tuple(meanings))


@pytest.mark.parametrize(
    ("expected", "found"),
    [
        ("right", [["guest foul fifteen"]]),
        ("right", [["guest foul number fifteen"]]),
        ("wrong", [["guest foul eleven"]]),
        ("wrong", [["guest foul fifteen"], ["guest foul fifteen"]]),
        ("asked", [["guest foul eleven", "guest foul fifteen"]]),
        ("asked", [["guest foul fifteen", "undo that"]]),
        ("said again", [["guest foul eleven", "guest two"]]),
        ("said again", []),
    ],
)
def test_each_call_is_judged_by_what_was_said(
    parser: Parser, expected: str, found: list[list[str]]
) -> None:
    words = "guest foul fifteen"
    said = tuple(s.call for s in calls_of(parser, words) if s.call)
    what = tuple(heard(parser, *texts) for texts in found)
    assert verdict(Spoken(Line(1, words), 0.0, 1.0, said, (), what)) == expected
    nothing = Understood("[unk]", 0.0, 1.0)
    assert verdict(Spoken(Line(1, words), 0.0, 1.0, said, (), (*what, nothing))) == expected
