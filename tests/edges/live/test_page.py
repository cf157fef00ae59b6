"""What the table tells the page's process, and what comes back from it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from callout.edges.live.displays import Displays
from callout.edges.live.inbox import Item, PageCalled, PageMade, PageSigned
from callout.edges.live.page import (
    BEAT_S,
    LivePage,
    PageLanguage,
    hall_state,
    partner_state,
    period_name,
    where_pages_are,
)
from callout.edges.page.addresses import Addresses, own_address
from callout.edges.page.messages import (
    COMMANDS,
    EVENTS,
    Approved,
    Beat,
    Called,
    Command,
    Numbered,
    Open,
    Problem,
    Ready,
    Show,
    Signed,
    Told,
)
from callout.game import calls
from callout.table.hands.buttons import PageFile
from callout.table.view import view
from tests.edges.scripted import Children, Seconds
from tests.table.play import Table

SPOKEN = PageLanguage(
    "es",
    {"undo": "deshaz eso"},
    PageFile(hall={"final": "final"}, partner={"OUT": "FUERA"}, after={"Why": "Motivo"}),
)
NAMES = {"home": "Harbour Kites", "guest": "Quarry Foxes"}


@pytest.fixture
def table() -> Table:
    return Table()


class Pages:
    """A page's process that the test writes."""

    def __init__(self, folder: Path) -> None:
        self.children = Children[Command, Told](COMMANDS, EVENTS)
        self.seconds = Seconds()
        self.came: list[Item] = []
        self.page = LivePage(
            Addresses(8765), NAMES, 4, True, "/games/saturday.game", SPOKEN,
            lambda: self.seconds.now,
            by=self.children.by(self.seconds, folder / "page.log"),
        )  # fmt: skip
        self.page.start(self.came.append)
        self.child = self.children.next()

    def told(self, kind: type[Command]) -> list[Any]:
        """The commands of that kind that the process got."""
        return [each for each in self.child.done if isinstance(each, kind)]


@pytest.fixture
def pages(tmp_path: Path) -> Iterator[Pages]:
    """Closed at the end: a thread that goes on waiting would fail whichever test runs by then."""
    made = Pages(tmp_path)
    yield made
    made.page.close()


def seen(table: Table, left_tenths: int = 4_000) -> dict[str, Any]:
    return view(table.session.game, left_tenths)


@pytest.mark.parametrize(
    ("period", "regular", "name"),
    [(0, 4, "Period 1"), (4, 4, "Period 4"), (5, 4, "Overtime 1"), (3, 2, "Overtime 1"),
     (8, 4, "Overtime 4")],
)  # fmt: skip
def test_an_overtime_is_counted_from_the_regular_periods(
    period: int, regular: int, name: str
) -> None:
    assert period_name(period, regular) == name


def test_the_hall_sees_no_player(table: Table) -> None:
    table.say("start clock", "tip home", "home two number five", "guest foul number eight")
    state = hall_state(seen(table), NAMES, 4, True)
    assert state["score"] == {"home": 2, "guest": 0}
    assert state["team_fouls"] == {"home": 0, "guest": 1}
    assert "players" not in str(state)
    assert "number" not in str(state)


def test_the_partner_sees_points_fouls_and_who_is_not_listed(table: Table) -> None:
    table.say("start clock", "tip home", "home two number five", "guest two number ninety nine")
    state = partner_state(seen(table), [("home two", "Home two.")], "Again?")
    players = {each["number"]: each for each in state["players"]["home"]}
    assert players["5"]["points"] == 2
    assert [each for each in state["players"]["guest"] if each.get("unlisted")] == [
        {"number": "99", "points": 2, "fouls": 0, "out": False, "on_court": False,
         "unlisted": True}
    ]  # fmt: skip
    assert state["open"]["guest"] == "2 points"
    assert state["latest"] == [{"words": "home two", "reply": "Home two."}]
    assert state["question"] == "Again?"


