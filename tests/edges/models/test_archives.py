"""Archives by HTTP and by Maven, against a server and a program of the test's own."""

from __future__ import annotations

import os
import random
import socket
from collections.abc import Iterator
from pathlib import Path

import pytest

from callout.edges.models import archives
from callout.edges.models.archives import BrokenOffError, UnreachableError, by_maven, download
from tests.edges.web import Site, web_server

CONTENT = random.Random(1).randbytes(3_000_000)
COORDINATES = "org.example:speech:1.2:aar"


@pytest.fixture
def site(monkeypatch: pytest.MonkeyPatch) -> Iterator[Site]:
    """A site with one file, reached without any proxy."""
    monkeypatch.setenv("no_proxy", "127.0.0.1")
    with web_server(Site({"/model.zip": CONTENT})) as site:
        yield site


def get(
    site: Site, target: Path, name: str = "model.zip", most_bytes: int = len(CONTENT)
) -> list[tuple[int, int | None]]:
    told: list[tuple[int, int | None]] = []

    def tell(done: int, of: int | None) -> None:
        told.append((done, of))

    assert download(site.base + name, target, tell, most_bytes) == target
    return told


def test_a_download_is_whole_and_tells_how_far_it_is(site: Site, tmp_path: Path) -> None:
    told = get(site, tmp_path / "model.zip")
    assert (tmp_path / "model.zip").read_bytes() == CONTENT
    assert told == sorted(told)
    assert len(told) > 5
    assert told[-1] == (len(CONTENT), len(CONTENT))
    assert list(tmp_path.iterdir()) == [tmp_path / "model.zip"]


def test_what_broke_off_in_an_earlier_run_goes_on(site: Site, tmp_path: Path) -> None:
    part = tmp_path / "model.zip.part"
    part.write_bytes(CONTENT[:1_234_567])
    told = get(site, tmp_path / "model.zip")
    assert site.asked == [("/model.zip", "bytes=1234567-")]
    assert (tmp_path / "model.zip").read_bytes() == CONTENT
    assert told[0][0] > 1_234_567
    assert told[-1] == (len(CONTENT), len(CONTENT))
    assert not part.exists()


def test_what_breaks_off_is_taken_up_at_once(site: Site, tmp_path: Path) -> None:
    site.breaks = [1_000_000, 500_000]
    get(site, tmp_path / "model.zip")
    assert [wanted for _, wanted in site.asked] == [None, "bytes=1000000-", "bytes=1500000-"]
    assert (tmp_path / "model.zip").read_bytes() == CONTENT


def test_what_breaks_off_again_and_again_is_kept_for_later(site: Site, tmp_path: Path) -> None:
    site.breaks = [100] * 20
    with pytest.raises(BrokenOffError, match=f"broke off after 400 of {len(CONTENT)} bytes"):
        get(site, tmp_path / "model.zip")
    assert len(site.asked) == archives.ATTEMPTS
    assert (tmp_path / "model.zip.part").read_bytes() == CONTENT[:400]
    assert not (tmp_path / "model.zip").exists()


def test_a_line_that_brings_nothing_is_not_asked_for_ever(site: Site, tmp_path: Path) -> None:
    site.breaks = [0] * 20
    with pytest.raises(BrokenOffError, match="broke off after 0 of"):
        get(site, tmp_path / "model.zip")
    assert len(site.asked) == 1


def test_a_server_without_ranges_is_read_from_the_start(site: Site, tmp_path: Path) -> None:
    site.ranges = False
    (tmp_path / "model.zip.part").write_bytes(b"x" * 1000)
    get(site, tmp_path / "model.zip")
    assert (tmp_path / "model.zip").read_bytes() == CONTENT


def test_a_part_that_is_whole_already_is_taken(site: Site, tmp_path: Path) -> None:
    (tmp_path / "model.zip.part").write_bytes(CONTENT)
    get(site, tmp_path / "model.zip")
    assert (tmp_path / "model.zip").read_bytes() == CONTENT


@pytest.mark.parametrize("length", ["abc", "-5", "+5", "\xb2", "1" * 40])
def test_a_length_that_is_no_number_is_said(site: Site, tmp_path: Path, length: str) -> None:
    """Source: RFC 9110, section 8.6: a Content-Length is digits."""
    site.length = length
    with pytest.raises(UnreachableError, match="expected a Content-Length in digits, got"):
        get(site, tmp_path / "model.zip")
    assert list(tmp_path.iterdir()) == []


