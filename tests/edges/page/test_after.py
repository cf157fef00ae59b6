"""After a game: its papers from the file, for this machine alone.

Source: the same papers by `callout sheet` and `callout box`; ISO 32000 and PNG's signature.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from callout.edges.page.addresses import own_address
from callout.edges.page.messages import Approved, Called, Numbered, Signed
from callout.edges.page.papers import Papers
from callout.errors import CalloutError, JournalError
from callout.paper.export import TABLES, csv_tables, json_line
from callout.paper.read import read_recorded
from callout.table.book.journal import Journal
from callout.table.setup.setup import Setup
from tests.edges.page.server import Served, served
from tests.english import WORDS
from tests.patience import HANG_S
from tests.table.play import Table


@pytest.fixture
def site(game: Path) -> Iterator[Served]:
    with served(game=game) as made:
        yield made


def test_the_papers_are_those_of_the_file(game: Path) -> None:
    recorded, _ = read_recorded(game)
    papers = Papers(game, WORDS)

    def content(name: str) -> bytes:
        made = papers.make(name)
        assert made is not None
        assert made.name == f"tuesday-{name}"
        return made.content

    assert content("game.json").decode() == json_line(recorded)
    for table in TABLES:
        assert content(f"{table}.csv").decode("utf-8-sig") == csv_tables([recorded])[table]
    assert recorded.mark in content("book.txt").decode()
    for name in ("sheet.pdf", "box.pdf"):
        assert content(name).startswith(b"%PDF")
    told = json.loads(content("sheet-pages.json"))
    assert told == {"mark": recorded.mark, "pages": told["pages"]}
    pages = told["pages"]
    assert pages >= 1
    assert content("sheet-1.png").startswith(b"\x89PNG")
    assert papers.make(f"sheet-{pages + 1}.png") is None


def test_a_page_gets_the_pictures_that_it_was_told_of(game: Path, nameless: Setup) -> None:
    """Between the number of pictures and the last of them the book may change."""
    papers = Papers(game, WORDS)

    def picture(name: str, mark: str = "") -> bytes | None:
        made = papers.make(name, mark)
        return made.content if made else None

    mark = read_recorded(game)[0].mark
    told = json.loads(picture("sheet-pages.json") or b"")
    assert told["mark"] == mark, "a page may know an older book's"
    first = picture("sheet-1.png", mark)
    with Journal.open(game) as journal:
        Table(nameless, journal).say("home three number ten")
    assert read_recorded(game)[0].mark != mark
    assert picture("sheet-1.png") != first, "without a mark, the book as it is"
    assert picture("sheet-1.png", mark) == first
    assert picture(f"sheet-{told['pages']}.png", mark) is not None
    assert picture("sheet-1.png", "of no book") == picture("sheet-1.png")


def test_what_is_open_is_told_with_the_mark(game: Path) -> None:
    made = Papers(game, WORDS).make("state.json")
    assert made is not None
    state = json.loads(made.content)
    recorded, _ = read_recorded(game)
    assert state["mark"] == recorded.mark
    assert state["entries"] == len(recorded.entries)
    assert state["score"] == {"home": 2, "guest": 0}
    assert state["over"] is False
    assert (state["approved"], state["signed"]) == (None, [])
    assert "timer" not in state["signatures"]
    assert state["signatures"] == list(recorded.game.profile.sheet.signatures)


@pytest.mark.parametrize(
    "name", ["", "sheet", "sheet.txt", "players", "../tuesday.game", "sheet-0.png", "sheet-x.png",
             "nobody.csv", "game.json.csv", "sheet-.png", "sheet-1.pdf"]
)  # fmt: skip
def test_there_is_no_other_paper(game: Path, name: str) -> None:
    assert Papers(game, WORDS).make(name) is None


def test_a_game_that_is_gone_is_told(tmp_path: Path) -> None:
    with pytest.raises((JournalError, CalloutError)):
        Papers(tmp_path / "none.game", WORDS).make("book.txt")


def test_the_papers_are_had_by_their_own_token_alone(site: Served) -> None:
    where = site.addresses
    for token in (where.hall, where.partner, where.after[:-1]):
        for path in ("", "/events", "/papers/book.txt", "/papers/sheet.pdf"):
            assert site.ask(f"/after/{token}{path}")[0] == 404
    assert site.call("end game", page="after", token=where.partner) == 404
    assert site.told.events.empty()
    status, headers, content = site.ask(f"/after/{where.after}/papers/book.txt")
    lower = {name.lower(): value for name, value in headers.items()}
    assert (status, lower["cache-control"]) == (200, "no-store")
    assert lower["content-disposition"] == 'attachment; filename="tuesday-book.txt"'
    assert b"Harbour Kites" in content
    assert site.ask(f"/after/{where.after}/papers/nothing.txt")[0] == 404


def test_a_call_after_the_game_takes_the_path_of_every_other(site: Served) -> None:
    assert site.call("number five", page="after") == 202
    assert site.told.events.get(timeout=HANG_S) == Called("number five")


def test_what_is_done_at_the_end_comes_to_the_table_whole(site: Served) -> None:
    def send(deed: str, **body: object) -> int:
        path, kind = f"/after/{site.addresses.after}/{deed}", {"Content-Type": "application/json"}
        return site.ask(path, json.dumps(body).encode(), kind)[0]

    signed = {"say": "home basket five was three", "name": " J. Miller ", "reason": "the film"}
    for deed, body, done in (
        ("number", {"item": 5, "number": "00"}, Numbered(5, "00")),
        ("approve", {"name": "Ann Lee", "role": "crew chief"}, Approved("Ann Lee, crew chief")),
        ("sign", signed, Signed("home basket five was three", "J. Miller", "the film")),
    ):
        assert send(deed, **body) == 202
        assert site.told.events.get(timeout=HANG_S) == done
        # Nothing may be left out, and nobody signs with nothing.
        for name in body:
            assert send(deed, **{key: body[key] for key in body if key != name}) == 400
            for wrong in ("", "  ", None, 1.5, "x" * 201, "a\nb", "a\u202eb"):
                assert send(deed, **{**body, name: wrong}) == 400, (name, wrong)
    assert send("number", item=5, number="100") == 400
    assert send("number", item=True, number="5") == 400
    for deed in ("number", "approve", "sign"):
        kind = {"Content-Type": "application/json"}
        for page in ("hall", "partner"):
            path = f"/{page}/{site.addresses.token(page)}/{deed}"
            assert site.ask(path, json.dumps(signed).encode(), kind)[0] == 404
    assert site.told.events.empty()


def test_a_file_that_cannot_be_read_is_told_on_the_page(tmp_path: Path) -> None:
    (tmp_path / "bad.game").write_bytes(b"no game")
    with served(game=tmp_path / "bad.game") as site:
        status, _, content = site.ask(f"/after/{site.addresses.after}/papers/state.json")
        assert status == 409
        told, line = content.decode().split("\n")
        assert told == "Sheet and lists cannot be made from the game's file:"
        assert line.endswith("bad.game: expected a game's journal, got another kind of file")


def test_another_machine_sees_none_of_it(game: Path) -> None:
    """Names on a list may be children's: where pages are shared, the sheet is not."""
    address = own_address()
    if address is None:
        pytest.skip("this machine is in no network")
    with served(address, game) as site:
        host = {"Host": f"{address}:{site.addresses.port}"}
        for path, status in (("", 404), ("/papers/book.txt", 404)):
            target = f"/after/{site.addresses.after}{path}"
            assert site.ask(target, headers=host, of=address, to=address)[0] == status
            assert site.ask(target)[0] == 200
        assert (
            site.ask(f"/hall/{site.addresses.hall}", headers=host, of=address, to=address)[0] == 200
        )
