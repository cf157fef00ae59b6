"""A team's list from a file or a text box: either every player of it, or what is wrong. Pure.

It may be a table with a header row, or a list as people write it. A list with a mistake gives no
players; what is only to be looked at is a note.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from callout.game.values import SHIRTS
from callout.table.setup.pasted_list import (
    LONGEST_NAME,
    MOST_PLAYERS,
    TABLE_ROW,
    clean_name,
    read_pasted,
)
from callout.table.setup.player_table import (
    Mistake,
    Row,
    column_letter,
    hidden,
    is_formula,
    is_table,
    read_table,
)
from callout.table.setup.roster import NO_SHIRT, TWICE, Player

FULL: Final = f"expected at most {MOST_PLAYERS} players, got one more"
NO_PLAYER: Final = "expected a number and a name, such as '4 Ada Moss', got {!r}"
NO_NUMBER: Final = "it has no number"

_OTHER_KINDS: Final = (
    (b"\xd0\xcf\x11\xe0", "an old workbook (.xls)"), (b"%PDF", "a PDF"), (b"{\\rtf", "a text "
    "document"), (b"\x89PNG", "a picture"), (b"\xff\xd8\xff", "a picture"),
)  # fmt: skip
"""How files of other kinds begin. Source: their formats' own documents."""


@dataclass(frozen=True, slots=True)
class ReadList:
    """What was read of a list."""

    players: tuple[Player, ...] = ()
    """None if there is a mistake."""
    mistakes: tuple[Mistake, ...] = ()
    notes: tuple[Mistake, ...] = ()
    """What is to be looked at: what was left out or changed."""


