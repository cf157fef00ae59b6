"""The card of calls and keys on paper: one page, complete, and read back from the PDF."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest
from pdfminer.high_level import extract_pages

from callout.commands.printed_card import PLACES, card_page, run
from callout.edges.typesetting import Form, typeset
from callout.errors import CalloutError
from callout.game.profile.file import load_profile, profile_names
from callout.paper.card import CARD
from tests.paper.printed import rows
from tests.quick import thorough_but


def pdf(league: str, large: bool, size: str = "a4") -> bytes:
    made = typeset(CARD, card_page(load_profile(league), large, size), Form.PDF, 0)
    assert made.unshown == ""
    return made.files[0]


def printed(page: bytes, columns: int) -> list[str]:
    """The rows of each column, one column after the other."""
    return [
        " ".join(row)
        for nth in range(columns)
        for row in rows(page, nth / columns, (nth + 1) / columns)
    ]


@pytest.mark.thorough
@pytest.mark.parametrize("size", ["a4", "letter"])
@pytest.mark.parametrize("large", [False, True], ids=["small", "large"])
def test_it_is_one_page_and_large_print_is_larger(large: bool, size: str) -> None:
    for league in ("nfhs-2022", "ncaa-women-2026"):
        page = pdf(league, large, size)
        assert len(list(extract_pages(io.BytesIO(page)))) == 1


@pytest.mark.parametrize("league", thorough_but(profile_names(), {"nfhs-2026"}))
def test_every_call_of_the_league_is_on_it(league: str) -> None:
    text = re.sub(r"\s+", "", " ".join(printed(pdf(league, large=False), 3)))
    for group in card_page(load_profile(league), False, "a4")["groups"]:
        assert re.sub(r"\s+", "", group["title"]) in text
        for row in group["rows"]:
            words = "".join(part["text"] for part in row["words"])
            first = words.split(" (")[0].split()
            assert "".join(first[:2]) in text, words


def test_a_key_stands_beside_its_words() -> None:
    page = printed(pdf("nfhs-2026", large=True), 2)
    for row in ("S home two (number)", "Tab start clock", "Space stop clock", "U undo that",
                "F4 team fouls", "F home", "J guest"):  # fmt: skip
        assert row in page


def test_large_print_leaves_out_what_takes_two_keys() -> None:
    large, small = (" ".join(printed(pdf("nfhs-2026", each), 3 - each)) for each in (True, False))
    assert "put that back" in small
    assert "put that back" not in large


def test_places_are_named_and_no_brace_is_left() -> None:
    page = card_page(load_profile("nfhs-2026"), False, "a4")
    parts = [part for group in page["groups"] for row in group["rows"] for part in row["words"]]
    opened = {part["text"] for part in parts if part["open"]}
    assert opened == {*PLACES.values(), "points", "foul"}
    assert not [part for part in parts if set(part["text"]) & set("{}[]_")]


def test_files_are_written_where_they_are_asked_for(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run("fiba-3x3", True, True, True, "letter", Path("new")) == 0
    made = ["new/callout-keys-fiba-3x3-large.pdf", "new/callout-keys-fiba-3x3-large.png"]
    assert capsys.readouterr().out.split() == made
    assert all(Path(name).is_file() for name in made)
    run("", True, False, False, "a4", None)
    assert Path("callout-keys-nfhs-2026.pdf").is_file()


def test_on_the_terminal_a_league_s_card_has_only_its_calls(
    capsys: pytest.CaptureFixture[str],
) -> None:
    run("fiba-3x3", False, False, False, "a4", None)
    league = capsys.readouterr().out
    run("", False, False, False, "a4", None)
    assert "{team} three" in capsys.readouterr().out
    assert "{team} three" not in league
    assert "{team} two" in league


@pytest.mark.parametrize(
    ("league", "pdf", "large", "paper", "error"),
    [
        ("fiba2024", True, False, "a4", "lists, such as '.*, got 'fiba2024'"),
        ("fiba-2024", True, False, "a5", "--paper: expected a4 or letter"),
        ("fiba-2024", False, True, "a4", "expected --pdf or --png with --large"),
    ],
)
def test_what_cannot_be_done_is_one_line(
    league: str, pdf: bool, large: bool, paper: str, error: str, tmp_path: Path
) -> None:
    with pytest.raises(CalloutError, match=error):
        run(league, pdf, False, large, paper, tmp_path)
    assert list(tmp_path.iterdir()) == []