def test_the_game_is_told_where_it_has_changed_and_the_clock_every_two_seconds(
    pages: Pages, table: Table
) -> None:
    pages.page.show(seen(table), [], "")
    pages.page.show(seen(table), [], "")
    assert (len(pages.told(Show)), len(pages.told(Beat))) == (1, 1)
    table.say("start clock")
    for tenths in range(4_000, 3_960, -1):
        pages.page.show(seen(table, tenths), [], "")
        pages.seconds.now += 0.1
    (first, _) = pages.told(Show)
    assert first.partner["words"] == {"undo": "deshaz eso"}
    assert first.hall["texts"] == {"final": "final"}, "hundreds of telephones read it"
    assert set(first.partner["texts"]) == {"final", "OUT", "Why"}
    assert len(pages.told(Show)) == 2, "a clock that runs is no change"
    assert [beat.left_tenths for beat in pages.told(Beat)[1:]] == [4_000, 3_980]
    assert BEAT_S == 2.0
    pages.page.show(seen(table), [("home two", "Home two.")], "")
    pages.page.show(seen(table), [("home two", "Home two.")], "Again?")
    assert len(pages.told(Show)) == 4


def test_a_stopped_clock_that_is_set_is_a_change(pages: Pages, table: Table) -> None:
    pages.page.show(seen(table, 3_000), [], "")
    pages.page.show(seen(table, 2_950), [], "")
    assert [show.hall["left_tenths"] for show in pages.told(Show)] == [3_000, 2_950]


def test_what_the_partner_calls_comes_to_the_table(
    pages: Pages, capsys: pytest.CaptureFixture[str]
) -> None:
    pages.child.tell(Ready())
    pages.child.tell(Ready())
    pages.child.tell(Called("home two"))
    pages.child.tell(Numbered(7, "5"))
    pages.child.tell(Approved("Ann Lee, crew chief"))
    pages.child.tell(Signed("number five", "J. Miller", "the film"))
    pages.page.close()
    assert pages.came == [
        PageCalled("home two"),
        PageMade(calls.Correct(7, number="5"), "5"),
        PageMade(calls.Approve("Ann Lee, crew chief"), "Ann Lee, crew chief"),
        PageSigned("number five", "J. Miller", "the film"),
    ]
    told = capsys.readouterr().out
    assert told.splitlines() == where_pages_are(pages.page.addresses), "once, when they are there"


def test_a_new_process_is_told_the_tokens_and_the_game(pages: Pages, table: Table) -> None:
    pages.child.tell(Ready())
    pages.page.show(seen(table), [], "")
    first = pages.child.done
    pages.child.end(-9)
    pages.child = pages.children.next()
    assert pages.child.done == first
    assert isinstance(first[0], Open)
    assert first[0].game == "/games/saturday.game"
    assert "8765" in pages.child.module
    assert not any(first[0].hall in part for part in pages.child.module)


def test_a_port_that_is_in_use_is_told(pages: Pages, capsys: pytest.CaptureFixture[str]) -> None:
    pages.child.tell(Problem("port 8765: it is in use"))
    pages.page.close()
    assert "page: port 8765: it is in use" in capsys.readouterr().err


def test_where_the_pages_are() -> None:
    alone = Addresses(8765)
    assert where_pages_are(alone) == [
        f"Partner's page: http://127.0.0.1:8765/partner/{alone.partner}",
        f"Hall's page: http://127.0.0.1:8765/hall/{alone.hall}",
        f"After the game: http://127.0.0.1:8765/after/{alone.after}",
    ]
    shared = where_pages_are(Addresses(8765, "192.168.7.7"))
    assert "http://192.168.7.7:8765/hall/" in shared[1]
    assert "http://127.0.0.1:8765/after/" in shared[2], "names are for this machine alone"
    assert "█" in shared[-1], "a code for telephones"


def test_every_game_has_tokens_of_its_own() -> None:
    tokens = {token for _ in range(50) for token in (Addresses(1).hall, Addresses(1).partner)}
    assert len(tokens) == 100
    assert min(map(len, tokens)) >= 22


def test_our_own_address_is_none_that_nobody_else_can_reach() -> None:
    address = own_address()
    assert address is None or not address.startswith("127.")


def test_without_a_screen_or_a_page_nothing_is_drawn(table: Table) -> None:
    Displays().draw(table.session.game, 0, lambda: pytest.fail("nobody looks"), False)
