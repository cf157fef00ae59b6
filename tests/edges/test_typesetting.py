"""Pages set by typst: data stay data, each script has a font or is named, and mistakes are told."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import pytest
from pdfminer.high_level import extract_text

from callout.edges.typesetting import Form, typeset
from callout.errors import CalloutError

AT_MS = 1_700_000_000_000
TEMPLATE = "#let data = json(bytes(sys.inputs.data))\n#data.name\n"


@pytest.fixture
def template(tmp_path: Path) -> Path:
    path = tmp_path / "name.typ"
    path.write_text(TEMPLATE, encoding="utf-8")
    return path


def text(pdf: bytes) -> str:
    return extract_text(io.BytesIO(pdf))


def test_markup_in_data_is_plain_text(template: Path) -> None:
    name = r"#pagebreak() $x$ \ *b* _i_ @ref [c] <l> `r` // #sys"
    (pdf,) = typeset(template, {"name": name}, Form.PDF, AT_MS).files
    assert pdf.startswith(b"%PDF-")
    assert " ".join(text(pdf).split()) == name


@pytest.mark.parametrize("name", ["Zoë Ĺ", "Ηρώ", "Жанна", "דניאל", "ليلى", "अमर"])
def test_the_fonts_inside_typst_have_these_scripts(template: Path, name: str) -> None:
    made = typeset(template, {"name": name}, Form.PDF, AT_MS)
    assert made.unshown == ""


def test_what_no_font_has_is_named_and_the_rest_is_set(template: Path) -> None:
    """U+13000 is an Egyptian hieroglyph; no font inside typst nor a usual one of Debian has it."""
    made = typeset(template, {"name": "Ann \U00013000"}, Form.PDF, AT_MS)
    assert made.unshown == "\U00013000"
    assert "Ann" in text(made.files[0])


def test_the_same_data_make_the_same_bytes(template: Path) -> None:
    first, again = (typeset(template, {"name": "Ann"}, Form.PDF, AT_MS) for _ in range(2))
    assert first == again


def test_a_picture_for_each_page(template: Path) -> None:
    one = typeset(template, {"name": "Ann"}, Form.PNG, AT_MS)
    assert [page[:4] for page in one.files] == [b"\x89PNG"]
    template.write_text("a\n#pagebreak()\nb", encoding="utf-8")
    assert len(typeset(template, {}, Form.PNG, AT_MS).files) == 2


def test_a_mistake_in_a_template_is_one_line(template: Path) -> None:
    template.write_text("#nothing", encoding="utf-8")
    with pytest.raises(CalloutError, match=r"name\.typ: cannot be set: unknown variable: nothing"):
        typeset(template, {}, Form.PDF, AT_MS)


def test_without_typst_it_says_what_to_install(
    template: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "typst", None)
    with pytest.raises(CalloutError, match=r"pip install 'callout\[paper\]'"):
        typeset(template, {"name": "Ann"}, Form.PDF, AT_MS)
