"""Pages set by typst, written beside a game or into a folder, whole or not at all."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

from callout.edges.typesetting import Form, Pages
from callout.errors import CalloutError
from callout.paper.box_page import PAPERS
from callout.plain import plain
from callout.table.book.files import write_whole, writing


def check_choice(option: str, given: str, known: Sequence[str]) -> None:
    """Refuse a value that an option does not have; `known` are two or more.

    Raises:
        CalloutError: it is one.
    """
    if given not in known:
        first = ", ".join(known[:-1])
        raise CalloutError(f"{option}: expected {first} or {known[-1]}, got {given!r}")


def check_paper(paper: str) -> None:
    """Refuse a size of paper for which nothing is drawn.

    Raises:
        CalloutError: it is one.
    """
    check_choice("--paper", paper, tuple(PAPERS))


def forms(pdf: bool, png: bool) -> list[Form]:
    """The forms that were asked for on the command line."""
    return [Form.PDF] * pdf + [Form.PNG] * png


def write_pages(target: Path, pages: Pages) -> None:
    """Write the files, and print where they are; a second page is `NAME-2.png`.

    Pages of an older picture that had more of them are removed, so that none is taken for a page of
    this one.

    Raises:
        CalloutError: a file cannot be written.
    """
    if pages.unshown:
        what = f"no font on this machine has {pages.unshown!r}: its place is marked"
        print(plain(f"{target.name}: {what}"), file=sys.stderr)
    for nth, page in enumerate(pages.files, start=1):
        path = _numbered(target, nth)
        with writing(path):
            path.parent.mkdir(parents=True, exist_ok=True)
            write_whole(path, page)
        print(plain(str(path)))
    _remove_from(target, len(pages.files) + 1)


def _numbered(target: Path, nth: int) -> Path:
    return target if nth == 1 else target.with_stem(f"{target.stem}-{nth}")


def _remove_from(target: Path, nth: int) -> None:
    while (old := _numbered(target, nth)).is_file():
        old.unlink()
        nth += 1
