"""`callout models`: fetches and verifies what models.toml lists."""

from __future__ import annotations

import os
from pathlib import Path

from rich.console import Console
from rich.progress import BarColumn, DownloadColumn, Progress, TaskID, TextColumn
from rich.text import Text

from callout.edges.models.catalogue import RECOGNIZER, find_model, known_models, place_of, verify
from callout.edges.models.download import fetch
from callout.errors import ModelError
from callout.reading import is_folder


def models(names: list[str], folder: Path | None = None, mirror: str = "") -> int:
    """Fetch and verify the named models, or all; returns the exit status.

    With `folder`, only say whether the model in it will do. `mirror`, or else $CALLOUT_MIRROR, is
    looked in first.

    Raises:
        ModelError: one of them is unknown, or cannot be fetched.
    """
    listed = known_models()
    for name in names:
        if name not in listed:
            raise ModelError(f"expected one of {', '.join(listed)}, got {name!r}")
    if folder is not None:
        print(_told_of(names[0] if names else RECOGNIZER, folder))
        return 0
    missing = []
    for name in names or listed:
        try:
            place = _with_bar(name, mirror or os.environ.get("CALLOUT_MIRROR"))
        except ModelError as error:
            # A missing voice is no error: replies are printed then. A damaged one is.
            if listed[name].package is None or name in names or is_folder(place_of(name)):
                raise
            missing.append(str(error))
            continue
        print(f"{name}: {listed[name].what}\n  {place}\n  licence: {listed[name].licence}")
    for text in missing:
        print(text)
    return 0


def _told_of(name: str, folder: Path) -> str:
    """Whether a folder given by hand is the listed model, or another that can be used."""
    faults = verify(known_models()[name], find_model(name, folder))
    if not faults:
        return f"{folder}: {name}, every file as listed"
    return f"{folder}: can be used, but is not {name} as listed ({faults[0]})"


def _with_bar(name: str, mirror: str | None) -> Path:
    console = Console(stderr=True)
    columns = (TextColumn("{task.description}", markup=False), BarColumn(), DownloadColumn())
    with Progress(*columns, console=console, transient=True) as bar:
        tasks: dict[str, TaskID] = {}

        def tell(step: str, done: int, total: int | None) -> None:
            if step not in tasks:
                tasks[step] = bar.add_task(step, total=total)
                if not console.is_terminal:
                    console.print(Text(step))
            bar.update(tasks[step], completed=done, total=total)

        return fetch(name, tell, mirror)
