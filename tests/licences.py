"""Writes the list of the packages that the program needs, with their licences.

    python -m tests.licences > .ci/locked/LICENCES.md

The licence is the one in a package's own metadata; of a whole text, its first line.
"""

from __future__ import annotations

import re
from email.message import Message
from importlib.metadata import PackageNotFoundError, metadata
from pathlib import Path
from typing import cast

LOCKED = Path(__file__).parent.parent / ".ci" / "locked"
HEAD = """# What the program is installed with

Every package that `make setup` installs for the program, its voice, its keys, its sheets and its
league. The packages for contributors are in `dev.txt`, `bench.txt` and `training.txt`. `python -m
tests.licences` writes this list from what each package says of itself. Three contain libraries with
a licence of their own: soundfile has libsndfile (LGPL-2.1-or-later), piper-tts has espeak-ng
(GPL-3.0-or-later), psycopg-binary has libpq (PostgreSQL Licence) and OpenSSL (Apache-2.0). typst
contains fonts: DejaVu Sans Mono (Bitstream Vera licence), Libertinus Serif (OFL-1.1) and New
Computer Modern (GUST Font License).

| package | version | licence |
|---|---|---|
"""

ELSEWHERE = {"colorama": "BSD-3-Clause", "pyobjc": "MIT"}
"""Licences of what only Windows or macOS gets, by how the name begins (from memory)."""


def pins(file: str) -> dict[str, set[str]]:
    """The versions that a file pins, by package; several where systems or Pythons differ."""
    found: dict[str, set[str]] = {}
    for line in (LOCKED / file).read_text(encoding="utf-8").splitlines():
        if pin := re.match(r"([\w.-]+)==([\w.]+)", line):
            found.setdefault(pin[1], set()).add(pin[2])
    return found


def licence(package: str) -> str:
    """What an installed package says of its licence.

    Raises: PackageNotFoundError where it is for another system.
    """
    # A field that is absent is None, as in every message; the protocol's types leave that out.
    says = cast("Message", metadata(package))
    if expression := says.get("License-Expression"):
        return str(expression)
    classified = [c.rpartition(" :: ")[2] for c in says.get_all("Classifier", [])
                  if c.startswith("License :: ") and not c.endswith("OSI Approved")]  # fmt: skip
    told = str(says.get("License") or "").strip().splitlines()
    return "; ".join(classified) or (told[0] if told else "not stated")


def table() -> str:
    """The whole list, in Markdown."""
    rows = []
    for package, versions in sorted((pins("program.txt") | pins("keys.txt")).items()):
        try:
            under = licence(package)
        except PackageNotFoundError:
            (under,) = (each for name, each in ELSEWHERE.items() if package.startswith(name))
        rows.append(f"| {package} | {', '.join(sorted(versions))} | {under} |\n")
    return HEAD + "".join(rows)


if __name__ == "__main__":
    print(table(), end="")
