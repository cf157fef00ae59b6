"""What DEVELOPERS.md tells of the house is so."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
HOUSE = TEXT.split("```")[1]
PARTS = {"decisions"}
"""Folders that are drawn as one."""


def drawn() -> dict[str, set[str]]:
    """The modules that the drawing puts into each room; those of no room under an empty name."""
    rooms: dict[str, set[str]] = {}
    room = ""
    for line in HOUSE.splitlines():
        if head := re.match(r"  (\w+)/ ", line):
            room = head[1]
        rooms.setdefault(room, set()).update(re.findall(r"\w+\.py\b", line))
    return rooms


def built() -> dict[str, set[str]]:
    """The modules that there are."""
    rooms: dict[str, set[str]] = {}
    for path in (ROOT / "callout").rglob("*.py"):
        parts = path.relative_to(ROOT / "callout").parent.parts
        if path.name != "__init__.py" and not PARTS & set(parts):
            rooms.setdefault("/".join(parts), set()).add(path.name)
    return rooms


def test_the_house_is_drawn_as_it_is_built() -> None:
    assert {room: names for room, names in drawn().items() if names} == built()


@pytest.mark.parametrize(
    "path", sorted(set(re.findall(r"`((?:tests|grammars|callout|models)/[\w./-]+)`", TEXT)))
)
def test_every_path_that_it_names_is_there(path: str) -> None:
    place = ROOT / path
    assert (place.parent if place.stem == "NAME" else place).exists()
