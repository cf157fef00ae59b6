"""What a language that comes with the program costs: it is read once, a person's own each time."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from callout.language.check import load_language
from callout.language.grammar import BEFORE_PART, language_folder, load_grammar
from tests.language.conftest import PAINT, SLOTS


def test_a_language_of_the_program_is_read_once() -> None:
    assert load_language(language_folder("es")) is load_language(language_folder("es"))
    assert load_grammar(language_folder("es")) is load_language(language_folder("es"))
    before = load_language(language_folder("es"), BEFORE_PART)
    assert before.part == BEFORE_PART
    assert {call.name for call in before.calls} != {
        call.name for call in load_language(language_folder("es")).calls
    }


def test_a_folder_of_somebody_s_own_is_read_as_it_is_now(language: Callable[..., Path]) -> None:
    folder = language(SLOTS, paint=PAINT)
    assert load_language(folder).calls[0].say == ("paint it {colour}",)
    changed = PAINT.replace("paint it", "do paint it")
    (folder / "calls/paint.yaml").write_text(changed, encoding="utf-8")
    for load in (load_language, load_grammar):
        assert load(folder).calls[0].say == ("do paint it {colour}",)
