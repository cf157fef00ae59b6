"""Imports point one way, and each library is known to one room.

Source: the order of the rooms in DEVELOPERS.md.
"""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "callout"
FILES = sorted(PACKAGE.rglob("*.py"))

ORDER = {"errors": 0, "data": 0, "game": 1, "language": 2, "table": 3, "paper": 4, "edges": 5,
         "__main__": 6}  # fmt: skip
"""A room may import from those of a lower number, and from itself."""

HOME = {
    "vosk": "edges",
    "sounddevice": "edges",
    "soundfile": "edges",
    "soxr": "edges",
    "numpy": "edges",
    "piper": "edges",
    "hassil": "language",
    "yaml": "language",
    "typer": "edges",
}
"""The room of each library; pydantic and rich stand at several borders."""

ANYWHERE = {"pydantic", "rich"}
PURE = ("game", "language")
READERS = {"profile_file.py", "source.py", "grammar.py", "check.py", "replies.py", "call_file.py"}
"""The files of the pure rooms that read files; they read nothing else."""
IMPURE = {"os", "time", "socket", "subprocess", "threading", "sqlite3", "random", "datetime",
          "asyncio", "urllib", "tempfile"}  # fmt: skip


def module_name(path: Path) -> str:
    parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imports(path: Path) -> Iterator[str]:
    """Full names of what a file imports, at any depth, relative ones resolved."""
    package = module_name(path).split(".")
    if path.name != "__init__.py":
        package = package[:-1]
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else []
            name = ".".join([*base, *([node.module] if node.module else [])])
            yield name
            for alias in node.names:
                if (PACKAGE.parent / (f"{name}.{alias.name}".replace(".", "/") + ".py")).is_file():
                    yield f"{name}.{alias.name}"


def room(name: str) -> str:
    return name.split(".")[1] if "." in name else ""


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_imports_point_one_way(path: Path) -> None:
    mine = room(module_name(path))
    for name in imports(path):
        if name.startswith("callout.") and mine:
            assert ORDER[room(name)] <= ORDER[mine], f"{path.name} imports {name}"


def test_no_module_imports_itself_by_a_detour() -> None:
    known = {module_name(path) for path in FILES}
    graph = {module_name(p): {n for n in imports(p) if n in known} - {module_name(p)}
             for p in FILES}  # fmt: skip
    assert len(list(TopologicalSorter(graph).static_order())) == len(known)


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_each_library_is_known_to_one_room(path: Path) -> None:
    mine = room(module_name(path))
    for name in imports(path):
        top = name.split(".")[0]
        if top in ("callout", *sys.stdlib_module_names, *ANYWHERE):
            continue
        allowed = (HOME[top], "__main__") if top == "typer" else (HOME[top],)
        assert mine in allowed, f"{path.name} imports {name}"


@pytest.mark.parametrize(
    "path", [p for p in FILES if room(module_name(p)) in PURE], ids=lambda p: p.name
)
def test_the_pure_rooms_touch_nothing_outside(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    touched = {name.split(".")[0] for name in imports(path)} & (IMPURE - {"random"})
    called = {n.func.id for n in ast.walk(tree)
              if isinstance(n, ast.Call) and isinstance(n.func, ast.Name)}  # fmt: skip
    read = {n.func.attr for n in ast.walk(tree)
            if isinstance(n, ast.Call) and isinstance(n.func, ast.Attribute)}  # fmt: skip
    assert not touched
    assert not called & {"open", "print", "input"}
    if path.name not in READERS:
        assert not read & {"read_text", "write_text", "read_bytes", "write_bytes", "glob"}
