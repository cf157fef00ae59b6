"""What shows a game: which of it is opened, and by which addresses."""

from __future__ import annotations

from pathlib import Path

import pytest

from callout.edges.live.displays import Shown, open_displays
from callout.edges.page.promised import promised
from callout.errors import CalloutError
from callout.language.grammar import language_folder
from callout.table.setup.setup import Setup
from tests.table.play import FOXES, KITES

SETUP = Setup("fiba-2024", KITES, FOXES)


@pytest.fixture(autouse=True)
def state(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The user's files lie in the test's folder."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))


def test_a_game_that_starts_again_has_its_pages_where_they_were(tmp_path: Path) -> None:
    """Codes on the wall and pages that are open on telephones still lead to it."""
    game = tmp_path / "a.game"
    kept = []
    for _ in range(2):
        open_displays(Shown(page=8765), SETUP, game, language_folder()).close()
        addresses = promised(game, 8765)
        kept.append((addresses.hall, addresses.partner))
    assert kept[0] == kept[1]
    other = promised(tmp_path / "b.game", 8765)
    assert (other.hall, other.partner) != kept[0]


def test_pages_are_not_shared_where_there_are_none(tmp_path: Path) -> None:
    with pytest.raises(CalloutError, match="--share: there is no page to share; say --page PORT"):
        open_displays(Shown(share=True), SETUP, tmp_path / "a.game", language_folder())
