"""The folders drawn in DEVELOPERS.md are those of the package."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from callout.game.figures.checklist import due_s
from callout.game.profile.file import load_profile
from callout.language.call_file import CallFile

ROOT = Path(__file__).parent.parent
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
HOUSE = TEXT.split("```")[1]


def drawn() -> set[str]:
    """The folders of the drawing and the modules beside them, as paths within the package."""
    found: set[str] = set()
    room = within = ""
    for line in HOUSE.splitlines():
        if head := re.match(r"  (\w+)/ ", line):
            room = f"{head[1]}/"
            found.add(room)
        elif inner := re.match(r"    (\w+)/ ", line):
            within = f"{room}{inner[1]}/"
            found.add(within)
        elif inmost := re.match(r"      (\w+)/ ", line):
            found.add(f"{within}{inmost[1]}/")
        elif module := re.match(r"  (\w+\.py) ", line):
            found.add(module[1])
    return found


def built() -> set[str]:
    """The same, as they lie in the package."""
    package = ROOT / "callout"
    folders = [p for p in package.rglob("*") if p.is_dir() and any(p.glob("*.*"))]
    # What a browser and a database are sent.
    folders = [p for p in folders if p.name not in ("static", "sql")]
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


def test_the_league_that_it_shows_can_be_played(tmp_path: Path) -> None:
    (text,) = re.findall(r"```toml\n(.*?)```", TEXT, re.DOTALL)
    shutil.copytree(ROOT / "callout" / "profiles", tmp_path, dirs_exist_ok=True)
    (tmp_path / "ours.toml").write_text(text, encoding="utf-8")
    ours = load_profile("ours", tmp_path)
    assert (ours.periods.count, ours.periods.length_s) == (2, 960)
    assert ours.before.order == ("tip", "arrive", "lists", "banner", "starters")
    assert due_s(ours, "banner") == 900


@pytest.mark.parametrize("key", ["say", "seldom", "does", "keys", "examples", "refused", "decoys"])
def test_the_parts_of_a_call_s_file_are_those_that_it_names(key: str) -> None:
    assert key in CallFile.model_fields
    assert f"`{key}`" in TEXT
