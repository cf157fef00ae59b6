"""Recognizer models and voices: which are listed, where they are, and whether they are whole."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Final

from pydantic import BaseModel, ConfigDict, TypeAdapter, ValidationError

from callout.data import data_folder
from callout.edges import folders
from callout.edges.models.folder import EXTRACTOR, NEEDED, NETWORK
from callout.errors import InputError, ModelError, why
from callout.game.fault import first_fault
from callout.reading import is_file, is_folder, key_line, read_toml

RECOGNIZER: Final = "vosk-model-en"
"""The recognizer's model of English."""


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
    speakers: str | None = None
    """The file beside models.toml that tells how its speaker's vectors differ."""
    addresses: tuple[str, ...] = ()
    """Where its archive is published; the first one that works is taken."""
    inside: tuple[str, ...] = ()
    """The folders in which an archive may hold the files."""
    package: str | None = None
    """The Python package that contains it."""
    package_folder: str = ""


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with a file."""

    name: str
    what: str

    def __str__(self) -> str:
        """The file's name, and what is wrong with it."""
        return f"{self.name}: {self.what}"


_MODELS: Final = TypeAdapter(dict[str, Model])


@cache
def known_models(path: Path | None = None) -> Mapping[str, Model]:
    """Every model of models.toml by its name.

    Raises:
        InputError: the file is missing or wrong.
    """
    path = path or data_folder("models") / "models.toml"
    data, text = read_toml(path)
    try:
        return _MODELS.validate_python(data)
    except ValidationError as error:
        fault = first_fault(error)
        line = key_line(text, tuple(map(str, fault.keys))).line
        raise InputError(path, str(fault), line) from None


def models_folder() -> Path:
    """Where fetched models are kept: $CALLOUT_MODELS, or the user's data folder."""
    if given := os.environ.get("CALLOUT_MODELS"):
        return Path(given)
    return folders.data() / "models"


def place_of(name: str, model: Model | None = None) -> Path:
    """Where the files of a model are, or will be once they are fetched."""
    model = model or known_models()[name]
    if model.package is not None:
        spec = find_spec(model.package)
        for place in (spec.submodule_search_locations or ()) if spec else ():
            return Path(place) / model.package_folder
    return models_folder() / name


def find_model(name: str, folder: Path | None = None) -> Path:
    """The folder of a model, with every file as listed.

    A `folder` that a person gives may hold another model of the same kind: only the presence of
    the files that the recognizer needs is checked. Measured on one machine: the checksums of the
    recognizer's 71 MB take 0.12 s, loading it 1.9 s.

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
    """The file with the change for a network; None for the network of a model not listed."""
    model = _with(NETWORK, network)
    return data_folder("models") / model.change if model and model.change else None


def speakers_for(extractor: Path) -> Path | None:
    """The file that tells how an extractor's vectors differ; None for one that is not listed."""
    model = _with(EXTRACTOR, extractor.read_bytes()) if is_file(extractor) else None
    return data_folder("models") / model.speakers if model and model.speakers else None


def _with(name: str, data: bytes) -> Model | None:
    """The listed model that has this file."""
    digest = hashlib.sha256(data).hexdigest()
    for model in known_models().values():
        if name in model.files and model.files[name].sha256 == digest:
            return model
    return None


def check_sizes(model: Model, place: Path) -> list[Fault]:
    """The files that are missing or of another size; takes a few milliseconds."""
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
    """The files that are not as listed; `step` is called with the number of bytes checked."""
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
