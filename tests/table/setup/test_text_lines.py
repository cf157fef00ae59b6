"""Lines that people write. Source of where a line ends: what editors count, common practice."""

from __future__ import annotations

from pathlib import Path

import pytest

from callout.errors import InputError
from callout.table.scripts.script import read_script
from callout.table.setup.header import is_setup
from callout.table.setup.setup import read_setup
from callout.table.setup.text_lines import most_similar, read_lines
from tests.test_plain import HOSTILE

HEAD = "profile: nfhs-2026\n"
SHOWN = [text for text in HOSTILE if "\ud800" not in text and not text.startswith("a\n")]


def test_lines_are_counted_as_editors_count_them(tmp_path: Path) -> None:
    path = tmp_path / "x"
    path.write_bytes(b"a\tb\r\nc\n\nd\n")
    assert read_lines(path) == ["a\tb", "c", "", "d"]


@pytest.mark.parametrize("sign", ["\u2028", "\u2029", "\x0b", "\x0c", "\x1c", "\x85"])
def test_a_line_end_that_no_editor_counts_is_refused_where_it_stands(
    tmp_path: Path, sign: str
) -> None:
    path = tmp_path / "x"
    path.write_text(f"{HEAD}home: A{sign}# | 4\nguest: B\n", encoding="utf-8")
    what = f"expected text, got the character U\\+{ord(sign):04X} in column 8"
    with pytest.raises(InputError, match=f"x:2: {what}"):
        read_setup(path)


@pytest.mark.parametrize("text", SHOWN, ids=map(ascii, SHOWN))
@pytest.mark.parametrize(
    "line", ["home: {}A | 4", "home: A | 4 {}, 5 B", "nickname home: {}", "source: {}", "# {}"]
)
def test_what_must_not_be_shown_is_refused_with_line_and_column(
    tmp_path: Path, text: str, line: str
) -> None:
    path = tmp_path / "x"
    written = line.format(text)
    path.write_text(f"{HEAD}guest: B\n{written}\n", encoding="utf-8")
    for read in (read_setup, read_script):
        with pytest.raises(InputError) as caught:
            read(path)
        assert caught.value.line == 3
        found = str(caught.value).split("U+")[1]
        at = int(found.split("column ")[1]) - 1
        assert ord(written[at]) == int(found.split()[0], 16)
        assert str(caught.value).isprintable()
    assert not is_setup(path)


@pytest.mark.parametrize("name", ["{team}", "[red] Kites [/]", "[/b]", ":fire:", "می\u200cخواهم"])
def test_a_name_that_only_looks_like_something_else_is_a_name(tmp_path: Path, name: str) -> None:
    path = tmp_path / "x"
    path.write_text(f"{HEAD}home: {name} | 4 {name}, 5\nguest: B\n", encoding="utf-8")
    setup = read_setup(path)
    assert (setup.home.name, setup.home.players[0].name) == (name, name)


@pytest.mark.parametrize("word", ["{team}", "[a|b]", "(a;b)", "<x>", "two/three", "'", "-"])
@pytest.mark.parametrize("key", ["nickname home", "colour guest", "wake"])
def test_what_cannot_be_said_is_no_word(tmp_path: Path, key: str, word: str) -> None:
    path = tmp_path / "x"
    path.write_text(f"{HEAD}home: A\nguest: B\n{key}: kites {word}\n", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_setup(path)
    assert str(caught.value) == f"{path}:4: {key}: expected a word, got {word!r}"


@pytest.mark.parametrize("word", ["o’neill's", "76ers", "l.a", "weiß-blau", "می\u200cخواهم", "é"])
def test_a_word_of_any_writing_is_one(tmp_path: Path, word: str) -> None:
    path = tmp_path / "x"
    path.write_text(f"{HEAD}home: A\nguest: B\nnickname home: {word}\n", encoding="utf-8")
    assert read_setup(path).home.words == (word,)


def test_a_team_has_so_many_words_and_no_more(tmp_path: Path) -> None:
    path = tmp_path / "x"
    words = ", ".join("abcdefghijklmnopqrstu")
    path.write_text(f"{HEAD}home: A\nguest: B\nnickname home: {words}\n", encoding="utf-8")
    with pytest.raises(InputError, match="nickname home: expected at most 20 words, got 21"):
        read_setup(path)


def test_a_misspelt_word_is_recognised_and_another_one_is_not() -> None:
    assert most_similar("nicknam guest", ("nickname guest", "nickname home")) == "nickname guest"
    assert most_similar("referee", ("nickname guest", "profile")) is None
