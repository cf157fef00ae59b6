"""What `close`, `people` and `new` ask and tell stands in the language of the game.

The Spanish words are those of Spanish basketball tables, from memory.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from callout.commands.close import Signature, close
from callout.commands.forget import forget
from callout.commands.names_due import DAY_MS, wants_struck
from callout.commands.new import new
from callout.commands.people import people
from callout.commands.sheet import read
from callout.errors import CalloutError
from callout.language.words import words_of
from callout.table.book.journal import Journal
from callout.table.setup.setup import read_setup
from tests.commands.test_close import SETUP
from tests.table.play import Table

LONG = re.compile(r"[^\W\d_]{4,}")


def long_words(language: str) -> set[str]:
    words = words_of(language)
    return set(LONG.findall(" ".join((*words.texts.values(), *words.roles.values())).lower()))


ENGLISH, SPANISH = long_words("en"), long_words("es")
GIVEN = {"coach"}
"""What was answered in English."""


class Answers:
    """Gives these answers and then none; keeps what was asked."""

    def __init__(self, *given: str) -> None:
        self.left = list(given)
        self.asked: list[str] = []

    def __call__(self, what: str, usual: str = "") -> str:
        self.asked.append(what)
        return (self.left.pop(0) if self.left else "") or usual


def check_spanish(told: str) -> None:
    # A path is nobody's words, and the tests' own are English.
    words = set(LONG.findall(re.sub(r"/\S+", "", told.lower())))
    assert words & SPANISH, told
    assert (words & ENGLISH) - SPANISH - GIVEN == set(), told


@pytest.fixture
def game(tmp_path: Path) -> Path:
    """A game in Spanish that is over, with a basket and a foul of nobody, and a mark."""
    path = tmp_path / "x.game"
    with Journal.create(path, replace(SETUP, language="es")) as journal:
        table = Table(SETUP, journal)
        table.say("start clock", "home two number four")
        table.wait(20)
        table.say("guest two", "home foul", "mark that", "end game", "yes")
    return path


@pytest.mark.parametrize("yes", ["sí", "si", "S"])
def test_a_game_is_closed_in_its_language(
    game: Path, yes: str, capsys: pytest.CaptureFixture[str]
) -> None:
    ask = Answers("ocho", "8", "", yes, "no")
    assert close(game, ask=ask) == 0
    assert ask.asked[0].startswith("visitante, canasta de 2, C1")
    assert ask.asked[0].endswith("sin número. ¿Qué número? (Intro lo deja pendiente)")
    assert ask.asked[3] == "Los árbitros lo aprueban (sí, no)"
    assert "Las listas tienen 1 nombre. Las reglas de la competición" in ask.asked[4]
    told = capsys.readouterr().out
    assert "Hace falta un número de camiseta, y está 'ocho'." in told
    assert "Resultado final: local 2, visitante 2." in told
    for each in (*ask.asked, told.replace(str(game.parent), "")):
        check_spanish(each)
    assert read(game).game.approval is not None


@pytest.mark.parametrize("answer", ["no", "yes", "y", ""])
def test_what_is_no_yes_in_its_language_approves_nothing(game: Path, answer: str) -> None:
    assert close(game, ask=Answers("8", "", answer)) == 1
    assert read(game).game.approval is None


def test_what_is_refused_is_told_in_its_language(game: Path, tmp_path: Path) -> None:
    close(game, ask=Answers("8", "", "sí", "no"))
    for words, signature, why in (
        ("falta local cinco era del cuatro", None, "necesita un nombre y un motivo"),
        ("", Signature("Ana", "vídeo"), "hace falta --correct PALABRAS"),
        ("falta local cinco era del cuatro", Signature("Ana", "vídeo"), "vale para 0"),
        ("x", Signature("A" * 201, "vídeo"), "como máximo 200 letras; hay 201"),
    ):
        with pytest.raises(CalloutError, match=why):
            close(game, words, signature, ask=Answers())
    path = tmp_path / "y.game"
    Journal.create(path, replace(SETUP, language="es")).close()
    with pytest.raises(CalloutError, match="el partido no ha terminado: di 'fin del partido'"):
        close(path, ask=Answers())


def test_names_are_struck_in_its_language(game: Path, capsys: pytest.CaptureFixture[str]) -> None:
    late = read(game).entries[-1].at.wall_ms + 1000 * DAY_MS
    with Journal.read(game) as journal:
        assert wants_struck(journal, Answers("sí"), late)
        assert not wants_struck(journal, Answers("yes"), late)
        ask = Answers("no")
        assert not wants_struck(journal, ask, late)
    assert ask.asked[0].endswith("¿Borrarlos para siempre? (sí, no)")
    assert forget(game) == 0
    told = capsys.readouterr().out.replace(str(game.parent), "")
    assert "1 nombre, todo borrado" in told
    check_spanish(told)


def test_people_are_asked_for_in_its_language(
    game: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ask = Answers("Gale Wren", "", "", "", "Cy Dale")
    assert people(game, ask) == 0
    assert ask.asked == [
        "Entrenador de Kites", "Entrenador asistente de Kites", "Entrenador de Foxes",
        "Entrenador asistente de Foxes", "Árbitro", "Árbitro auxiliar", "Anotador",
        "Cronometrador",
    ]  # fmt: skip
    assert ("", "Referee", "Cy Dale") in read(game).setup.people, "kept by the league's word"
    check_spanish(capsys.readouterr().out.replace(str(game.parent), ""))


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[], None]:
    return lambda: monkeypatch.chdir(tmp_path)


def test_a_new_game_is_asked_for_in_its_language(
    here: Callable[[], None], capsys: pytest.CaptureFixture[str]
) -> None:
    here()
    Path("lista.csv").write_text("No.\n300\n", encoding="utf-8")
    ask = Answers(
        "yuoth-7", "nfhs-2026", "", "4 Ana, 4 Luz", "Coach Lane", "77", "", "local", "Foxes",
        "lista.csv", "8", "", "sí", "Kites", "", "9", "4", "", "4 W", "Gale",
    )  # fmt: skip
    assert new(Path("x.setup"), ask, language="es") == 0
    told = capsys.readouterr()
    assert "como 'youth-6-minute' o 'youth-7-minute', y está 'yuoth-7'" in told.out
    assert "Queda fuera: 4 Luz: cada número una sola vez; '4' está dos veces" in told.out
    assert "Queda fuera: Coach Lane: no tiene número" in told.out
    assert "Hace falta otro nombre que el del equipo local, y está 'local'." in told.out
    assert "lista.csv:2: hace falta un número de camiseta (0, 00, de 1 a 99)" in told.out
    assert "Local: 77 no es un número reglamentario en NFHS" in told.out
    assert "tiene 2 nombres, quizá de niños" in told.err
    for each in ask.asked:
        if each.strip():
            check_spanish(each)
    said = [line for line in told.out.splitlines() if not line.startswith(("│", "┃", "  "))]
    for line in said:
        if LONG.search(line) and "NFHS" not in line:
            check_spanish(line)
    setup = read_setup(Path("x.setup"))
    assert (setup.language, setup.home.name, setup.home.captain) == ("es", "Local", "4")
    assert setup.people == (("home", "coach", "Gale"),)


def test_a_fixture_is_picked_in_its_language(
    here: Callable[[], None], capsys: pytest.CaptureFixture[str]
) -> None:
    here()
    Path("games.csv").write_text(
        "game,date,place,home,guest,home numbers\n7,2001-02-03,,A,B,4 5\n", encoding="utf-8"
    )
    ask = Answers("9", "1", "nfhs-2026")
    assert new(Path("x.setup"), ask, "games.csv", "es") == 0
    told = capsys.readouterr().out
    assert ask.asked[0] == "Qué partido"
    assert f"Ningún partido de esta lista es de hoy, {date.today():%Y-%m-%d}." in told
    assert "Hace falta un número de 1 a 1, o el nombre de un partido." in told
    assert "Comienza" in told
