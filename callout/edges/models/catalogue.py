"""Recognizer models and voices: what there is, where it lies, and whether it is whole."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Final

from pydantic import BaseModel, ConfigDict, ValidationError

from callout.data import data_folder
from callout.edges import folders
from callout.edges.models.folder import NEEDED, NETWORK
from callout.errors import InputError, ModelError, why
from callout.reading import is_file, is_folder, read_toml

RECOGNIZER: Final = "vosk-model-en"
"""The model by which English is heard."""


class File(BaseModel):
    """One file of a model."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    bytes: int
    sha256: str


class Model(BaseModel):
    """One entry of models.toml."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    what: str
    origin: str
    licence: str
    rate_hz: int
    """Hertz."""
    files: Mapping[str, File]
    change: str | None = None
    """The file beside models.toml that changes its network."""
    download: str | None = None
    """The publisher's name for it."""
    maven: str | None = None
    maven_folder: str = ""
    """Where in the Maven archive its files lie."""
    package: str | None = None
    """The Python package that brings it."""
    package_folder: str = ""


@dataclass(frozen=True, slots=True)
class Fault:
    """A file that is not as it should be."""

    name: str
    what: str

    def __str__(self) -> str:
        """The file's name, and what is wrong with it."""
        return f"{self.name}: {self.what}"


@cache
def known_models(path: Path | None = None) -> Mapping[str, Model]:
    """Every model of models.toml, by name.

    Raises:
        InputError: the file is missing or wrong.
    """
    path = path or data_folder("models") / "models.toml"
    data, _ = read_toml(path)
    try:
        return {name: Model.model_validate(entry) for name, entry in data.items()}
    except ValidationError as error:
        first = error.errors()[0]
        dotted = ".".join(str(part) for part in first["loc"])
        raise InputError(path, f"{dotted}: {first['msg']}, got {first['input']!r}") from None


def models_folder() -> Path:
    """Where fetched models are kept: $CALLOUT_MODELS, or the user's data folder."""
    if given := os.environ.get("CALLOUT_MODELS"):
        return Path(given)
    return folders.data() / "models"


def place_of(name: str, model: Model | None = None) -> Path:
    """Where the files of a model lie, or would lie."""
    model = model or known_models()[name]
    if model.package is not None:
        spec = find_spec(model.package)
        for place in (spec.submodule_search_locations or ()) if spec else ():
            return Path(place) / model.package_folder
    return models_folder() / name


def find_model(name: str, folder: Path | None = None) -> Path:
    """The folder of a model, every file as listed; `folder` is one given by hand.

    A folder given by hand may hold any model of the kind: it is not held against the list.

    Measured on one machine: the checksums of the recognizer's 71 MB take 0.12 s, loading it 1.9 s.

    Raises:
        ModelError: it is missing or not whole; the text says how to get it.
    """
    if folder is not None:
        if not is_folder(folder):
            raise ModelError(f"{folder}: expected a folder with a model, got none")
        needed = NEEDED if known_models()[name].package is None else ()
        for file in needed:
            if not is_file(folder / file):
                raise ModelError(f"{folder}: expected a recognizer model, {file} is missing")
        return folder
    place = place_of(name)
    faults = verify(known_models()[name], place)
    if faults:
        raise ModelError(f"{place}: {faults[0]}; get it with: callout models")
    return place


def change_for(network: bytes) -> Path | None:
    """The file that changes a network: none, unless it is the network of a listed model."""
    digest = hashlib.sha256(network).hexdigest()
    for model in known_models().values():
        listed = model.files.get(NETWORK)
        if model.change is not None and listed is not None and listed.sha256 == digest:
            return data_folder("models") / model.change
    return None


def check_sizes(model: Model, place: Path) -> list[Fault]:
    """The files that are missing or of another size; a look of a few milliseconds."""
    faults = []
    for name, file in model.files.items():
        path = place / name
        if not is_file(path):
            faults.append(Fault(name, "is missing"))
        elif path.stat().st_size != file.bytes:
            what = f"expected {file.bytes} bytes, got {path.stat().st_size}"
            faults.append(Fault(name, what))
    return faults


def verify(
    model: Model, place: Path, step: Callable[[int], None] = lambda count: None
) -> list[Fault]:
    """The files whose content is not the listed one; `step` is told of bytes done."""
    faults = check_sizes(model, place)
    wrong = {fault.name for fault in faults}
    for name, file in model.files.items():
        if name in wrong:
            continue
        try:
            if sha256(place / name, step) != file.sha256:
                faults.append(Fault(name, "expected the listed SHA-256, got another"))
        except OSError as error:
            faults.append(Fault(name, f"cannot be read: {why(error)}"))
    return faults


def sha256(path: Path, step: Callable[[int], None] = lambda count: None) -> str:
    """The SHA-256 of a file, in hexadecimal digits."""
    digest = hashlib.sha256()
    with path.open("rb") as file:
        while block := file.read(1 << 20):
            digest.update(block)
            step(len(block))
    return digest.hexdigest()
