"""What was given for a game: common practice, no source."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from callout.errors import CalloutError
from callout.table.book.journal import Journal
from callout.table.setup.game_path import check_game_path
from callout.table.setup.setup import Listed, Setup


@pytest.mark.parametrize("name", ["none", "game", "script", "text", "bytes"])
def test_what_may_be_a_game_is_left_to_its_reader(tmp_path: Path, name: str) -> None:
    Journal.create(tmp_path / "game", Setup("nfhs-2026", Listed("A"), Listed("B"))).close()
    (tmp_path / "script").write_text("profile: nfhs-2026\nhome: A\nguest: B\n8:00 start clock\n")
    (tmp_path / "text").write_text("source: a letter\n")
    (tmp_path / "bytes").write_bytes(bytes(range(256)))
    check_game_path(tmp_path / name)


def test_a_team_file_is_no_game(tmp_path: Path) -> None:
    path = tmp_path / "s.setup"
    path.write_text("profile: nfhs-2026\nhome: A\nguest: B\n")
    with pytest.raises(CalloutError) as caught:
        check_game_path(path)
    what = "is a setup file, not a game; to play it: callout live NEW.game --setup"
    assert str(caught.value) == f"{path}: {what} {path}"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no such pipes there")
def test_what_is_no_file_is_not_opened(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    for path in (tmp_path, tmp_path / "pipe", Path("/dev/zero")):
        with pytest.raises(CalloutError, match="expected a game, got a folder, a pipe or a device"):
            check_game_path(path)
