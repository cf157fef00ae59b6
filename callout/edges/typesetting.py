"""Pages set by typst: a template of `paper` and the data that it draws, to PDF or PNG.

The data go in as JSON, which the template reads as `json(bytes(sys.inputs.data))`: a name is never
part of typst's source, so no markup in it has an effect.

The fonts inside typst come first, so that a sheet looks the same on every machine. They have Latin,
Greek, Cyrillic, Hebrew, Arabic and Devanagari. Only for what they lack are the machine's own fonts
looked at, and what these lack, too, is named in the result.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from callout.errors import CalloutError, why

if TYPE_CHECKING:
    import typst


class TypesetError(CalloutError):
    """Typst is missing, or a template cannot be set: no game can be printed."""


class Form(Enum):
    """What kind of file the pages become."""

    PDF = "pdf"
    PNG = "png"


@dataclass(frozen=True, slots=True)
class Pages:
    """What was set."""

    files: tuple[bytes, ...]
    """One file with all pages if it is a PDF, one file for each page if they are pictures."""
    unshown: str = ""
    """The first text that no font of this machine can show; empty if all is shown."""


PPI: Final = 200
"""Of a picture. Units: pixels per inch."""

_STANDARD: Final = "a-2b"
"""PDF/A-2b, ISO 19005-2, the form for archives. It forbids a character that no font has, and this
is how one is found."""
_UNSHOWN: Final = re.compile(r'text `"(.*)"` could not be displayed', re.DOTALL)


def typeset(template: Path, data: Mapping[str, Any], form: Form, at_ms: int) -> Pages:
    """The template with the data; the same bytes each time on machines with the same fonts.

    `at_ms` is the time that the file tells as its creation, in milliseconds since 1970.

    Raises:
        TypesetError: typst is not installed, or cannot set this.
    """
    try:
        import typst
    except ImportError as error:
        what = f"PDF and PNG need the package typst ({why(error)}): pip install 'callout[paper]'"
        raise TypesetError(what) from None
    inputs = {"data": json.dumps(data, ensure_ascii=False)}
    failed: typst.TypstError | None = None
    for with_system, standard in ((False, _STANDARD), (True, _STANDARD), (True, "")):
        compiler = typst.Compiler(
            template, root=template.parent, font_paths=_fonts(with_system), sys_inputs=inputs
        )
        try:
            pdf = _files(compiler, Form.PDF, standard, at_ms)
            files = pdf if form is Form.PDF else _files(compiler, form, "", at_ms)
        except typst.TypstError as error:
            failed = error
            continue
        return Pages(files, "" if standard else _unshown(failed))
    raise TypesetError(f"{template.name}: cannot be set: {failed.message if failed else ''}")


@cache
def _fonts(with_system: bool) -> typst.Fonts:
    import typst

    return typst.Fonts(include_system_fonts=with_system)


def _files(compiler: typst.Compiler, form: Form, standard: str, at_ms: int) -> tuple[bytes, ...]:
    given: Any = {"pdf_standards": standard} if standard else {}
    made = compiler.compile(format=form.value, ppi=PPI, timestamp=at_ms // 1000, **given)
    return tuple(made) if isinstance(made, list) else (made or b"",)


def _unshown(failed: typst.TypstError | None) -> str:
    """The text that the stricter form of the file complained of."""
    found = _UNSHOWN.search(failed.message) if failed else None
    return found[1] if found else ""
