"""A learned voice between games: what is read is what was kept, or it is refused with a reason."""

from __future__ import annotations

import stat
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from callout.edges.ear.options import Options
from callout.edges.ear.own_voice.kept import keep, voice_file, with_voice
from callout.edges.ear.own_voice.network import Change, Network
from callout.edges.ear.own_voice.speaker import VECTOR
from callout.edges.ear.recognizer import Models
from callout.edges.models.folder import NETWORK
from callout.errors import CalloutError, ModelError

VECTORS = np.random.default_rng(5).standard_normal((20, VECTOR)).astype(np.float32)


@pytest.fixture(scope="module")
def file(model: Path) -> bytes:
    return (model / NETWORK).read_bytes()


@pytest.fixture(scope="module")
def network(file: bytes) -> Network:
    return Network(file)


def some_change(network: Network, seed: int = 4) -> Change:
    random = np.random.default_rng(seed)
    return {name: (0.1 * random.standard_normal(each.shape)).astype(np.float32)
            for name, each in network.no_change().items()}  # fmt: skip


def parts_of(path: Path) -> dict[str, Any]:
    """All that a kept voice holds, to be spoiled."""
    with np.load(path) as kept:
        return dict(kept)


def test_a_kept_voice_changes_the_network_as_it_was_learned(
    file: bytes, network: Network, tmp_path: Path
) -> None:
    path = tmp_path / "voices" / "ann.npz"
    change = some_change(network)
    keep(change, VECTORS, file, path)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700
    assert path.stat().st_size < 40_000
    features = 10.0 * np.random.default_rng(1).standard_normal((30, 40)).astype(np.float32)
    vector = np.zeros(30, np.float32)
    right = network.hear(features, vector, change).answers
    kept = Network(with_voice(file, path).network).hear(features, vector, {}).answers
    without = network.hear(features, vector, {}).answers
    assert np.abs(kept - right).mean() < 0.1 * np.abs(without - right).mean()


def test_no_variance_falls_below_zero(file: bytes, network: Network, tmp_path: Path) -> None:
    path = tmp_path / "ann.npz"
    strong = {name: each + 5.0 for name, each in network.no_change().items()}
    keep(strong, VECTORS, file, path)
    for norm in Network(with_voice(file, path).network).norms:
        assert norm.variance.min() >= -1e-6


def test_a_voice_of_another_network_or_none_is_refused(
    file: bytes, network: Network, tmp_path: Path
) -> None:
    path = tmp_path / "ann.npz"
    keep(some_change(network), VECTORS, file, path)
    with pytest.raises(ModelError, match="another recognizer; learn it again"):
        with_voice(file[:-1] + b"x", path)
    path.write_bytes(path.read_bytes()[:-20])
    with pytest.raises(ModelError, match="expected changes to a network"):
        with_voice(file, path)
    with pytest.raises(ModelError):
        with_voice(file, tmp_path / "bob.npz")


@pytest.mark.parametrize("times", [np.nan, np.inf, 100.0])
def test_a_voice_that_is_no_voice_is_refused(
    file: bytes, network: Network, tmp_path: Path, times: float
) -> None:
    path = tmp_path / "ann.npz"
    keep({**network.no_change(), "delta": np.ones((2, 120), np.float32)}, VECTORS, file, path)
    parts = parts_of(path)
    np.savez(path, **{**parts, "delta step": times * parts["delta step"]})
    with pytest.raises(ModelError, match="expected a learned voice, got another file"):
        with_voice(file, path)
    parts.pop("delta")
    np.savez(path, **parts)
    with pytest.raises(ModelError, match="expected a learned voice, got another file"):
        with_voice(file, path)


def test_whose_voice_it_is_is_kept_and_needed(
    file: bytes, network: Network, tmp_path: Path
) -> None:
    path = tmp_path / "ann.npz"
    keep(some_change(network), VECTORS, file, path)
    assert np.array_equal(with_voice(file, path).speaker, VECTORS)
    parts = parts_of(path)
    for wrong in (np.nan * VECTORS, VECTORS[:, 1:], VECTORS[0], 1e6 * VECTORS):
        np.savez(path, **{**parts, "speaker": wrong})
        with pytest.raises(ModelError, match="whose voice it is; learn it again"):
            with_voice(file, path)
    parts.pop("speaker")
    np.savez(path, **parts)
    with pytest.raises(ModelError, match="whose voice it is; learn it again"):
        with_voice(file, path)


@pytest.mark.parametrize("name", ["../ann", "", "a b", "-ann", "a" * 41, "ann.npz"])
def test_a_name_that_is_none_for_a_file_is_refused(name: str) -> None:
    with pytest.raises(CalloutError, match="a name of letters and digits"):
        voice_file(name)


def test_the_ear_hears_by_the_voice_that_was_kept(
    model: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "ann.npz"
    heard = Models(model, tmp_path / "plain").network_heard
    keep(some_change(Network(heard)), VECTORS, heard, path)
    own = Models(model, tmp_path / "own", Options(voice=str(path)))
    assert own.network_heard == with_voice(heard, path).network != heard
    path.write_bytes(b"spoiled")
    without = Models(model, tmp_path / "without", Options(voice=str(path)))
    assert without.network_heard == heard
    assert f"ear: {path}: expected changes to a network" in capsys.readouterr().err
