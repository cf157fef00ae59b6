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
from callout.table.book.chain import Row, first_hash, follow, game_of, mark, next_hash, proven

GAME = bytes(range(16))
START = first_hash(GAME, '{"profile":"nfhs-2026"}')
TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
COLUMNS = st.tuples(
    st.integers(1, 999), TEXT, TEXT, TEXT, st.integers(0, 72_000), st.integers(0, 2**40), TEXT
)


@dataclass
class Chain:
    """Rows with their hashes."""

    rows: list[Row]

    @classmethod
    def of(cls, columns: list[Row], game: bytes = GAME, former: bytes = START) -> Chain:
        """The rows of these columns, linked."""
        rows: list[Row] = []
        for each in columns:
            own = next_hash(game, former, each)
            rows.append((*each, former, own, game))
            former = own
        return cls(rows)


@pytest.mark.parametrize("game", [GAME, b""])
def test_the_definition(game: bytes) -> None:
    """Version 2 had no id: its hashes are of the same form with none."""
    text = '{"profile":"nfhs-2026"}'
    start = first_hash(game, text)
    assert hashlib.sha256(game + text.encode()).digest() == start
    told = next_hash(game, start, (1, "undo", "{}", "voice", 0, 5, "[]"))
    line = '[1,"undo","{}","voice",0,5,"[]"]'
    assert told == hashlib.sha256(game + start + line.encode()).digest()


def test_a_mark_has_80_bits_in_groups_of_four_digits() -> None:
    told = mark(START)
    assert told.replace("-", "") == START.hex()[:20]
    assert [len(group) for group in told.split("-")] == [4] * 5


def test_rows_of_another_game_do_not_follow() -> None:
    columns: list[Row] = [(1, "undo", "{}", "voice", 0, 5, "[]")]
    other = bytes(16)
    rows = Chain.of(columns, other).rows
    assert proven(rows[0])
    assert game_of(rows[0]) == other
    with pytest.raises(CalloutError, match="entry 1 is of another game"):
        follow(START, GAME, rows)


@pytest.mark.parametrize("game", [b"", None])
def test_a_row_of_version_2_is_of_the_game_without_an_id(game: bytes | None) -> None:
    columns: list[Row] = [(1, "undo", "{}", "voice", 0, 5, "[]")]
    (row,) = Chain.of(columns, b"").rows
    told = row if game is not None else row[:-1]
    assert proven(told)
    assert game_of(told) == b""
    assert follow(START, b"", [told]) == row[-2]


@given(st.lists(COLUMNS, max_size=6))
def test_rows_as_they_were_written_follow(columns: list[Row]) -> None:
    rows = Chain.of(columns).rows
    assert follow(START, GAME, rows) == (rows[-1][-2] if rows else START)
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
        follow(START, GAME, [*rows[:at], changed, *rows[at + 1 :]])


@given(st.lists(COLUMNS, min_size=2, max_size=6, unique_by=lambda row: row[0]), st.data())
def test_a_row_that_is_missing_shows_at_the_next(columns: list[Row], data: st.DataObject) -> None:
    rows = Chain.of(columns).rows
    at = data.draw(st.integers(0, len(rows) - 2))
    with pytest.raises(CalloutError, match=f"entry {rows[at + 1][0]} does not follow"):
        follow(START, GAME, [*rows[:at], *rows[at + 1 :]])


@pytest.mark.parametrize("row", [(), (1,), (1, "undo", "{}", "voice", 0, 5, "[]", START)])
def test_a_row_without_its_hashes_is_not_proven(row: Row) -> None:
    assert not proven(row)
