"""The folders drawn in DEVELOPERS.md are those of the package."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
HOUSE = TEXT.split("```")[1]


def drawn() -> set[str]:
    """The folders of the drawing and the modules beside them, as paths within the package."""
    found: set[str] = set()
    room = ""
    for line in HOUSE.splitlines():
        if head := re.match(r"  (\w+)/ ", line):
            room = f"{head[1]}/"
            found.add(room)
        elif inner := re.match(r"    (\w+)/ ", line):
            found.add(f"{room}{inner[1]}/")
        elif module := re.match(r"  (\w+\.py) ", line):
            found.add(module[1])
    return found


def built() -> set[str]:
    """The same, as they lie in the package."""
    package = ROOT / "callout"
    folders = [p for p in package.rglob("*") if p.is_dir() and any(p.glob("*.*"))]
    rooms = {f"{p.relative_to(package).as_posix()}/" for p in folders if p.name != "__pycache__"}
    return rooms | {p.name for p in package.glob("*.py") if p.name != "__init__.py"}


def test_the_house_is_drawn_as_it_is_built() -> None:
    assert drawn() == built()


@pytest.mark.parametrize(
    "path", sorted(set(re.findall(r"`((?:tests|grammars|callout|models)/[\w./-]+)`", TEXT)))
)
def test_every_path_that_it_names_is_there(path: str) -> None:
    place = ROOT / path
    assert (place.parent if place.stem == "NAME" else place).exists()
