"""The running hash, checked against SHA-256 reckoned apart. Source: FIPS 180-4."""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st

from callout.errors import CalloutError
from callout.plain import plain
from callout.table.chain import Row, first_hash, follow, mark, next_hash, proven

START = first_hash('{"profile":"nfhs-2026"}')
TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
COLUMNS = st.tuples(
    st.integers(1, 999), TEXT, TEXT, TEXT, st.integers(0, 72_000), st.integers(0, 2**40), TEXT
)


@dataclass
class Chain:
    """Rows with their hashes."""

    rows: list[Row]

    @classmethod
    def of(cls, columns: list[Row]) -> Chain:
        """The rows of these columns, linked."""
        rows: list[Row] = []
        former = START
        for each in columns:
            own = next_hash(former, each)
            rows.append((*each, former, own))
            former = own
        return cls(rows)


def test_the_definition() -> None:
    assert hashlib.sha256(b'{"profile":"nfhs-2026"}').digest() == START
    told = next_hash(START, (1, "undo", "{}", "voice", 0, 5, "[]"))
    line = '[1,"undo","{}","voice",0,5,"[]"]'
    assert told == hashlib.sha256(START + line.encode()).digest()
    assert mark(told) == f"{told.hex()[:4]}-{told.hex()[4:8]}"


@given(st.lists(COLUMNS, max_size=6))
def test_rows_as_they_were_written_follow(columns: list[Row]) -> None:
    rows = Chain.of(columns).rows
    assert follow(START, rows) == (rows[-1][-1] if rows else START)
    assert all(proven(row) for row in rows)


@given(st.lists(COLUMNS, min_size=1, max_size=6), st.data())
def test_any_other_value_in_any_column_shows(columns: list[Row], data: st.DataObject) -> None:
    rows = Chain.of(columns).rows
    at = data.draw(st.integers(0, len(rows) - 1))
    column = data.draw(st.integers(0, len(rows[at]) - 1))
    other = data.draw(st.one_of(st.integers(), TEXT, st.binary(max_size=40), st.none()))
    changed = (*rows[at][:column], other, *rows[at][column + 1 :])
    if changed == tuple(rows[at]):
        return
    assert not proven(changed)
    with pytest.raises(
        CalloutError, match=re.escape(plain(f"entry {changed[0]} is not as it was recorded"))
    ):
        follow(START, [*rows[:at], changed, *rows[at + 1 :]])


@given(st.lists(COLUMNS, min_size=2, max_size=6, unique_by=lambda row: row[0]), st.data())
def test_a_row_that_is_missing_shows_at_the_next(columns: list[Row], data: st.DataObject) -> None:
    rows = Chain.of(columns).rows
    at = data.draw(st.integers(0, len(rows) - 2))
    with pytest.raises(CalloutError, match=f"entry {rows[at + 1][0]} does not follow"):
        follow(START, [*rows[:at], *rows[at + 1 :]])


@pytest.mark.parametrize("row", [(), (1,), (1, "undo", "{}", "voice", 0, 5, "[]", START)])
def test_a_row_without_its_hashes_is_not_proven(row: Row) -> None:
    assert not proven(row)
