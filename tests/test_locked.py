"""What make installs is pinned with hashes, within the ranges that pyproject.toml allows.

Source: pip's documentation of secure installs, PEP 508 and PEP 735; read by the library packaging.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from importlib.metadata import version
from pathlib import Path

import pytest
from packaging.requirements import Requirement

from tests import advisories
from tests.licences import LOCKED, pins, table

ROOT = Path(__file__).parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
EXTRAS = PROJECT["project"]["optional-dependencies"]
ALLOWED: dict[str, list[str]] = {
    "program": [*PROJECT["project"]["dependencies"], *EXTRAS["voice"], *EXTRAS["league"]],
    "keys": EXTRAS["keys"],
    **PROJECT["dependency-groups"],
}
"""The packages that may be installed, by the file that pins them."""
FILES = sorted(LOCKED.glob("*.txt"))


def test_each_list_of_requirements_has_a_file_of_pins() -> None:
    assert {path.stem for path in FILES} == set(ALLOWED)


@pytest.mark.parametrize("name", ALLOWED)
def test_every_requirement_is_pinned_within_its_range(name: str) -> None:
    pinned = pins(f"{name}.txt")
    for text in ALLOWED[name]:
        wanted = Requirement(text)
        versions = pinned[wanted.name.lower()]
        assert versions, text
        assert all(wanted.specifier.contains(each) for each in versions), text


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_pin_has_a_hash_and_no_address(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    blocks = re.split(r"^(?=\w)", text, flags=re.MULTILINE)[1:]
    assert blocks
    assert [b for b in blocks if not re.search(r"^    --hash=sha256:[0-9a-f]{64}", b, re.M)] == []
    assert "://" not in text
    assert "@" not in text


def test_no_two_files_pin_different_versions() -> None:
    seen: dict[str, set[str]] = {}
    for path in FILES:
        for package, versions in pins(path.name).items():
            assert seen.setdefault(package, versions) == versions, package


@pytest.mark.parametrize("package", sorted({**pins("program.txt"), **pins("dev.txt")}))
def test_what_is_installed_is_what_is_pinned(package: str) -> None:
    if package == "colorama":  # pinned for Windows alone
        return
    assert version(package) in {**pins("program.txt"), **pins("dev.txt")}[package]


def test_the_list_of_licences_is_as_the_packages_say() -> None:
    assert (LOCKED / "LICENCES.md").read_text(encoding="utf-8") == table()
    assert "not stated" not in table()


def known(pinned: str) -> advisories.Packages:
    """The auditor's report on two packages, one with a vulnerability."""
    bad = {"id": "PYSEC-0000-1", "fix_versions": ["1.1"]}
    return [{"name": "sound", "version": "2.0", "vulns": []},
            {"name": "holed", "version": "1.0", "vulns": [bad]}]  # fmt: skip


def unknown(pinned: str) -> advisories.Packages:
    """The auditor's report on a package for which a registry has no advisories."""
    return [{"name": "sound", "skip_reason": "not found"}]


def unreachable(pinned: str) -> advisories.Packages:
    """Fails as without a network."""
    raise OSError("no route to host")


def test_a_known_vulnerability_fails_the_check(capsys: pytest.CaptureFixture[str]) -> None:
    assert advisories.main(["a.txt"], known) == 1
    assert "holed 1.0: PYSEC-0000-1, mended in 1.1" in capsys.readouterr().out


@pytest.mark.parametrize("ask", [unknown, unreachable])
def test_where_nothing_can_be_asked_that_is_said(
    ask: Callable[[str], advisories.Packages], capsys: pytest.CaptureFixture[str]
) -> None:
    assert advisories.main(["a.txt"], ask) == 0
    assert "0 packages asked about, 1 could not be" in capsys.readouterr().out
