"""The files of a language beside each other: what is refused."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from callout.errors import InputError
from callout.language.folder import load_grammar
from tests.language.conftest import PAINT

Write = Callable[..., Path]


def test_two_calls_of_one_name_or_key_are_refused(language: Write) -> None:
    folder = language(paint=PAINT, second=PAINT.replace("paint it", "cover it"))
    second = folder / "calls" / "second.yaml"
    with pytest.raises(InputError) as caught:
        load_grammar(folder)
    assert str(caught.value) == f"{second}:2: expected a name of its own, got 'paint' again"
    keyed = "name: {}\nsay: [{} it]\ndoes: {{undo: {{}}}}\nkeys: {{f1: {} it}}\n"
    keyed += "examples: [{{say: {} it}}]\n"
    second.write_text(keyed.format("b", "b", "b", "b"), encoding="utf-8")
    (folder / "calls" / "paint.yaml").write_text(keyed.format("a", "a", "a", "a"), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_grammar(folder)
    assert str(caught.value) == f"{second}:4: expected a key of its own, got 'f1' of 'a'"


def test_a_folder_without_calls_is_refused(language: Write) -> None:
    with pytest.raises(InputError, match="expected at least one call file"):
        load_grammar(language())