def decoded(data: bytes) -> tuple[str, tuple[Mistake, ...]] | Mistake:
    """The text of a CSV file, with a note where its letters were guessed; or why it is none."""
    for begins, kind in _OTHER_KINDS:
        if data.startswith(begins):
            return Mistake(1, "", f"expected a CSV or XLSX file, got {kind}: save it as XLSX")
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return _checked(data.decode("utf-16", "replace"))
    try:
        return _checked(data.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        row = data.count(b"\n", 0, error.start) + 1
    try:
        text = data.decode("cp1252")
    except UnicodeDecodeError as error:
        row = data.count(b"\n", 0, error.start) + 1
        what = f"expected text in UTF-8 or Windows-1252, got the byte {data[error.start]:#04x}"
        return Mistake(row, "", what)
    note = "read as Windows-1252, not UTF-8: check the letters with accents"
    return _checked(text, Mistake(row, "", note))


def _checked(text: str, *notes: Mistake) -> tuple[str, tuple[Mistake, ...]] | Mistake:
    if (at := text.find("\0")) >= 0:
        return Mistake(text.count("\n", 0, at) + 1, "", "expected a CSV or XLSX file, got another")
    return text.replace("\r\n", "\n").replace("\r", "\n"), notes


def read_list(rows: Iterable[Row | Mistake]) -> ReadList:
    """The players of a file's rows."""
    listed = list(rows)
    first = next((nth for nth, row in enumerate(listed) if _holds(row)), len(listed))
    head = listed[first] if first < len(listed) else None
    if head is None:
        return ReadList(mistakes=(Mistake(1, "", "expected a list of players, got nothing"),))
    if isinstance(head, Row) and is_table(head.cells):
        return _of_table(listed[first:])
    wrong = [row for row in listed if isinstance(row, Mistake)]
    return ReadList(mistakes=tuple(wrong)) if wrong else _of_lines(_only_rows(listed))


def read_lines_of_players(text: str) -> ReadList:
    """The players of what was typed or pasted into a text box; an empty one is an empty list."""
    if not text.strip():
        return ReadList()
    lines = text.split("\n")
    cells = (line.split("\t") for line in lines)
    return read_list(Row(nth, each) for nth, each in enumerate(cells, start=1))


def _holds(row: Row | Mistake) -> bool:
    return isinstance(row, Mistake) or any(cell.strip() for cell in row.cells)


def _only_rows(listed: Iterable[Row | Mistake]) -> list[Row]:
    return [row for row in listed if isinstance(row, Row)]


def _of_table(rows: Sequence[Row | Mistake]) -> ReadList:
    table = read_table(rows)
    if table.mistakes:
        return ReadList(mistakes=table.mistakes)
    if not table.players:
        head = rows[0].number if isinstance(rows[0], Row) else rows[0].row
        return ReadList(mistakes=(Mistake(head, "", "expected players below this row, got none"),))
    if len(table.players) > MOST_PLAYERS:
        return ReadList(mistakes=(Mistake(table.rows[MOST_PLAYERS], "", FULL),))
    pairs = zip(table.rows, table.players, strict=True)
    if wrong := [wrong for row, player in pairs for wrong in _wrong_name(row, player)]:
        return ReadList(mistakes=tuple(wrong))
    players = tuple(Player(p.number, clean_name(p.name), p.starter) for p in table.players)
    notes = (
        Mistake(row, "", note)
        for row, given, taken in zip(table.rows, table.players, players, strict=True)
        for note in _name_notes(given.name, taken.name)
    )
    return ReadList(players, notes=tuple(notes))


def _of_lines(rows: Sequence[Row]) -> ReadList:
    """The players of a list without a header row."""
    lines = [" \t ".join(cell.strip() for cell in row.cells).strip() for row in rows]
    wrong = [each for row in rows for each in _wrong_cells(row)]
    pasted = read_pasted(lines)
    known = {player.number for player in pasted.players}
    notes: list[Mistake] = []
    for nth, part in zip(pasted.rows, pasted.left_out, strict=True):
        found = _left_out(rows[nth - 1].number, part, known)
        (wrong if found.what.startswith("expected") else notes).append(found)
        if found.what == FULL:
            break
    told = {each.row for each in wrong}
    for row, line in zip(rows, lines, strict=True):
        if row.number not in told:
            for player in read_pasted([line]).players:
                wrong += _wrong_name(row.number, player)
    if wrong:
        return ReadList(mistakes=tuple(sorted(wrong)))
    if not pasted.players:
        return ReadList(mistakes=(Mistake(rows[0].number, "", "expected numbers, got none"),))
    whole = [(row.number, line) for row, line in zip(rows, lines, strict=True)]
    notes += [
        Mistake(row, "", what) for row, line in whole for what in _name_notes(line, line)
    ]  # fmt: skip
    return ReadList(pasted.players, notes=tuple(sorted(notes)))


def _wrong_name(row: int, player: Player) -> Iterator[Mistake]:
    """A name without a letter: a column was taken for another."""
    if player.name and not any(sign.isalpha() for sign in player.name):
        yield Mistake(row, "", f"expected a name, got {player.name!r}")


def _wrong_cells(row: Row) -> Iterator[Mistake]:
    for nth, cell in enumerate(row.cells):
        place = column_letter(nth) if len(row.cells) > 1 else ""
        if is_formula(cell.strip()):
            what = f"expected a number or a name, got the formula {cell.strip()!r}"
            yield Mistake(row.number, place, what)
        yield from (Mistake(row.number, place, what) for what in hidden(cell))


def _left_out(row: int, part: str, known: set[str]) -> Mistake:
    """Why a part of a list is no player: a note where it has no figure, else a mistake."""
    why = why_left_out(part, known)
    told = f"left out, as {why}: {' '.join(part.split())!r}" if why == NO_NUMBER else why
    return Mistake(row, "", told)


def why_left_out(part: str, known: Collection[str]) -> str:
    """Why `read_pasted` takes a part for no player; `known` are the numbers that it found."""
    if part.startswith(TABLE_ROW):
        return part.partition(": ")[2]
    figures = [word.strip("#.:)(") for word in part.replace(";", " ").replace(",", " ").split()]
    numbers = [word for word in figures if word[:1].isdigit()]
    if not numbers:
        return NO_NUMBER
    if numbers[0] in known:
        return TWICE.format(numbers[0])
    if numbers[0] not in SHIRTS:
        return NO_SHIRT.format(numbers[0])
    return FULL if len(known) == MOST_PLAYERS else NO_PLAYER.format(" ".join(part.split()))


def _name_notes(given: str, taken: str) -> Iterator[str]:
    signs = sorted({sign for sign in given if unicodedata.category(sign) in ("So", "Co", "Cn")})
    if signs:
        yield f"the score sheet may not be able to show {' '.join(signs)!r}"
    if taken != given:
        cut = len(given) > LONGEST_NAME and given.startswith(taken)
        yield f"cut to {LONGEST_NAME} signs: {taken!r}" if cut else f"taken as {taken!r}"
