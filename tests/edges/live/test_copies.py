"""Copies at each period's end, on a real disk and on one that fails."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from pathlib import Path

import pytest

from callout.edges.live.copies import Copies
from callout.game.notices.kinds import Notice
from callout.table.book.journal import Journal
from callout.table.speech.kinds import COPY_FAILED
from tests.table.play import SETUP, Table


class Crew:
    """A game on the disk whose copies go to a stick, too."""

    def __init__(self, folder: Path, there: bool = True) -> None:
        self.stick = folder / "stick"
        if there:
            self.stick.mkdir()
        self.game = folder / "tuesday.game"
        self.table = Table(SETUP, Journal.create(self.game, SETUP))
        self.told: list[Notice] = []
        self.copies = Copies(self.table.session, self.stick, self.told.append)

    def say(self, *lines: str) -> None:
        """Say each line, and let the copies follow."""
        for line in lines:
            self.table.wait(1)
            self.copies.after(self.table.say(line).entries)

    def settle(self) -> None:
        """Wait until nothing is left to be written."""
        self.copies._wanted.put(None)
        self.copies._thread.join()

    def close(self) -> None:
        """End the game."""
        self.copies.close()
        self.table.journal.close()


@pytest.fixture
def crew(tmp_path: Path) -> Iterator[Crew]:
    crew = Crew(tmp_path)
    yield crew
    crew.close()


def test_a_stick_that_is_not_there_is_told_at_once(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    away = Crew(tmp_path, there=False)
    away.close()
    told = f"--copy-to: {away.stick} is not there now; it is tried again at each period's end\n"
    assert capsys.readouterr().err == told


def test_they_are_written_when_a_period_ends_and_not_before(crew: Crew) -> None:
    crew.say("start clock", "home two number five", "stop clock")
    assert crew.copies._wanted.empty()
    crew.say("end period", "yes")
    crew.settle()
    for folder in (crew.game.parent, crew.stick):
        text = (folder / "tuesday.game-book.txt").read_text()
        assert text.startswith("Harbour Kites 2, Quarry Foxes 0\n")
        assert f"mark {crew.table.journal.mark}" in text
        with Journal.open(folder / "tuesday.game-copy") as copy:
            assert copy.entries() == crew.table.journal.entries()
        if os.name == "posix":
            modes = {stat.S_IMODE(each.stat().st_mode) for each in folder.glob("tuesday.game-*")}
            assert modes <= {0o600}
    known = {path.name for path in crew.table.journal.copies()}
    assert known == {"tuesday.game-copy", "tuesday.game-book.txt"}
    assert len(crew.table.journal.copies()) == 4


def test_a_later_one_stands_in_place_of_the_earlier(crew: Crew) -> None:
    crew.say("start clock", "home two number five", "end period", "yes")
    crew.say("start clock", "yes", "home three number five")
    crew.copies.write()
    crew.settle()
    assert (crew.stick / "tuesday.game-book.txt").read_text().startswith("Harbour Kites 5,")
    assert sorted(each.name for each in crew.stick.iterdir()) == [
        "tuesday.game-book.txt",
        "tuesday.game-copy",
    ]


def test_a_stick_that_is_pulled_is_told_once_and_the_other_copy_is_written(crew: Crew) -> None:
    crew.stick.rmdir()
    crew.say("start clock", "home two number five")
    for _ in range(3):
        crew.copies.write()
    crew.settle()
    assert crew.told == [Notice(COPY_FAILED, slots={"place": "stick"})]
    assert (crew.game.parent / "tuesday.game-book.txt").exists()
    assert crew.table.say("guest two").entries


@pytest.mark.skipif(os.name != "posix", reason="other systems have no such names")
def test_a_stick_and_a_game_whose_names_are_not_text(tmp_path: Path) -> None:
    place = tmp_path / os.fsdecode(b"p-\xfc")
    place.mkdir()
    crew = Crew(place)
    crew.say("start clock", "home two number five", "end period", "yes")
    crew.settle()
    assert crew.told == []
    for folder in (place, place / "stick"):
        assert (folder / "tuesday.game-copy").exists()
        assert folder / "tuesday.game-copy" in crew.table.journal.copies()
    crew.table.journal.close()


@pytest.mark.skipif(os.name != "posix", reason="other systems have no such names")
def test_a_stick_whose_name_is_not_text_and_that_is_pulled(tmp_path: Path) -> None:
    crew = Crew(tmp_path)
    copies = Copies(crew.table.session, tmp_path / os.fsdecode(b"gone-\xfc"), crew.told.append)
    crew.say("start clock", "home two number five")
    copies.write()
    copies.close()
    (told,) = crew.told
    assert told == Notice(COPY_FAILED, slots={"place": "gone-\N{REPLACEMENT CHARACTER}"})
    assert crew.table.session.tell(told).said[0].text
    crew.close()


def test_a_copy_that_cannot_even_be_begun_is_told_and_the_game_goes_on(crew: Crew) -> None:
    """The game's thread takes the picture; here its file is closed under it."""
    crew.say("start clock", "home two number five")
    crew.table.journal._database.close()
    for _ in range(2):
        crew.copies.write()
    assert [notice.kind for notice in crew.told] == ["copy_failed"] * 2


def test_a_log_beside_a_copy_is_not_merged_into_the_next(crew: Crew) -> None:
    (crew.stick / "tuesday.game-copy-wal").write_bytes(bytes(5_000))
    crew.say("start clock", "home two number five", "end period", "yes")
    crew.settle()
    assert crew.told == [Notice(COPY_FAILED, slots={"place": "stick"})]
    assert not (crew.stick / "tuesday.game-copy").exists()
    assert (crew.game.parent / "tuesday.game-copy").exists()


def test_two_games_of_one_name_share_a_stick(tmp_path: Path) -> None:
    """As the tables of two courts do, each with a folder of its own."""
    stick, games = tmp_path / "stick", ("first", "second")
    stick.mkdir()
    for name in games:
        (tmp_path / name).mkdir()
        table = Table(SETUP, Journal.create(tmp_path / name / "saturday.game", SETUP))
        for _ in range(2):
            copies = Copies(table.session, stick, lambda notice: None)
            table.say("start clock", f"home {'two' if name == 'first' else 'three'} number five")
            copies.write()
            copies.close()
        known = {path for path in table.journal.copies() if path.parent == stick}
        table.journal.close()
        end = "" if name == "first" else "-2"
        assert known >= {stick / f"saturday.game{end}-copy", stick / f"saturday.game{end}-book.txt"}
    assert sorted(path.name for path in stick.iterdir()) == [
        "saturday.game-2-book.txt", "saturday.game-2-copy",
        "saturday.game-book.txt", "saturday.game-copy",
    ]  # fmt: skip
    for name, end in zip(games, ("", "-2"), strict=True):
        with Journal.open(stick / f"saturday.game{end}-copy") as copy, Journal.open(
            tmp_path / name / "saturday.game"
        ) as game:  # fmt: skip
            assert copy.entries() == game.entries()


def test_a_stick_full_of_names_gets_no_copy(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("callout.edges.live.copies.MOST_NAMES", 2)
    stick = tmp_path / "stick"
    stick.mkdir()
    (stick / "saturday.game-copy").write_text("not a game")
    table = Table(SETUP, Journal.create(tmp_path / "saturday.game", SETUP))
    copies = Copies(table.session, stick, lambda notice: None)
    copies.write()
    copies.close()
    table.journal.close()
    assert "no copy could be written" in capsys.readouterr().err
    assert (stick / "saturday.game-copy").read_text() == "not a game"
