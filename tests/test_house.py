"""The project's own limits: sizes, annotations, docstrings. Source: DEVELOPERS.md."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "callout"
FILES = sorted(p for p in PACKAGE.rglob("*.py") if p.stat().st_size)
Function = ast.FunctionDef | ast.AsyncFunctionDef


def functions(path: Path) -> list[Function]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return [node for node in ast.walk(tree) if isinstance(node, Function)]


def length(node: Function) -> int:
    return (node.end_lineno or node.lineno) - node.lineno + 1


def ids(path: Path) -> str:
    return str(path.relative_to(PACKAGE))


@pytest.mark.parametrize("path", FILES, ids=ids)
def test_a_file_is_short(path: Path) -> None:
    most = 400 if path.relative_to(PACKAGE).parts[0] == "game" else 300
    assert len(path.read_text(encoding="utf-8").splitlines()) <= most


@pytest.mark.parametrize("path", FILES, ids=ids)
def test_a_function_is_short(path: Path) -> None:
    assert [(f.name, length(f)) for f in functions(path) if length(f) > 50] == []


@pytest.mark.parametrize("path", FILES, ids=ids)
def test_every_file_and_public_function_says_what_one_gets(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert ast.get_docstring(tree), "the module"
    scopes = [n for n in ast.walk(tree) if isinstance(n, ast.Module | ast.ClassDef)]
    public = [
        node
        for scope in scopes
        if not (isinstance(scope, ast.ClassDef) and scope.name.startswith("_"))
        for node in scope.body
        if isinstance(node, Function | ast.ClassDef) and not node.name.startswith("_")
    ]
    assert [node.name for node in public if not ast.get_docstring(node)] == []


def bare(node: Function) -> bool:
    """Whether an argument or the result has no annotation."""
    given = node.args
    several = [each for each in (given.vararg, given.kwarg) if each is not None]
    arguments = [*given.posonlyargs, *given.args, *given.kwonlyargs, *several]
    named = [a for a in arguments if a.arg not in ("self", "cls")]
    return node.returns is None or any(a.annotation is None for a in named)


@pytest.mark.parametrize("path", FILES, ids=ids)
def test_every_argument_and_result_is_annotated(path: Path) -> None:
    assert [node.name for node in functions(path) if bare(node)] == []


@pytest.mark.parametrize(
    "source",
    ["def f(a: int): ...", "def f(a) -> int: ...", "def f(*a) -> int: ...",
     "def f(**a) -> int: ...", "def f(*, a) -> int: ...", "async def f(a, /) -> int: ..."],
)  # fmt: skip
def test_what_lacks_an_annotation_is_seen(source: str) -> None:
    (node,) = ast.parse(source).body
    assert isinstance(node, Function)
    assert bare(node)


UNFINISHED = re.compile(r"\b(TODO|FIXME|XXX)\b|@@|type: ignore(?!\[)|noqa(?!: )")
"""Unfinished work, and silenced warnings that do not say which."""


@pytest.mark.parametrize("path", FILES, ids=ids)
def test_nothing_is_left_undone_or_silenced_unnamed(path: Path) -> None:
    assert UNFINISHED.findall(path.read_text(encoding="utf-8")) == []


def test_median_sizes() -> None:
    sizes = sorted(len(p.read_text(encoding="utf-8").splitlines()) for p in FILES)
    lengths = sorted(length(f) for path in FILES for f in functions(path))
    print(f"files: median {sizes[len(sizes) // 2]}, largest {sizes[-1]}; "
          f"functions: median {lengths[len(lengths) // 2]}, longest {lengths[-1]}")  # fmt: skip
    assert sizes[len(sizes) // 2] <= 150
    assert lengths[len(lengths) // 2] <= 10
