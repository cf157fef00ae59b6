"""A live game is sent in the background: the game never waits, and what is unsent is kept."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from callout.edges.league.sent import Confirmed, confirm, confirmed, path_of
from callout.edges.live.going_out import GoingOut
from callout.edges.live.league import LiveLeague
from callout.game.notices.kinds import Notice
from callout.table.book.journal import Journal
from callout.table.speech.kinds import LEAGUE_BACK, LEAGUE_UNSENT
from tests.patience import HANG_S
from tests.table.play import SETUP, Table

ADDRESS = "postgresql://gym-7@league.example/hoops"
SENT = replace(SETUP, league=ADDRESS)


class Server:
    """In the place of the process that sends: it works, fails or hangs as it is told."""

    def __init__(self) -> None:
        self.works, self.calls = True, 0
        self.free = threading.Event()
        self.free.set()
        self.called = threading.Semaphore(0)

    def send(self, game: Path, address: str) -> bool:
        """Confirm the whole game."""
        assert address == ADDRESS
        self.calls += 1
        self.called.release()
        assert self.free.wait(HANG_S)
        if self.works:
            with Journal.read(game) as journal:
                entries = journal.entries()
                confirm(game, Confirmed(address, entries[-1].id, journal.mark))
        return self.works

    def wait(self, count: int = 1) -> None:
        """Wait until it was called so often more."""
        for _ in range(count):
            assert self.called.acquire(timeout=HANG_S)


class Crew:
    """A game on the disk that is sent."""

    def __init__(self, folder: Path, setup: object = SENT) -> None:
        assert isinstance(setup, type(SETUP))
        self.game = folder / "x.game"
        self.table = Table(setup, Journal.create(self.game, setup))
        self.told: list[Notice] = []
        self.server = Server()

    def league(self, again_s: float = HANG_S) -> LiveLeague:
        """What sends it."""
        return LiveLeague(self.table.session, self.told.append, self.server.send, again_s)


@pytest.fixture
def crew(tmp_path: Path) -> Iterator[Crew]:
    made = Crew(tmp_path)
    yield made
    made.table.journal.close()


def test_it_is_sent_when_a_period_ends_and_not_before(crew: Crew) -> None:
    out = GoingOut(crew.table.session, None, crew.told.append, crew.server.send)
    for line in ("start clock", "home two number five"):
        out.after(crew.table.say(line).entries)
    assert crew.server.calls == 0
    for line in ("end period", "yes"):
        out.after(crew.table.say(line).entries)
    crew.server.wait()
    out.close()
    assert confirmed(crew.game, ADDRESS).entries == crew.table.game.entry
    assert crew.told == []


def test_without_a_league_nothing_is_sent(tmp_path: Path) -> None:
    crew = Crew(tmp_path, SETUP)
    crew.table.say("start clock")
    league = crew.league()
    league.send()
    league.close()
    assert crew.server.calls == 0
    assert not path_of(crew.game).exists()
    crew.table.journal.close()


def test_what_is_left_is_sent_at_the_close(crew: Crew) -> None:
    league = crew.league()
    crew.table.say("start clock", "home two number five")
    league.close()
    assert confirmed(crew.game, ADDRESS).entries == crew.table.game.entry


def test_a_game_goes_on_while_the_network_hangs(crew: Crew) -> None:
    crew.server.free.clear()
    league = crew.league()
    crew.table.say("start clock")
    league.send()
    crew.server.wait()
    crew.table.say("home two number five")
    assert crew.table.game.entry == 2
    crew.server.free.set()
    league.close()


def test_a_failure_is_told_once_and_tried_again_until_it_works(crew: Crew) -> None:
    crew.server.works = False
    league = crew.league(again_s=0.001)
    crew.table.say("start clock")
    league.send()
    crew.server.wait(3)
    crew.server.works = True
    crew.server.wait()
    league.close()
    assert [notice.kind for notice in crew.told] == [LEAGUE_UNSENT.name, LEAGUE_BACK.name]
    assert confirmed(crew.game, ADDRESS).entries == 1


def test_what_is_unsent_is_shown_at_the_close(
    crew: Crew, capsys: pytest.CaptureFixture[str]
) -> None:
    crew.server.works = False
    league = crew.league()
    crew.table.say("start clock", "home two number five")
    league.close()
    told = capsys.readouterr().err
    assert f"not sent to league.example: 2 entries; later: callout send {crew.game}" in told


def test_what_was_left_of_another_day_is_sent_when_the_game_is_taken_up(crew: Crew) -> None:
    crew.table.say("start clock", "home two number five")
    confirm(crew.game, Confirmed(ADDRESS, 1, "mark"))
    league = crew.league()
    crew.server.wait()
    league.close()
    assert confirmed(crew.game, ADDRESS).entries == 2


@pytest.mark.parametrize("text", ["", "{}", "[]", '{"address": 1}', "\0", '{"entries": "x"}'])
def test_a_damaged_note_means_that_nothing_is_known(tmp_path: Path, text: str) -> None:
    game = tmp_path / "x.game"
    path_of(game).write_text(text)
    assert confirmed(game, ADDRESS) == Confirmed(ADDRESS)


def test_what_another_server_has_confirmed_does_not_count(tmp_path: Path) -> None:
    game = tmp_path / "x.game"
    confirm(game, Confirmed("postgresql://a@localhost/b", 7, "mark"))
    assert confirmed(game, ADDRESS).entries == 0
    assert confirmed(game, "postgresql://a@localhost/b").entries == 7
