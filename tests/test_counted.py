"""Counts in words. Source: English grammar."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from callout.counted import counted

PACKAGE = Path(__file__).parent.parent / "callout"

FIXED = re.compile(r"\{(?!counted)[^{}]*\} (?:entries|fixtures|books|results|files)\b")
"""A count in a printed line that would read `1 entries`."""

NEVER_ONE = ("expected at most {", "{one.entry} entries")
"""Limits, and the entries of an approved book: its end and its approval are two."""


@pytest.mark.parametrize(
    ("count", "told"), [(0, "0 entries"), (1, "1 entry"), (2, "2 entries"), (1_000, "1000 entries")]
)
def test_one_is_told_from_several(count: int, told: str) -> None:
    assert counted(count, "entry", "entries") == told


def test_a_plural_is_the_word_with_an_s_unless_it_is_given() -> None:
    assert (counted(1, "name"), counted(3, "name")) == ("1 name", "3 names")


def test_no_line_counts_without_it() -> None:
    found = [
        f"{path.relative_to(PACKAGE)}:{number}: {line.strip()}"
        for path in sorted(PACKAGE.rglob("*.py"))
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1)
        if FIXED.search(line) and not any(each in line for each in NEVER_ONE)
    ]
    assert found == []
