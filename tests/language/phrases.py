"""Ways people say a call, split by chance into those the grammar was built from and the others.

`phrases.tsv` has a way to a line, after the usual words of the call it means. They were written
down before the grammar was widened, from rule books' wording, officials' signals and common speech
at a table (from memory). The split is by the first bit of each way's SHA-256, so nobody chose it.
`traps.txt` has what is near to a call and is none.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Final

HERE: Final = Path(__file__).parent


@dataclass(frozen=True, slots=True)
class Way:
    """A way to say a call."""

    meant: str
    """The usual words of the call."""
    said: str

    @property
    def half(self) -> str:
        """`built` or `other`, by chance."""
        return "other" if sha256(self.said.encode()).digest()[0] % 2 else "built"


def phrases() -> Iterator[Way]:
    """All ways, in the order of the file."""
    for line in (HERE / "phrases.tsv").read_text(encoding="utf-8").splitlines():
        meant, said = line.split("\t")
        yield Way(meant, said)


def traps() -> list[str]:
    """Everything that is near to a call and is none."""
    return (HERE / "traps.txt").read_text(encoding="utf-8").splitlines()
