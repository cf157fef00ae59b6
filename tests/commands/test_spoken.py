"""The language of a game: what it keeps, what is named on the command line, and what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from callout.commands.spoken import check_code, is_heard, kept_in, named_again, spoken_in
from callout.errors import CalloutError
from callout.language.grammar import language_folder
from callout.language.shipped import languages
from callout.table.setup.setup import Listed, Setup

ENGLISH = Setup("nfhs-2026", Listed("Harbour Kites"), Listed("Quarry Foxes"))
SPANISH = Setup("nfhs-2026", Listed("Harbour Kites"), Listed("Quarry Foxes"), language="es")


def test_the_language_that_is_named_goes_before_the_one_that_is_kept() -> None:
    assert {"en", "es"} <= set(languages())
    assert spoken_in(ENGLISH) == language_folder("en")
    assert spoken_in(SPANISH) == language_folder("es")
    assert spoken_in(SPANISH, "en") == language_folder("en")


def test_a_new_game_keeps_the_language_that_is_named_but_no_folder(tmp_path: Path) -> None:
    assert kept_in(ENGLISH, "") == ENGLISH
    assert kept_in(ENGLISH, "es") == SPANISH
    assert kept_in(SPANISH, "en") == ENGLISH
    assert kept_in(ENGLISH, str(tmp_path)) == ENGLISH
    with pytest.raises(CalloutError, match="--language: expected en, es, or a folder, got 'fr'"):
        kept_in(ENGLISH, "fr")


@pytest.mark.parametrize("other", ["fr", "", ".", "../grammars/es", "/etc"])
def test_the_game_of_somebody_else_opens_no_folder_of_this_machine(other: str) -> None:
    game = Setup("nfhs-2026", Listed("Kites"), Listed("Foxes"), language=other)
    with pytest.raises(CalloutError, match="the game's language: expected en, es, or --language"):
        spoken_in(game)
    assert spoken_in(game, "es") == language_folder("es")


def test_only_another_language_than_the_kept_one_is_named_again(tmp_path: Path) -> None:
    own = tmp_path / "my own"
    own.mkdir()
    assert named_again(SPANISH, "") == named_again(SPANISH, "es") == ""
    assert named_again(SPANISH, "en") == " --language en"
    assert named_again(SPANISH, str(own)) == f" --language '{own}'"


def test_a_folder_named_as_a_language_is_named_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A person's own folder goes before the program's of the same name, and is not kept."""
    monkeypatch.chdir(tmp_path)
    Path("es").mkdir()
    assert kept_in(ENGLISH, "es") == ENGLISH
    assert named_again(SPANISH, "es") == " --language es"


def test_what_a_setup_file_cannot_name_is_refused_at_once(tmp_path: Path) -> None:
    check_code("es")
    with pytest.raises(CalloutError, match=r"--language: expected en, es, got .*takes a folder"):
        check_code(str(tmp_path))


def test_the_fetched_recognizer_hears_english_alone() -> None:
    assert [is_heard(language) for language in ("en", "es")] == [True, False]
