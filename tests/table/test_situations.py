"""The worked situations of the rule books: each is a game script, or is listed with its reason."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

import pytest

GAMES = Path(__file__).parent.parent / "games"
BOOKS = {"fiba": range(1, 64), "nfhs": range(64, 92), "ncaa": range(92, 95), "nba": range(95, 98)}
"""The numbers of the situations that are taken from each rule book."""
FIRST = re.compile(r"# (\d+): \S")
ALONE = "referees-alone.txt"


def scripts(book: str) -> list[tuple[int, Path]]:
    """Each script of a book with the number in its first line."""
    found = []
    for path in sorted((GAMES / book).glob("*.game")):
        first = FIRST.match(path.read_text(encoding="utf-8"))
        assert first, f"{path}: expected '# NUMBER: …' in the first line"
        found.append((int(first[1]), path))
    return found


def alone(book: str) -> dict[int, str]:
    """The situations that are the referees' alone, each with its reason."""
    path = GAMES / book / ALONE
    if not path.exists():
        return {}
    rows = [row.partition(":") for row in path.read_text(encoding="utf-8").splitlines() if row]
    return {int(number): reason.strip() for number, _, reason in rows}


@pytest.mark.parametrize("book", BOOKS)
def test_every_situation_is_played_or_listed(book: str, capsys: pytest.CaptureFixture[str]) -> None:
    played = Counter(number for number, _ in scripts(book))
    listed = alone(book)
    assert all(listed.values())
    assert set(played) | set(listed) == set(BOOKS[book])
    assert not set(played) & set(listed)
    with capsys.disabled():
        print(
            f" {book}: {len(played)} played in {played.total()} scripts, {len(listed)} listed",
            end="",
        )


def test_a_file_is_named_after_its_situation() -> None:
    for book in BOOKS:
        for number, path in scripts(book):
            assert path.name.startswith(f"{number:02}-"), path


@pytest.mark.parametrize(
    ("book", "numbers", "leagues"),
    [
        # FIBA's article 44 was changed from 2022 to 2024.
        ("fiba", (53, 54, 55, 56, 57, 58, 59), ("fiba-2022", "fiba-2024")),
        # The bonus: at seven and ten of a half, since 2023-24 at five of a quarter.
        ("nfhs", (65, 66, 67, 68, 69, 89), ("nfhs-2022", "nfhs-2026")),
    ],
)
def test_where_two_editions_differ_both_are_played(
    book: str, numbers: tuple[int, ...], leagues: tuple[str, ...]
) -> None:
    for number in numbers:
        texts = [path.read_text(encoding="utf-8") for n, path in scripts(book) if n == number]
        for league in leagues:
            assert any(f"\nprofile: {league}\n" in text for text in texts), (number, league)
