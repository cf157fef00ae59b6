"""Fixtures for tests that need devices or the recognizer; the slow ones are made once a process."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from callout.edges.ear.file import FileEar
from callout.edges.ear.recognizer import Models
from callout.game.terms import Team
from callout.language.compiler import compile_network
from callout.language.grammar import Scope
from callout.language.parser import Parser
from callout.language.scope import Sentences
from callout.table.book.journal import Journal
from callout.table.setup.setup import Listed, Setup
from tests.display import Display, virtual_display
from tests.english import english_grammar
from tests.pulse import Pulse, pulse_server
from tests.recognizer import undithered
from tests.speech import PHRASES
from tests.table.play import Table

__all__ = [
    "_voice_ends",
    "display",
    "ear",
    "game",
    "model",
    "models",
    "nameless",
    "parser",
    "pulse",
    "screen",
]
"""The fixtures, for every conftest of tests with devices."""

ROSTERS = {Team.HOME: ("4", "5", "12"), Team.GUEST: ("8", "11", "15")}


@pytest.fixture(scope="session", autouse=True)
def _voice_ends() -> Iterator[None]:
    """Ends the process of the tests' voice after the last test."""
    yield
    PHRASES.close()


@pytest.fixture(scope="session")
def model(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the fetched recognizer's model, with its dither set to 0."""
    return undithered(tmp_path_factory.mktemp("undithered"))


@pytest.fixture(scope="session")
def parser() -> Parser:
    """Reads the calls of a game with six players, in English."""
    return Parser(english_grammar(), Scope(ROSTERS))


@pytest.fixture(scope="session")
def ear(model: Path, parser: Parser) -> Iterator[FileEar]:
    """Hears sound files in a child process, by the network of that game."""
    grammar = parser.grammar
    ear = FileEar(model, compile_network(grammar, Scope(ROSTERS)))
    yield ear
    ear.close()


@pytest.fixture
def nameless() -> Setup:
    """A setup of two teams without players."""
    return Setup("nfhs-2026", Listed("Harbour Kites"), Listed("Quarry Foxes"))


@pytest.fixture
def game(tmp_path: Path, nameless: Setup) -> Path:
    """The file of a game with three entries."""
    path = tmp_path / "tuesday.game"
    with Journal.create(path, nameless) as journal:
        Table(nameless, journal).say("start clock", "home two number five", "guest foul fourteen")
    return path


@pytest.fixture(scope="session")
def pulse(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Pulse]:
    """A private PulseAudio."""
    folder = tmp_path_factory.mktemp("pulse")
    folder.chmod(0o700)
    with pulse_server(folder) as server:
        yield server


@pytest.fixture(scope="session")
def screen() -> Iterator[Display]:
    """A private X display."""
    with virtual_display() as found:
        yield found


@pytest.fixture
def display(screen: Display, monkeypatch: pytest.MonkeyPatch) -> Display:
    """The same display, with this process's DISPLAY set to it."""
    monkeypatch.setenv("DISPLAY", screen.environment["DISPLAY"])
    return screen


@pytest.fixture(scope="session")
def models(model: Path, parser: Parser, tmp_path_factory: pytest.TempPathFactory) -> Models:
    """The recognizer in this process, with the networks "always" and "question" of that game."""
    models = Models(model, tmp_path_factory.mktemp("models"))
    models.use("always", parser.network)
    models.use("question", compile_network(parser.grammar, Scope(ROSTERS), Sentences.BOTH))
    return models
