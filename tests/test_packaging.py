"""The wheel, installed where there is no checkout."""

from __future__ import annotations

import os
import subprocess
import sys
import tomllib
import venv
import zipfile
from pathlib import Path

import pytest

from tests.patience import HANG_S

ROOT = Path(__file__).parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def run(command: list[str | Path], folder: Path) -> subprocess.CompletedProcess[str]:
    """Run a command away from the checkout."""
    libraries = [path for path in sys.path if path.endswith("site-packages")]
    return subprocess.run(
        [str(part) for part in command], cwd=folder, capture_output=True, text=True, timeout=HANG_S,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(libraries)},
    )  # fmt: skip


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built from this checkout by the build library that is installed here."""
    folder = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps",
               "--no-build-isolation", "--wheel-dir", str(folder), str(ROOT)]  # fmt: skip
    done = subprocess.run(command, capture_output=True, text=True, timeout=HANG_S)
    assert done.returncode == 0, done.stderr
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A fresh environment with the wheel in it; the libraries are those of this one."""
    folder = tmp_path_factory.mktemp("fresh")
    venv.create(folder, with_pip=False)
    python = folder / ("Scripts" if os.name == "nt" else "bin") / "python"
    command = [sys.executable, "-m", "pip", "--python", str(python), "install", "--quiet",
               "--no-deps", "--no-index", str(wheel)]  # fmt: skip
    done = subprocess.run(command, capture_output=True, text=True, timeout=HANG_S)
    assert done.returncode == 0, done.stderr
    return python


def test_the_wheel_holds_every_file_that_is_not_code(wheel: Path) -> None:
    packed = set(zipfile.ZipFile(wheel).namelist())
    kept = [
        path.relative_to(ROOT).as_posix()
        for folder in ("grammars", "models", "callout")
        for path in (ROOT / folder).rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    ]
    moved = {name if name.startswith("callout/") else f"callout/_data/{name}" for name in kept}
    assert len(moved) > 100
    assert moved <= packed


def test_the_wheel_holds_nothing_else(wheel: Path) -> None:
    others = [
        name
        for name in zipfile.ZipFile(wheel).namelist()
        if not name.startswith(("callout/", f"callout-{PROJECT['version']}.dist-info/"))
    ]
    assert others == []
    assert wheel.stat().st_size < 4_000_000, "models are fetched, never packed"


def test_installed_it_finds_its_grammar_its_leagues_and_its_models(
    installed: Path, tmp_path: Path
) -> None:
    program = (
        "import callout.data, callout.edges.models.catalogue as models\n"
        "from callout.game.profile.file import profile_names\n"
        "from callout.language.check import load_language\n"
        "from callout.language.grammar import language_folder\n"
        "print(callout.data.PACKAGE)\n"
        "print(len(load_language(language_folder()).calls) > 50)\n"
        "print(*profile_names())\n"
        "print(*models.known_models())\n"
    )
    done = run([installed, "-c", program], tmp_path)
    assert done.returncode == 0, done.stderr
    package, calls, leagues, models = done.stdout.splitlines()
    assert Path(package).is_relative_to(installed.parents[1]), "not the checkout's"
    assert calls == "True"
    assert leagues.split() == sorted(p.stem for p in (ROOT / "callout/profiles").glob("*.toml"))
    assert models.split() == ["vosk-model-en", "joe"]


def test_installed_its_program_keeps_a_game(installed: Path, tmp_path: Path) -> None:
    program = installed.with_name("callout")
    done = run([program, "replay", ROOT / "tests" / "games" / "first.game"], tmp_path)
    assert done.returncode == 0, done.stderr
    assert "as expected" in done.stdout


def test_a_dependency_below_1_0_has_an_upper_bound() -> None:
    """Source: Semantic Versioning 2.0.0, item 4: below 1.0 anything may change."""
    young = [need for need in PROJECT["dependencies"] if ">=0." in need]
    assert young
    assert [need for need in young if "<" not in need] == []


def test_the_recognizer_may_be_the_one_version_that_macos_has() -> None:
    """Source: the wheels that vosk's publisher offers: the newest for macOS is 0.3.44."""
    assert "vosk>=0.3.44,<0.4" in PROJECT["dependencies"]


def test_what_is_gpl_is_an_extra() -> None:
    """Source: piper-tts' own licence, GPL-3.0-or-later; callout is Apache-2.0."""
    assert not [need for need in PROJECT["dependencies"] if need.startswith(("piper", "joe"))]
    assert any(need.startswith("piper-tts") for need in PROJECT["optional-dependencies"]["voice"])
    assert PROJECT["license"] == "Apache-2.0"
