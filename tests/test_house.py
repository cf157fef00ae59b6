"""The project's own limits: sizes, annotations, docstrings. Source: DEVELOPERS.md."""

from __future__ import annotations

import ast
import re
from functools import cache
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "callout"
FILES = sorted(p for p in PACKAGE.rglob("*.py") if p.stat().st_size)
Function = ast.FunctionDef | ast.AsyncFunctionDef


@cache
def functions(path: Path) -> list[Function]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return [node for node in ast.walk(tree) if isinstance(node, Function)]


def length(node: Function) -> int:
    return (node.end_lineno or node.lineno) - node.lineno + 1


def within(path: Path) -> str:
    return path.relative_to(PACKAGE).as_posix()


def lines(path: Path) -> int:
    return len(path.read_text(encoding="utf-8").splitlines())


def most_lines(path: Path) -> int:
    return 400 if path.relative_to(PACKAGE).parts[0] == "game" else 300


# Each rule is one test that lists who breaks it: a test for each of 400 files took longer than all
# of the checking.


def test_a_file_is_short() -> None:
    assert len(FILES) > 300
    assert [(within(path), lines(path)) for path in FILES if lines(path) > most_lines(path)] == []


def test_a_function_is_short() -> None:
    everything = [(within(path), f.name, length(f)) for path in FILES for f in functions(path)]
    assert len(everything) > 2_000
    assert [each for each in everything if each[-1] > 50] == []


def unexplained(source: str) -> list[str]:
    """What of a module's public names has no docstring; "the module" if that has none."""
    tree = ast.parse(source)
    scopes = [n for n in ast.walk(tree) if isinstance(n, ast.Module | ast.ClassDef)]
    public = [
        node
        for scope in scopes
        if not (isinstance(scope, ast.ClassDef) and scope.name.startswith("_"))
        for node in scope.body
        if isinstance(node, Function | ast.ClassDef) and not node.name.startswith("_")
    ]
    itself = [] if ast.get_docstring(tree) else ["the module"]
    return itself + [node.name for node in public if not ast.get_docstring(node)]


def test_every_file_and_public_function_says_what_one_gets() -> None:
    silent = {within(path): unexplained(path.read_text(encoding="utf-8")) for path in FILES}
    assert {path: names for path, names in silent.items() if names} == {}


def test_what_is_not_explained_is_seen() -> None:
    source = "def f(): ...\nclass A:\n    def g(self): ...\nclass _B:\n    def h(self): ..."
    assert unexplained(source) == ["the module", "f", "A", "g"]


def bare(node: Function) -> bool:
    """Whether an argument or the result has no annotation."""
    given = node.args
    several = [each for each in (given.vararg, given.kwarg) if each is not None]
    arguments = [*given.posonlyargs, *given.args, *given.kwonlyargs, *several]
    named = [a for a in arguments if a.arg not in ("self", "cls")]
    return node.returns is None or any(a.annotation is None for a in named)


def test_every_argument_and_result_is_annotated() -> None:
    assert [(within(path), f.name) for path in FILES for f in functions(path) if bare(f)] == []


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


def test_nothing_is_left_undone_or_silenced_unnamed() -> None:
    assert UNFINISHED.search("x = 1  # TODO") is not None
    texts = {within(path): path.read_text(encoding="utf-8") for path in FILES}
    assert [path for path, text in texts.items() if UNFINISHED.search(text)] == []


def test_no_page_waits_for_its_figures() -> None:
    pages = [PACKAGE.parent / f"{name}.md" for name in ("README", "CHANGELOG", "DEVELOPERS")]
    blank = re.compile(r"\b(FIGURES?|TODO|TBD)\b")
    assert blank.search("less. FIGURES\n") is not None
    assert [page.name for page in pages if blank.search(page.read_text(encoding="utf-8"))] == []


def loose(source: str) -> list[str]:
    """The constants of a module that are not marked `Final`."""
    targets = [each for node in ast.parse(source).body if isinstance(node, ast.Assign)
               for each in node.targets]  # fmt: skip
    names = [each.id for each in targets if isinstance(each, ast.Name)]
    return [name for name in names if re.fullmatch(r"_?[A-Z][A-Z0-9_]+", name)]


def test_a_constant_is_final() -> None:
    source = "A1 = 1\n_LEAST = 2\nT = TypeVar('T')\nName = str\nB2: Final = 3"
    assert loose(source) == ["A1", "_LEAST"]
    found = {within(path): loose(path.read_text(encoding="utf-8")) for path in FILES}
    assert {path: names for path, names in found.items() if names} == {}


def test_median_sizes() -> None:
    sizes = sorted(map(lines, FILES))
    lengths = sorted(length(f) for path in FILES for f in functions(path))
    print(f"files: median {sizes[len(sizes) // 2]}, largest {sizes[-1]}; "
          f"functions: median {lengths[len(lengths) // 2]}, longest {lengths[-1]}")  # fmt: skip
    assert sizes[len(sizes) // 2] <= 150
    assert lengths[len(lengths) // 2] <= 10
