"""What can be had of a game after it: the sheet, its tables, and what is open; from its file.

The file is read for each request; only the sheet's pictures are kept, while the book is the same.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Final

from callout.edges.typesetting import Form, typeset
from callout.game.figures.score import score
from callout.game.state import Phase
from callout.game.terms import Team
from callout.paper.box_page import TEMPLATE, box_page
from callout.paper.export import TABLES, Recorded, csv_tables, json_line
from callout.paper.note import Note
from callout.paper.read import read_recorded
from callout.paper.sheet.form import TEMPLATES, sheet
from callout.paper.sheet.notes import doubtful, numbers_missing, open_notes
from callout.paper.text import book_text, waiting
from callout.words import Words

PICTURES: Final = "sheet-"
"""`sheet-1.png` is the sheet's first page as a picture."""

KEEPS: Final = 3
"""Books whose pictures are kept: the newest, and two that open pages may still be loading."""


@dataclass(frozen=True, slots=True)
class Made:
    """A paper of a game."""

    name: str
    """Of the file that it becomes."""
    media_type: str
    content: bytes
    shown: bool
    """Whether it is for the page itself, and is not saved."""


class Papers:
    """The papers of one game."""

    def __init__(self, game: Path, words: Words) -> None:
        self._game, self._words = game, words
        # Requests are answered in several threads: what one reads is replaced, and never changed.
        self._drawn: tuple[tuple[Recorded, tuple[bytes, ...]], ...] = ()
        """What the last pictures were made of, and they; the newest first."""

    def make(self, name: str, mark: str = "") -> Made | None:
        """The paper of that name; None if there is none.

        `mark` is what a page was told with the number of pictures: it gets those, though the book
        may have changed meanwhile, and have fewer.

        Raises:
            CalloutError: the game cannot be read, or its sheet cannot be set.
        """
        maker = _MAKERS.get(name) or _table(name)
        if maker is None and not name.startswith(PICTURES):
            return None
        before = next((each for each, _ in self._drawn if each.mark == mark), None)
        recorded = read_recorded(self._game)[0] if before is None or maker else before
        content = maker(recorded, self._words) if maker else self._picture(recorded, name)
        if content is None:
            return None
        kind = _KINDS[name.rpartition(".")[2]]
        # The browser's name for it is made of plain letters: a path may hold anything.
        stem = "".join(sign if sign.isalnum() and sign.isascii() else "-" for sign in recorded.name)
        return Made(f"{stem}-{name}", kind, content, maker in (None, _state))

    def _picture(self, recorded: Recorded, name: str) -> bytes | None:
        """A page of the sheet; or, as `sheet-pages.json`, their number and the book's mark."""
        made_of = (recorded.mark, recorded.setup)
        known = (p for each, p in self._drawn if (each.mark, each.setup) == made_of)
        pages = next(known, None)
        if pages is None:
            pages = _sheet(recorded, self._words, Form.PNG)
            self._drawn = ((recorded, pages), *self._drawn)[:KEEPS]
        if name == f"{PICTURES}pages.json":
            return json.dumps({"mark": recorded.mark, "pages": len(pages)}).encode()
        found = [p for nth, p in enumerate(pages, start=1) if name == f"{PICTURES}{nth}.png"]
        return found[0] if found else None


_KINDS: Final = {"pdf": "application/pdf", "png": "image/png", "txt": "text/plain",
                 "json": "application/json", "csv": "text/csv"}  # fmt: skip

_Maker = Callable[[Recorded, Words], bytes]


def _state(recorded: Recorded, words: Words) -> bytes:
    """What is open, who leads, and the marks of the book."""
    game, setup = recorded.game, recorded.setup
    told: dict[str, Any] = {
        "language": words.language,
        "over": game.phase is Phase.OVER,
        "score": {team.value: score(game, team) for team in Team},
        "open": [_note(words, each) for each in open_notes(words, game, setup)],
        # What the approval asks about: lines whose number is missing, and what is to be looked at.
        "lines": [
            {"item": item, **_note(words, each)}
            for item, each in numbers_missing(words, game, setup).items()
        ],
        "looks": [
            _note(words, each) for each in (*doubtful(words, game), *waiting(words, game, setup))
        ],
        "entries": len(recorded.entries),
        "mark": recorded.mark,
        "signatures": [words.role(role) for role in game.profile.sheet.signatures],
        "approved": recorded.seen["approved"],
        "approved_mark": recorded.approved_mark,
        "signed": recorded.seen["signed"],
    }
    return json.dumps(told, ensure_ascii=False).encode()


def _note(words: Words, note: Note) -> dict[str, Any]:
    return {**asdict(note), "language": words.language}


def _sheet(recorded: Recorded, words: Words, form: Form) -> tuple[bytes, ...]:
    own = recorded.game.profile.sheet.form
    data = sheet(recorded, own, words)
    return typeset(TEMPLATES[own], data, form, _at_ms(recorded)).files


def _at_ms(recorded: Recorded) -> int:
    return recorded.entries[-1].at.wall_ms if recorded.entries else 0


def _table(name: str) -> _Maker | None:
    table = name.removesuffix(".csv")
    if table not in TABLES or name == table:
        return None
    # The mark at the start tells spreadsheets that the text is UTF-8.
    return lambda recorded, _: csv_tables([recorded])[table].encode("utf-8-sig")


_MAKERS: Final[Mapping[str, _Maker]] = {
    "state.json": _state,
    "sheet.pdf": lambda recorded, words: _sheet(recorded, words, Form.PDF)[0],
    "box.pdf": lambda recorded, words: typeset(
        TEMPLATE, box_page(recorded, words), Form.PDF, _at_ms(recorded)
    ).files[0],
    "book.txt": lambda recorded, words: book_text(
        recorded.game, recorded.setup, recorded.left_tenths, words, recorded.mark
    ).encode(),
    "game.json": lambda recorded, _: json_line(recorded).encode(),
}