def test_without_a_length_all_that_comes_is_taken(site: Site, tmp_path: Path) -> None:
    site.length = ""
    assert get(site, tmp_path / "model.zip")[-1] == (len(CONTENT), None)
    assert (tmp_path / "model.zip").read_bytes() == CONTENT


@pytest.mark.parametrize("length", [None, ""], ids=["told before", "not told"])
@pytest.mark.parametrize("before", [0, 1_000], ids=["from the start", "gone on"])
def test_more_than_the_file_can_have_is_refused_and_thrown_away(
    site: Site, tmp_path: Path, length: str | None, before: int
) -> None:
    site.length = length
    if before:
        (tmp_path / "model.zip.part").write_bytes(CONTENT[:before])
    with pytest.raises(UnreachableError, match="expected at most 1000000 bytes, got"):
        get(site, tmp_path / "model.zip", most_bytes=1_000_000)
    assert list(tmp_path.iterdir()) == []


def test_what_is_not_there_is_said_with_the_servers_answer(site: Site, tmp_path: Path) -> None:
    with pytest.raises(UnreachableError, match=r"^answers 404$"):
        get(site, tmp_path / "other.zip", "other.zip")
    assert list(tmp_path.iterdir()) == []


def test_a_machine_that_does_not_answer_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("no_proxy", "127.0.0.1")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    with pytest.raises(UnreachableError, match="refused"):
        download(f"http://127.0.0.1:{port}/model.zip", tmp_path / "model.zip", lambda *_: None, 9)


def maven(folder: Path, monkeypatch: pytest.MonkeyPatch, script: str) -> None:
    """Put a program named mvn, and nothing else of that name, on the path."""
    program = folder / "mvn"
    program.write_text("#!/bin/sh\n" + script, encoding="utf-8")
    program.chmod(0o755)
    monkeypatch.setenv("PATH", f"{folder}{os.pathsep}/usr/bin{os.pathsep}/bin")


@pytest.fixture
def work(tmp_path: Path) -> Path:
    """Where Maven is to put the archive."""
    folder = tmp_path / "work"
    folder.mkdir()
    return folder


def test_maven_is_asked_for_the_coordinates(
    tmp_path: Path, work: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    maven(tmp_path, monkeypatch, f'echo "$@" > "{tmp_path}/asked"; echo ok > speech-1.2.aar')
    assert by_maven(COORDINATES, work) == work / "speech-1.2.aar"
    asked = (tmp_path / "asked").read_text().split()
    assert "dependency:copy" in asked
    assert f"-Dartifact={COORDINATES}" in asked
    assert f"-DoutputDirectory={work}" in asked


def test_what_maven_complains_of_is_said_in_one_line(
    tmp_path: Path, work: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    maven(tmp_path, monkeypatch, 'echo "[ERROR] no such artifact"; echo "[ERROR] more"; exit 1')
    with pytest.raises(UnreachableError, match=r"^\[ERROR\] no such artifact$"):
        by_maven(COORDINATES, work)


def test_a_maven_that_fails_silently_is_said(
    tmp_path: Path, work: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    maven(tmp_path, monkeypatch, "exit 1")
    with pytest.raises(UnreachableError, match="no reason given"):
        by_maven(COORDINATES, work)


def test_a_maven_that_brings_nothing_is_said(
    tmp_path: Path, work: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    maven(tmp_path, monkeypatch, "exit 0")
    with pytest.raises(UnreachableError, match=r"mvn brought no speech-1\.2\.aar"):
        by_maven(COORDINATES, work)


def test_a_maven_that_hangs_is_left(
    tmp_path: Path, work: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(archives, "MAVEN_TIMEOUT_S", 0.2)
    maven(tmp_path, monkeypatch, "exec sleep 30")
    with pytest.raises(UnreachableError, match="did not end within"):
        by_maven(COORDINATES, work)


def test_a_machine_without_maven_is_said(work: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", str(work))
    with pytest.raises(UnreachableError, match="mvn is not installed"):
        by_maven(COORDINATES, work)
