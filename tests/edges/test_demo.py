"""The demo on a few calls of a short script: spoken, heard back, kept, answered."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import soundfile

from callout.edges.demo import Call, verdict
from callout.edges.understood import Choice, Understood
from callout.language.parser import Parsed, Parser
from callout.table.script import Line

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
        [sys.executable, "-m", "callout.edges.demo", str(script), "--clean", "--out", str(out)],
        capture_output=True, text=True, timeout=120,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert "4 calls without noise: 4 right (100.0%)" in done.stdout
    assert "Home two, number five." in done.stdout
    assert soundfile.info(out / "replies.wav").duration > 5
    assert (out / "calls-01.wav").is_file()


def test_a_missing_script_is_one_line(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "callout.edges.demo", "absent.game"],
        cwd=tmp_path, capture_output=True, text=True, timeout=60,
    )  # fmt: skip
    assert done.returncode == 2
    assert done.stderr.strip() == (
        "demo: absent.game: expected a file that can be read: no such file or directory"
    )


def heard(parser: Parser, text: str, *others: str) -> Understood:
    """A call as the ear would tell it."""
    sentences = []
    for each in (text, *others):
        result = parser.parse(each)
        assert isinstance(result, Parsed)
        sentences.append(result.sentences[0])
    choices = tuple(
        Choice("number", sentence.slots["number"], "", 0.5, sentence) for sentence in sentences
    )
    status = "unsure" if others else "call"
    return Understood(status, text, 0.0, 1.0, sentences[0], choices if others else ())


def test_each_call_is_judged_by_what_was_said(parser: Parser) -> None:
    said = Line(1, "guest foul fifteen")
    found = {
        "right": (heard(parser, "guest foul fifteen"),),
        "wrong": (heard(parser, "guest foul eleven"),),
        "asked": (heard(parser, "guest foul eleven", "guest foul fifteen"),),
        "unheard": (Understood("ignored", "[unk]", 0.0, 1.0),),
    }
    for expected, what in found.items():
        assert verdict(Call(said, 0.0, 1.0, what), parser) == expected
    twice = (*found["right"], *found["right"])
    assert verdict(Call(said, 0.0, 1.0, twice), parser) == "wrong"
