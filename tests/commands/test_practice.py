"""`callout practice` at a terminal."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from typer.testing import CliRunner

from callout.__main__ import app
from callout.commands.practice import Wanted, course, practice, why_deaf
from callout.edges.live.voice import Outlets
from callout.edges.practice.results import keep, kept
from callout.errors import CalloutError
from callout.practice.report import Report, Tally
from tests.english import WORDS
from tests.paper.printed import rows

PRINT = Outlets(voice="print", ears="left")


@contextmanager
def typed(text: str, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A pipe as the input, with a typed call in it, which comes before anything happens."""
    reading, writing = os.pipe()
    with os.fdopen(reading) as pipe, os.fdopen(writing, "w", buffering=1) as out:
        monkeypatch.setattr(sys, "stdin", pipe)
        out.write(text)
        yield


@pytest.mark.thorough
def test_without_sound_it_says_so_and_goes_on_in_print(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    with typed("home two number five\n", monkeypatch):
        wanted = Wanted(level=1, minutes=0.2, seed=4, pace="fast")
        results = tmp_path / "results"
        assert practice(wanted, PRINT, ear="off", keys="typed", results=results) == 0
    told = capsys.readouterr()
    assert "--voice print: the plays are printed" in told.err
    assert "* (whistle) The ball goes up." in told.out
    assert "Practice, level 1, pace fast" in told.out
    assert "Called though nobody saw it: 1." in told.out
    (kept_one,) = kept(results)
    assert (kept_one.level, kept_one.extra) == (1, 1)


def test_where_the_system_s_sound_fails_nothing_can_be_heard(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Source: python-sounddevice: `query_devices` raises `PortAudioError`."""
    (tmp_path / "sounddevice.py").write_text(
        "class PortAudioError(Exception): ...\n"
        "def query_devices():\n    raise PortAudioError('Error querying devices')\n"
    )
    monkeypatch.delitem(sys.modules, "sounddevice", raising=False)
    monkeypatch.syspath_prepend(tmp_path)
    assert why_deaf(WORDS) == "no microphone was found"


@pytest.mark.parametrize(
    ("wanted", "outlets", "ear", "what"),
    [
        (Wanted(level=4), PRINT, "off", "--level"),
        (Wanted(pace="quick"), PRINT, "off", "--pace"),
        (Wanted(minutes=0), PRINT, "off", "--minutes"),
        (Wanted(minutes=float("nan")), PRINT, "off", "--minutes"),
        (Wanted(), PRINT, "wide", "--ear"),
        (Wanted(), Outlets(ears="none"), "off", "--ears"),
    ],
)  # fmt: skip
def test_a_wrong_choice_is_refused(wanted: Wanted, outlets: Outlets, ear: str, what: str) -> None:
    with pytest.raises(CalloutError, match=what):
        practice(wanted, outlets, ear=ear)


def test_at_the_end_of_the_input_nothing_is_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))
    results = tmp_path / "results"
    assert practice(Wanted(), PRINT, ear="off", keys="typed", results=results) == 0
    assert "Nothing was played" in capsys.readouterr().out
    assert not results.exists()


@pytest.mark.thorough
def test_a_game_is_practised_in_its_language(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    with typed("local dos\n", monkeypatch):
        wanted = Wanted(minutes=0.2, seed=4, pace="fast")
        results = tmp_path / "results"
        assert practice(wanted, PRINT, keys="typed", results=results, language="es") == 0
    told = capsys.readouterr().out
    assert "* (silbato) Balón al aire. Gana el salto el " in told
    assert "(compañero)" in told
    assert "Práctica, nivel 1, ritmo rápido: " in told
    assert "Dicho sin que nadie lo viera: 1." in told
    (kept_one,) = kept(results)
    assert kept_one.extra == 1


@pytest.mark.parametrize("by", ["setup", "option"])
def test_the_language_is_the_setup_s_or_that_of_the_option(
    by: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))
    setup, language = tmp_path / "x.setup", {"setup": "es", "option": "en"}[by]
    lines = f"profile: youth-6-minute\nlanguage: {language}\nhome: A\nguest: B\n"
    setup.write_text(lines.replace("language: en\n", ""), "utf-8")
    asked = "es" if by == "option" else ""
    results = tmp_path / "results"
    assert practice(Wanted(), PRINT, setup, keys="typed", results=results, language=asked) == 0
    told = capsys.readouterr()
    assert "práctica: el programa solo escucha inglés: usa las teclas" in told.err
    assert "práctica: --voice print: las jugadas se escriben" in told.err
    assert "No se jugó nada" in told.out


def test_what_its_language_lacks_is_refused(tmp_path: Path) -> None:
    with pytest.raises(CalloutError, match="--language: expected en, es, got 'fr'"):
        practice(Wanted(), PRINT, language="fr")
    with pytest.raises(CalloutError, match="--ear: hace falta auto u off"):
        practice(Wanted(), PRINT, ear="open", language="es")


def test_all_practices_are_drawn(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for at in range(3):
        keep(Report(at * 86_400_000, 1, "slow", 1.0, Tally(5, 1), {}, 0, 900, 1_500),
             tmp_path / "results")  # fmt: skip
    assert course(True, True, "letter", tmp_path, tmp_path / "results") == 0
    assert capsys.readouterr().out.splitlines() == [
        str(tmp_path / f"practice.{ending}") for ending in ("pdf", "png")
    ]
    assert (tmp_path / "practice.pdf").read_bytes().startswith(b"%PDF")
    assert (tmp_path / "practice.png").read_bytes().startswith(b"\x89PNG")
    assert course(True, False, "a4", tmp_path, tmp_path / "results", language="es") == 0
    words = [word for row in rows((tmp_path / "practice.pdf").read_bytes()) for word in row]
    assert {"Práctica", "órdenes", "mediana", "tarde"} <= set(words)
    assert not {"Practice", "calls", "median", "late", "first"} & set(words)
    with pytest.raises(CalloutError, match="--paper: expected"):
        course(True, False, "a0", tmp_path, tmp_path / "results")


def test_the_command_line_knows_it() -> None:
    done = CliRunner().invoke(app, ["practice", "--level", "7", "--ear", "off"])
    assert isinstance(done.exception, CalloutError)
    assert "--level" in str(done.exception)
