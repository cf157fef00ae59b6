"""YAML with the line of every value. Source of YAML's forms: YAML 1.1, as PyYAML reads it."""

from __future__ import annotations

from pathlib import Path

import pytest

from callout.errors import InputError
from callout.language.slots import Strict
from callout.language.source import Source


class Pair(Strict):
    """A model with two values."""

    left: int
    right: tuple[str, ...] = ()


def write(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "file.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def test_every_value_knows_its_line(tmp_path: Path) -> None:
    source = Source(write(tmp_path, "left: 1\nright:\n  - a\n  - b\n"))
    assert source.data == {"left": 1, "right": ["a", "b"]}
    assert [source.line("left"), source.line("right"), source.line("right", 1)] == [1, 2, 4]
    assert source.line("right", 7, "deeper") == 2


def test_only_true_and_false_are_truth_values(tmp_path: Path) -> None:
    source = Source(write(tmp_path, "on: yes\noff: true\nno: 3\n"))
    assert source.data == {"on": "yes", "off": True, "no": 3}


def test_an_empty_file_holds_nothing(tmp_path: Path) -> None:
    assert Source(write(tmp_path, "")).data is None


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        ("left: 1\nleft: 2\n", 2, "each key once, got 'left' again"),
        ("left: [1\n", 2, "expected YAML"),
        ("left: 1\nright: 2001-99-99\n", 2, "expected a plain value, got '2001-99-99'"),
        ("left: 1\nright: !!int x\n", 2, "expected a plain value, got 'x'"),
        ("left: 1\nright: !!int ''\n", 2, "expected a plain value, got ''"),
        ("left: !!float ''\n", 1, "expected a plain value, got ''"),
        ("left: !!bool maybe\n", 1, "left: input should be a valid integer"),
        ("left: 1\nright: !strange x\n", 2, "expected a plain value, got 'x'"),
        ("left: 1\n? [right]\n: 2\n", 2, "expected a plain value, got 'a list or a mapping'"),
        ("left: 1\nright: [a, 2]\n", 2, "right.1: input should be a valid string, got 2"),
        ("left: x\n", 1, "left: input should be a valid integer"),
        ("right: []\n", 1, "left: field required, got nothing"),
        ("left: 1\n\nmiddle: 2\n", 3, "middle: extra inputs are not permitted, got 2"),
        ("- 1\n", 1, "file: input should be a valid dictionary"),
    ],
)
def test_a_mistake_is_pointed_at(tmp_path: Path, text: str, line: int, says: str) -> None:
    path = write(tmp_path, text)
    with pytest.raises(InputError) as caught:
        Source(path).as_model(Pair)
    assert str(caught.value).startswith(f"{path}:{line}: ")
    assert says in str(caught.value)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("left: &a [*a]\n", ":1: expected each part written out, got an alias"),
        ("left: 1\nright: &a {b: 1}\nmore: *a\n", ":3: expected each part written out"),
        ("- " * 21 + "a\n", ":1: expected parts at most 20 deep, got deeper"),
        ("- " * 20 + "a\n", ""),
        ("[\n" * 21 + "]\n" * 21, ":21: expected parts at most 20 deep, got deeper"),
        ("[\n" * 100_000, ":21: expected parts at most 20 deep, got deeper"),
    ],
)
def test_a_file_without_end_is_refused(tmp_path: Path, text: str, says: str) -> None:
    path = write(tmp_path, text)
    if not says:
        assert Source(path).line() == 1
        return
    with pytest.raises(InputError) as caught:
        Source(path)
    assert str(caught.value).startswith(f"{path}{says}")


def test_aliases_that_stand_for_more_than_any_memory_holds_are_refused(tmp_path: Path) -> None:
    rows = ["a0: &a0 [x, x, x, x, x, x, x, x, x]"]
    rows += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, 10)]
    with pytest.raises(InputError, match=r":2: expected each part written out, got an alias"):
        Source(write(tmp_path, "\n".join(rows)))


def test_a_file_that_cannot_be_read_is_named(tmp_path: Path) -> None:
    with pytest.raises(
        InputError, match=r"absent\.yaml: expected a file that can be read: no such"
    ):
        Source(tmp_path / "absent.yaml")
    path = tmp_path / "latin.yaml"
    path.write_bytes(b"left: \xff\n")
    with pytest.raises(InputError, match=r"latin\.yaml:1: expected a text file in UTF-8"):
        Source(path)
