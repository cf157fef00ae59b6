"""A command that is shown to be copied works with a file whose name has spaces and quotes.

What the shell makes of it is Python's `shlex`, which reads words as POSIX 2.2 says.
"""

from __future__ import annotations

import shlex
from collections.abc import Callable
from pathlib import Path

import pytest

from callout.commands.before import before
from callout.commands.names_due import names_due
from callout.commands.sheet import sheet
from callout.edges.live.voice import Outlets
from callout.errors import CalloutError
from callout.game.profile.file import load_profile
from callout.table.book.journal import Journal
from callout.table.book.leftover import log_of
from tests.commands.test_close import SETUP, over, played
from tests.table.book.test_journal import tamper


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Where a game is to lie: a name that a person gives to a file."""
    return tmp_path / "Ann's game (2nd).game"


def command(told: str) -> list[str]:
    """The words of the last command in a text, as a shell gets them."""
    return shlex.split(told[told.rindex("callout ") :])


def entry_changed(path: Path) -> None:
    tamper(over(path), "UPDATE entry SET fields = replace(fields, '4', '5') WHERE id = 2")


def cut_short(path: Path) -> None:
    data = over(path).read_bytes()
    path.write_bytes(data[: len(data) // 2])


def log_alone(path: Path) -> None:
    over(path).rename(log_of(path))


def no_journal_any_more(path: Path) -> None:
    log_alone(path)
    path.write_bytes(b"x" * 5_000)


@pytest.mark.parametrize("damage", [entry_changed, cut_short, log_alone, no_journal_any_more])
def test_a_damaged_game_s(damage: Callable[[Path], None], path: Path) -> None:
    damage(path)
    with pytest.raises(CalloutError) as told:
        sheet([path])
    assert command(str(told.value)) == ["callout", "recover", str(path)]


def test_an_earlier_game_s(path: Path) -> None:
    log_alone(path)
    with pytest.raises(CalloutError) as told:
        Journal.create(path, SETUP)
    assert command(str(told.value)) == ["callout", "recover", str(path)]


def test_a_setup_file_s_that_was_given_for_a_game(path: Path) -> None:
    path.write_text("profile: nfhs-2026\nhome: Kites\nguest: Foxes\n", encoding="utf-8")
    with pytest.raises(CalloutError) as told:
        sheet([path])
    assert command(str(told.value)) == ["callout", "live", "NEW.game", "--setup", str(path)]


def test_that_of_names_to_be_struck(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    over(path)
    days = load_profile("nfhs-2026").roster.names_days
    assert not names_due(path, now_ms=(days + 20_000) * 86_400_000, one_of_many=True)
    assert command(capsys.readouterr().err) == ["callout", "forget", str(path)]


def test_that_of_a_game_that_has_begun(path: Path) -> None:
    played(path)
    with pytest.raises(CalloutError) as told:
        before(path, Outlets(voice="print", ears="both"), "", "off", "typed")
    assert command(str(told.value)) == ["callout", "live", str(path)]
