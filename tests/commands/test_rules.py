"""`callout rules`, as a person runs it."""

from __future__ import annotations

import json
import sys
from typing import Any

import pytest
from typer.testing import CliRunner

from callout import __main__
from callout.errors import CalloutError
from callout.game.profile.file import load_profile, profile_names

BOOK, YOUTH = load_profile("nfhs-2026"), load_profile("youth-6-minute")


def run(*arguments: str) -> str:
    done = CliRunner().invoke(__main__.app, ["rules", *arguments])
    assert done.exit_code == 0, done.output
    return done.output


def cells(text: str) -> list[list[str]]:
    """The cells of each line of a table."""
    lines = [line for line in text.splitlines() if line.startswith("│")]
    return [[cell.strip() for cell in line.strip("│").split("│")] for line in lines]


def run_json(*arguments: str) -> Any:
    return json.loads(run(*arguments, "--json"))


def test_without_a_name_every_league_is_listed_with_its_title() -> None:
    titles = [[name, load_profile(name).title] for name in profile_names()]
    assert cells(run()) == titles
    assert run_json() == {"profiles": [{"name": name, "title": title} for name, title in titles]}


def test_one_league_is_a_table_in_sections_with_values_and_sources() -> None:
    text = run("nfhs-2026")
    assert text.startswith(BOOK.title)
    rows = cells(text)
    assert ["Periods", "", ""] in rows
    assert ["Fouls", "", ""] in rows
    (row,) = [row for row in rows if row[0] == "Length of a period"]
    assert row[1] == "8:00"
    assert BOOK.sources["periods.length_s"].startswith(row[2]), "it may go on in the next line"
    assert any(row[1] == "5th foul: two shots" for row in rows)


def test_one_league_as_json_says_the_same() -> None:
    told = run_json("nfhs-2026")
    assert told["profiles"] == [{"name": "nfhs-2026", "title": BOOK.title}]
    rows = {row["name"]: row for row in told["rules"]}
    assert set(rows["periods.length_s"]) == {"section", "name", "label", "value", "source"}
    assert rows["periods.length_s"]["value"] == "8:00"
    assert rows["periods.length_s"]["source"] == BOOK.sources["periods.length_s"]


def test_of_two_leagues_only_what_differs_is_told() -> None:
    rows = cells(run("nfhs-2026", "youth-6-minute"))
    assert any(row[1:] == ["8:00", "6:00"] for row in rows)
    assert ["Goals", "", ""] not in rows
    told = run_json("nfhs-2026", "youth-6-minute")
    assert [each["title"] for each in told["profiles"]] == [BOOK.title, YOUTH.title]
    found = {row["name"]: row for row in told["rules"]}
    assert found["periods.length_s"]["values"] == ["8:00", "6:00"]
    assert "periods.count" not in found


def test_leagues_that_do_not_differ_are_said_not_to() -> None:
    assert run("nfhs-2026", "nfhs-2026").startswith(f"No rule differs: {BOOK.title}")
    assert run_json("nfhs-2026", "nfhs-2026")["rules"] == []


@pytest.mark.parametrize("arguments", [("no-such",), ("nfhs-2026", "no-such")])
def test_an_unknown_league_is_refused_with_the_known_ones(
    arguments: tuple[str, ...],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    done = CliRunner().invoke(__main__.app, ["rules", *arguments])
    assert isinstance(done.exception, CalloutError)
    monkeypatch.setattr(sys, "argv", ["callout", "rules", *arguments])
    with pytest.raises(SystemExit) as ended:
        __main__.main()
    assert ended.value.code == 2
    told = capsys.readouterr()
    assert told.out == ""
    known = ", ".join(profile_names())
    assert told.err == f"callout: expected one of the profiles ({known}), got 'no-such'\n"
