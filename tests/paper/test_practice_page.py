"""The report of one practice as text, and the picture of many."""

from __future__ import annotations

from dataclasses import replace

import pytest

from callout.edges.typesetting import Form, typeset
from callout.game.fold import new_game
from callout.game.profile.file import load_profile
from callout.language.shipped import languages
from callout.language.words import words_of
from callout.paper.practice_page import MOST, TEMPLATE, practice_page
from callout.paper.practice_text import advice, kind_name, practice_text
from callout.practice.facts import PLAIN, PLAIN_EVENTS, fact_of
from callout.practice.lesson import lesson
from callout.practice.report import Report, Tally
from tests.conftest import GUEST, HOME
from tests.english import WORDS

WHOLE = Tally(6, 2, 1, 1, 2)
DONE = Report(0, 2, "fast", 0.5, WHOLE, {"goal": Tally(5, 0), "foul": Tally(1, 2, 1, 1, 2)}, 1,
              900, 2_400, (("foul", 3),), {"foul": {"number": 1}})  # fmt: skip


def day(at_ms: int) -> str:
    return f"day {at_ms // 1000}"


def test_the_report_says_all_that_is_known() -> None:
    assert practice_text(WORDS, DONE) == (
        "Practice, level 2, pace fast: 10 calls, 50% by voice.\n\n"
        "                        right   late  wrong  missed   asked\n"
        "Baskets                     5      0      0       0       0\n"
        "Fouls                       1      2      1       1       2\n"
        "All                         6      2      1       1       2\n\n"
        "Reaction: median 0.9 s, nine of ten within 2.4 s.\n"
        "It is counted from the end of what was told to the beginning of your call.\n"
        "Called though nobody saw it: 1.\n"
        "Misheard, asked about or wrong, most often first: fouls 3 (number 1).\n\n"
        f"Train fouls: {advice(WORDS, 'foul')}\n"
        "Next: callout practice --level 1, or --pace slow\n"
    )


@pytest.mark.parametrize(
    ("level", "whole", "told"),
    [
        (0, Tally(9), "--level 1"), (2, Tally(19, 1), "--level 3"),
        (3, Tally(9), "Nothing is left"),
        (1, Tally(1, 0, 0, 9), "--lesson"), (3, Tally(1, 0, 0, 9), "--level 2"),
        (1, Tally(17, 3), "the same"),
    ],
)  # fmt: skip
def test_what_comes_next_goes_by_how_much_was_right(level: int, whole: Tally, told: str) -> None:
    done = replace(DONE, level=level, whole=whole, kinds={})
    assert told in practice_text(WORDS, done).splitlines()[-1]


def test_an_empty_practice_says_so() -> None:
    assert practice_text(WORDS, replace(DONE, whole=Tally())).startswith("Nothing was played")


def test_every_kind_of_call_has_a_name_and_advice() -> None:
    start = new_game(load_profile("youth-6-minute"), HOME, GUEST)
    found = {fact_of(call).kind for play in lesson(start) for call in play.calls}
    kinds = found | set(PLAIN.values()) | set(PLAIN_EVENTS.values())
    for language in languages():
        words = words_of(language)
        names = {kind_name(words, kind) for kind in kinds}
        assert len(names) == len({advice(words, kind) for kind in kinds} - {""}) == len(kinds)
        assert words("calls_others") not in names
        assert all(len(name) < 22 for name in names), "it has a column of 22"


def test_each_practice_is_a_column_and_each_day_is_named_once() -> None:
    results = [replace(DONE, at_ms=at) for at in (1_000, 1_500, 2_000)]
    page = practice_page(WORDS, results, day)
    assert [each["day"] for each in page["columns"]] == ["day 1", "", "day 2"]
    assert page["columns"][0]["shares"] == [60.0, 20.0, 10.0, 10.0]
    assert (page["columns"][0]["median"], page["top"]) == (900, 3_000)
    assert [each["name"] for each in page["weak"]] == ["fouls"]


def test_of_very_many_the_latest_are_drawn() -> None:
    page = practice_page(WORDS, [replace(DONE, at_ms=1_000 * at) for at in range(MOST + 5)], day)
    assert (page["count"], page["left_out"]) == (MOST, 5)
    assert page["columns"][-1]["day"] == f"day {MOST + 4}"


@pytest.mark.parametrize("count", [0, 1, MOST])
def test_the_page_can_be_set(count: int) -> None:
    times = [(None, None) if at % 3 == 1 else (500 * at, 900 * at) for at in range(count)]
    results = [
        replace(DONE, at_ms=1_000 * at, median_ms=median, p90_ms=p90)
        for at, (median, p90) in enumerate(times)
    ]
    pages = typeset(TEMPLATE, practice_page(WORDS, results, day), Form.PDF, 0)
    assert len(pages.files) == 1
    assert pages.files[0].startswith(b"%PDF")
    assert pages.unshown == ""
