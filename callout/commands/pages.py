"""Pages into files, for all commands that print on paper."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from callout.edges.typesetting import Form, typeset
from callout.errors import CalloutError, why
from callout.plain import plain
from callout.table.book.files import write_whole


def forms(pdf: bool, png: bool) -> tuple[Form, ...]:
    """The kinds of file that were asked for."""
    return tuple(form for form, wanted in ((Form.PDF, pdf), (Form.PNG, png)) if wanted)


def write_pages(
    template: Path, data: Mapping[str, Any], form: Form, stem: Path, at_ms: int = 0
) -> None:
    """Write `STEM.pdf`, or `STEM.png` and `STEM-2.png` and so on; print the names.

    `at_ms` is the time that the file tells as its creation, in milliseconds since 1970.

    Raises:
        CalloutError: typst is missing, or a file cannot be written.
    """
    pages = typeset(template, data, form, at_ms)
    if pages.unshown:
        print(plain(f"{stem}: no font here has all of {pages.unshown}"), file=sys.stderr)
    for nth, page in enumerate(pages.files, start=1):
        path = stem.with_name(f"{stem.name}{'' if nth == 1 else f'-{nth}'}.{form.value}")
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            write_whole(path, page)
        except OSError as error:
            raise CalloutError(f"{path}: cannot be written: {why(error)}") from None
        print(plain(str(path)))
