"""A person's thresholds, kept between games."""

from __future__ import annotations

import stat
from pathlib import Path

import pytest

from callout.edges.decoder import Options
from callout.edges.own_ear import HIGHEST, LOWEST, OwnEar, keep, own_ear_file, own_options
from callout.errors import InputError


def test_what_is_kept_is_what_the_ear_takes(tmp_path: Path) -> None:
    path = tmp_path / "new" / "ear.toml"
    assert own_options(path) == {}
    keep(OwnEar(-2.5), path)
    own = Options(**own_options(path))
    assert (own.least_score, own.more_when_clear) == (-2.5, 0.0)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


@pytest.mark.parametrize(
    "text",
    ["", "least_score = 'low'", "least_score = ", "other = 1.0", f"least_score = {HIGHEST + 1}",
     f"least_score = {LOWEST - 1}", "least_score = nan",
     "least_score = 1" + "0" * 400, "a = " + "[" * 500, "[\n" * 5_000],
)  # fmt: skip
def test_a_file_that_somebody_spoiled_is_told_of(tmp_path: Path, text: str) -> None:
    path = tmp_path / "ear.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=r"ear\.toml(:\d+)?: expected"):
        own_options(path)


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


def test_a_place_that_cannot_be_seen_is_told_of(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="file name too long"):
        own_options(tmp_path / ("a" * 300))
