"""The results of past practices: a line of JSON for each, for the user alone to read.

They hold figures and no name, no number of a shirt and no sound.
"""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from pathlib import Path
from typing import Final

from pydantic import TypeAdapter, ValidationError

from callout.edges import folders
from callout.practice.report import Report
from callout.reading import exists, read_bytes
from callout.table.book.files import writing

LATEST_MS: Final = 253_402_300_799_000
"""The last moment of the year 9999, in milliseconds since 1970; no date is written later."""

_LINE: Final = TypeAdapter(Report)


def results_file() -> Path:
    """Where they are kept."""
    return folders.data() / "practice.jsonl"


def keep(report: Report, path: Path) -> None:
    """Add a line.

    Raises:
        InputError: it cannot be written.
    """
    with writing(path):
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
        try:
            # A file that somebody else made may be open to all.
            with suppress(AttributeError):
                os.fchmod(handle, 0o600)
            os.write(handle, _LINE.dump_json(report) + b"\n")
        finally:
            os.close(handle)


def kept(path: Path) -> list[Report]:
    """The results of past practices, the oldest first; a line that is none is told and left out.

    Raises:
        InputError: the file cannot be read.
    """
    if not exists(path):
        return []
    found = []
    for number, line in enumerate(read_bytes(path).split(b"\n"), start=1):
        if not line.strip():
            continue
        try:
            report = _LINE.validate_json(line)
        except ValidationError:
            report = None
        if report is None or not 0 <= report.at_ms <= LATEST_MS:
            print(f"{path}:{number}: expected a result, got something else; it is left out",
                  file=sys.stderr)  # fmt: skip
            continue
        found.append(report)
    return sorted(found, key=lambda each: each.at_ms)
