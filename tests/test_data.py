"""Where the files that are not code are found."""

from __future__ import annotations

from pathlib import Path

import pytest

from callout import data


def test_in_a_checkout_they_lie_beside_the_package() -> None:
    root = Path(data.__file__).parents[1]
    assert data.data_folder("grammars") == root / "grammars"
    assert (data.data_folder("models") / "models.toml").is_file()


def test_in_a_wheel_they_are_packed_with_the_program(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    packed = tmp_path / "callout" / "_data" / "grammars"
    packed.mkdir(parents=True)
    monkeypatch.setattr(data, "PACKAGE", tmp_path / "callout")
    assert data.data_folder("grammars") == packed
    assert data.data_folder("models") == tmp_path / "models"
