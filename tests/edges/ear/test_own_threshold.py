"""A person's thresholds, kept between games."""

from __future__ import annotations

import re
import stat
from pathlib import Path

import pytest

from callout.edges.ear.options import MEASURED
from callout.edges.ear.own_threshold import HIGHEST, LOWEST, OwnEar, keep, own_ear_file, own_options
from callout.errors import InputError


def test_what_is_kept_is_what_the_ear_takes(tmp_path: Path) -> None:
    path = tmp_path / "new" / "ear.toml"
    assert own_options(path) == MEASURED
    keep(OwnEar(-2.5), path)
    own = own_options(path)
    assert (own.least_score, own.more_when_clear) == (-2.5, 0.0)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


@pytest.mark.parametrize(
    "text",
    ["", "least_score = 'low'", "least_score = ", "other = 1.0", f"least_score = {HIGHEST + 1}",
     f"least_score = {LOWEST - 1}", "least_score = nan",
     "least_score = 1" + "0" * 400, "a = " + "[" * 500, "[\n" * 5_000],
)  # fmt: skip
def test_a_file_that_somebody_spoiled_is_told_of_and_left_out(tmp_path: Path, text: str) -> None:
    path = tmp_path / "ear.toml"
    path.write_text(text, encoding="utf-8")
    told: list[str] = []
    assert own_options(path, told.append) == MEASURED
    (line,) = told
    assert re.match(rf"{re.escape(str(path))}(:\d+)?: expected", line)
    assert line.endswith("going on without it")


def test_a_file_that_cannot_be_read_is_told_of_and_left_out(tmp_path: Path) -> None:
    told: list[str] = []
    assert own_options(tmp_path / ("x" * 300), told.append) == MEASURED
    assert len(told) == 1


def test_where_none_was_kept_nothing_is_told(tmp_path: Path) -> None:
    told: list[str] = []
    assert (own_options(tmp_path / "ear.toml", told.append), told) == (MEASURED, [])


def test_one_that_is_kept_again_through_a_link_is_whole_and_the_link_stays(tmp_path: Path) -> None:
    """Common practice, no source: people keep their settings elsewhere, and link them."""
    path, real = tmp_path / "ear.toml", tmp_path / "elsewhere.toml"
    path.symlink_to(real)
    for least in (-2.5, 1.0):
        keep(OwnEar(least), path)
        assert own_options(real).least_score == least
    assert path.is_symlink()
    assert sorted(tmp_path.iterdir()) == [path, real], "no half-written file is left"


def test_a_place_that_cannot_be_written_is_told_of(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(InputError, match="cannot be written"):
        keep(OwnEar(0.0), tmp_path / "file" / "ear.toml")


def test_it_is_kept_among_the_users_own_settings(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Source: the XDG base directory specification, $XDG_CONFIG_HOME."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    assert own_ear_file() == tmp_path / "callout" / "ear.toml"
