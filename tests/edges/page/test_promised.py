"""The tokens that a set-up page has shown: taken by that game alone, at each start of a day."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest

from callout.edges.page.addresses import Addresses
from callout.edges.page.promised import KEEPS_S, promise, promised

HERE = "192.168.7.7"


def test_a_game_takes_what_was_promised_to_it(tmp_path: Path) -> None:
    shown, game, folder = Addresses(8765, HERE), tmp_path / "a.game", tmp_path / "state"
    promise(game, shown, folder)
    (kept,) = folder.iterdir()
    assert (folder.stat().st_mode & 0o077, kept.stat().st_mode & 0o077) == (0, 0)
    assert shown.after not in kept.read_text(), "the papers are never shared"
    other = promised(tmp_path / "b.game", 8765, HERE, folder)
    assert (other.hall, other.partner) != (shown.hall, shown.partner)
    taken = promised(game, 9000, HERE, folder)
    assert (taken.hall, taken.partner, taken.port) == (shown.hall, shown.partner, 9000)
    again = promised(game, 9000, HERE, folder)
    assert (again.hall, again.partner) == (shown.hall, shown.partner), "the codes hang on the wall"


@pytest.mark.parametrize("age_s", [KEEPS_S + 60, -3600.0])
def test_after_a_day_or_with_the_clock_set_back_it_is_worth_nothing(
    tmp_path: Path, age_s: float
) -> None:
    shown, game, folder = Addresses(8765, HERE), tmp_path / "a.game", tmp_path / "state"
    promise(game, shown, folder)
    (kept,) = folder.iterdir()
    os.utime(kept, (time.time() - age_s,) * 2)
    assert promised(game, 8765, HERE, folder).hall != shown.hall
    assert list(folder.iterdir()) == []


def test_the_tokens_of_games_of_another_day_are_removed(tmp_path: Path) -> None:
    """The next promise removes them, so that no token lies there for ever."""
    folder = tmp_path / "state"
    promise(tmp_path / "a.game", Addresses(8765, HERE), folder)
    (old,) = folder.iterdir()
    promise(tmp_path / "b.game", Addresses(8765, HERE), folder)
    assert old.exists(), "within a day its game may start, or start again"
    long_ago_s = time.time() - KEEPS_S - 60
    os.utime(old, (long_ago_s, long_ago_s))
    shown = Addresses(8765, HERE)
    promise(tmp_path / "b.game", shown, folder)
    assert not old.exists()
    assert promised(tmp_path / "b.game", 8765, HERE, folder).hall == shown.hall


@pytest.mark.parametrize(
    "content",
    [b"", b"{", b"[]", b'{"hall": "a", "partner": "b"}', b'{"hall": 7}', b"\xff",
     b'{"hall": "0123456789012345678901"}'],
)  # fmt: skip
def test_a_damaged_promise_gives_new_tokens(tmp_path: Path, content: bytes) -> None:
    game = tmp_path / "a.game"
    promise(game, Addresses(8765, HERE), tmp_path / "state")
    (kept,) = (tmp_path / "state").iterdir()
    kept.write_bytes(content)
    made = promised(game, 8765, HERE, tmp_path / "state")
    assert len(made.hall) == len(made.partner) == 22
    assert len({made.hall, made.partner, made.after}) == 3
