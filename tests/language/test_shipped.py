"""The languages that come with the program: they are checked here, so no command checks them as it
starts, and each is read once a process; a person's own is read and checked each time.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from callout.errors import InputError
from callout.language.check import load_language, open_language
from callout.language.folder import load_grammar
from callout.language.grammar import BEFORE_PART, CALLS_PART, language_folder
from tests.language.conftest import PAINT, SLOTS

FOLDERS = sorted(path for path in language_folder().parent.iterdir() if path.is_dir())


@pytest.mark.parametrize("folder", FOLDERS, ids=[folder.name for folder in FOLDERS])
@pytest.mark.parametrize("part", [CALLS_PART, BEFORE_PART])
def test_each_passes_every_check_and_is_opened_as_it_is(folder: Path, part: str) -> None:
    checked = load_language(folder, part)
    assert open_language(folder, part) == checked
    assert open_language(folder, part).calls == checked.calls


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
    for load in (load_language, load_grammar, open_language):
        assert load(folder).calls[0].say == ("do paint it {colour}",)
    (folder / "calls/paint.yaml").write_text(changed.replace("scarlet", "pink"), encoding="utf-8")
    with pytest.raises(InputError, match="expected one 'paint', got 'do paint it pink'"):
        open_language(folder)
