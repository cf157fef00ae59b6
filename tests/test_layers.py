"""Imports point one way, and each library is known to one room.

Source: the order of the rooms in DEVELOPERS.md.
"""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator
from functools import cache
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "callout"
FILES = sorted(PACKAGE.rglob("*.py"))

ORDER = {"plain": -2, "counted": -2, "errors": -1, "reading": 0, "data": 0, "words": 0, "game": 1,
         "language": 2, "table": 3, "practice": 3, "paper": 4, "league": 4, "edges": 5,
         "commands": 6, "__main__": 7}  # fmt: skip
"""A room may import from those of a lower number, and from itself."""

INNER = {
    "edges": {"": 0, "models": 1, "ear": 2, "voice": 2, "keys": 2, "page": 2,
              "league": 2, "live": 3, "practice": 4},
    "game": {"": 0, "profile": 0, "figures": 1, "decisions": 2, "notices": 3},
}  # fmt: skip
"""The same within a room, for its folders; those of the same number never import each other.

The modules that lie beside the folders have an empty name. `game` has two that join its folders,
`decide` and `apply`, and two that everything is built on, `state` and `terms`: they are left out.
"""

MOST_IMPORTS = 12
"""A module that needs more modules than that joins too many things.

What lies beside the rooms (errors, plain, counted, reading, data, words) is not counted, nor are
the modules of `commands`, whose work is to join the rest.
"""

JOINERS = {"table.session": 25, "edges.live.table": 26, "edges.live.hands": 16,
           "table.scripts.script": 18, "table.speech.speaker": 17,
           "game.notices.after_entry": 17, "table.talk.dialogue": 13, "table.before": 17,
           "table.book.scorebook": 13,
           "game.decide": 14}  # fmt: skip
"""Modules whose work is to join others, with how many they may import."""

APART = {"paper": {"language"}, "league": {"language"}, "practice": {"language"}}
"""What a room does not read, though it lies lower."""

HOMES = {
    "vosk": {"edges"},
    "sounddevice": {"edges"},
    "soundfile": {"edges", "commands"},
    "soxr": {"edges"},
    "platformdirs": {"edges"},
    "numpy": {"edges", "commands"},
    "piper": {"edges"},
    "hassil": {"language"},
    "yaml": {"language"},
    "typer": {"commands", "__main__"},
    "pynput": {"edges"},
    "evdev": {"edges"},
    "pydantic": {"game", "language", "edges"},
    "starlette": {"edges"},
    "uvicorn": {"edges"},
    "segno": {"edges"},
    "openpyxl": {"edges"},
    "rich": {"paper", "edges", "commands"},
    "typst": {"edges"},
    "psycopg": {"edges"},
    "icalendar": {"league"},
}
"""The rooms of each library. pydantic checks files at three borders, and the demo has a command
line of its own."""

PURE = ("game", "language", "practice")
READERS = {"game/profile/file.py", "language/source.py", "language/folder.py",
           "language/shipped.py"}  # fmt: skip
"""The files of the pure rooms that read their own data; they touch nothing else."""
IMPURE = {"os", "io", "time", "socket", "subprocess", "threading", "multiprocessing", "sqlite3",
          "datetime", "asyncio", "urllib", "http", "tempfile", "shutil", "random", "secrets",
          "logging", "signal", "select", "queue"}  # fmt: skip
READS = {"read_text", "read_bytes", "read_toml", "iterdir", "paths_in", "glob", "rglob", "is_file",
         "is_dir", "is_folder", "exists"}  # fmt: skip
"""Of pathlib, and of `callout.reading`."""
WRITES = {"write_text", "write_bytes", "mkdir", "unlink", "rename", "touch",
          "open"}  # fmt: skip


def within(path: Path) -> str:
    return path.relative_to(PACKAGE).as_posix()


def module_name(path: Path) -> str:
    parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


MODULES = {module_name(path): path for path in FILES}


def imported(tree: ast.AST, package: list[str]) -> Iterator[str]:
    """Full names of what a module imports, at any depth, relative ones resolved.

    `package` is the one the module lies in, in parts.
    """
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else []
            name = ".".join([*base, *([node.module] if node.module else [])])
            yield name
            for alias in node.names:
                if f"{name}.{alias.name}" in MODULES:
                    yield f"{name}.{alias.name}"


@cache
def imports(path: Path) -> list[str]:
    package = module_name(path).split(".")
    if path.name != "__init__.py":
        package = package[:-1]
    return list(imported(ast.parse(path.read_text(encoding="utf-8")), package))


def room(name: str) -> str:
    return name.split(".")[1] if "." in name else ""


def wrong_ways(mine: str, names: list[str]) -> list[str]:
    """What a room may not import of the house."""
    return [
        name
        for name in names
        if name.startswith("callout.")
        and (ORDER[room(name)] > ORDER[mine]
             or (ORDER[room(name)] == ORDER[mine] and room(name) != mine)
             or room(name) in APART.get(mine, ()))
    ]  # fmt: skip


def wrong_libraries(mine: str, names: list[str]) -> list[str]:
    """The libraries that another room should know, or none does."""
    tops = {name.split(".")[0] for name in names} - {"callout", *sys.stdlib_module_names}
    return sorted(top for top in tops if mine not in HOMES.get(top, ()))


def test_every_room_has_its_place() -> None:
    found = {room(name) for name in MODULES} - {""}
    assert found <= set(ORDER)
    assert {"game", "language", "table", "paper", "edges", "__main__"} <= found


# Each rule is one test that lists who breaks it: a test for each of 400 files took longer than all
# of the checking.


def test_imports_point_one_way() -> None:
    wrong = {name: wrong_ways(room(name), imports(path)) for name, path in MODULES.items()
             if room(name)}  # fmt: skip
    assert len(wrong) > 300
    assert {name: names for name, names in wrong.items() if names} == {}


def test_the_package_itself_imports_nothing() -> None:
    assert imports(PACKAGE / "__init__.py") == []


def folder(name: str) -> str:
    """The folder of a module within its room; empty for one that lies beside the folders."""
    parts = name.split(".")
    return parts[2] if len(parts) > 3 else ""


def inner_steps(mine: str, names: list[str]) -> list[str]:
    """What a module imports of its own room from a folder that it may not know."""
    order = INNER.get(room(mine), {})
    own = [name for name in names if name in MODULES and room(name) == room(mine)]
    return [
        name
        for name in own
        if folder(name) != folder(mine) and folder(name) and folder(mine)
        and order[folder(name)] >= order[folder(mine)]
    ]  # fmt: skip


def test_folders_of_a_room_import_one_way() -> None:
    wrong = {name: inner_steps(name, imports(path)) for name, path in MODULES.items()
             if room(name) in INNER}  # fmt: skip
    assert len(wrong) > 150
    assert {name: names for name, names in wrong.items() if names} == {}


def test_every_folder_of_a_room_has_its_place() -> None:
    found = {(room(name), folder(name)) for name in MODULES if room(name) in INNER}
    assert found == {(mine, name) for mine, names in INNER.items() for name in names}


def joined(path: Path) -> set[str]:
    """The modules in the rooms that a module imports."""
    known = {each for each in imports(path) if each in MODULES and ORDER[room(each)] > 0}
    return {each for each in known if not any(other.startswith(f"{each}.") for other in known)}


def test_no_module_joins_too_many() -> None:
    counts = {name.removeprefix("callout."): len(joined(path)) for name, path in MODULES.items()
              if room(name) not in ("", "commands", "__main__")}  # fmt: skip
    assert len(counts) > 250
    most = {name: JOINERS.get(name, MOST_IMPORTS) for name in counts}
    assert {name: count for name, count in counts.items() if count > most[name]} == {}


@pytest.mark.parametrize("name", JOINERS)
def test_who_may_join_many_does(name: str) -> None:
    assert MOST_IMPORTS < len(joined(MODULES[f"callout.{name}"])) <= JOINERS[name]


def circle(graph: dict[str, set[str]]) -> list[str]:
    """The modules of a circle of imports, if there is one."""
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as error:
        return list(error.args[1])
    return []


def test_no_module_imports_itself_by_a_detour() -> None:
    graph = {name: (set(imports(path)) & set(MODULES)) - {name} for name, path in MODULES.items()}
    assert sum(map(len, graph.values())) > 100, "the imports were found"
    assert circle(graph) == []


def test_each_library_is_known_to_its_rooms_alone() -> None:
    wrong = {name: wrong_libraries(room(name), imports(path)) for name, path in MODULES.items()}
    assert {name: names for name, names in wrong.items() if names} == {}


def test_every_library_in_the_table_is_used_in_each_of_its_rooms() -> None:
    used: dict[str, set[str]] = {}
    for name, path in MODULES.items():
        for each in imports(path):
            used.setdefault(each.split(".")[0], set()).add(room(name))
    assert {library: used.get(library) for library in HOMES} == HOMES


def touches(path: Path) -> tuple[set[str], set[str]]:
    """The impure modules that a file imports, and what it calls that reads or writes."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    modules = {name.split(".")[0] for name in imports(path)} & IMPURE
    calls = [node.func for node in ast.walk(tree) if isinstance(node, ast.Call)]
    named = {func.id for func in calls if isinstance(func, ast.Name)}
    asked = {func.attr for func in calls if isinstance(func, ast.Attribute)}
    return modules, (named & {"open", "print", "input", *READS}) | (asked & (READS | WRITES))


def test_the_pure_rooms_touch_nothing_outside() -> None:
    pure = [path for path in FILES if room(module_name(path)) in PURE]
    assert len(pure) > 100
    for path in pure:
        modules, calls = touches(path)
        assert not modules, within(path)
        assert calls <= (READS if within(path) in READERS else set()), within(path)


@pytest.mark.parametrize("name", sorted(READERS))
def test_what_may_read_does(name: str) -> None:
    assert touches(PACKAGE / name)[1] & READS


# --- the checks themselves ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("source", "package", "expected"),
    [
        ("import callout.table.session", "game", "callout.table.session"),
        ("from callout.edges import ear", "table", "callout.edges.ear"),
        ("from ..table import session", "game", "callout.table.session"),
        ("from .. import edges", "game", "callout.edges"),
        ("def later():\n    from ..edges.ear import process", "table", "callout.edges.ear.process"),
        ("if True:\n    from callout.language.parser import Parser", "paper",
         "callout.language.parser"),
    ],
)  # fmt: skip
def test_a_step_the_wrong_way_is_seen(source: str, package: str, expected: str) -> None:
    names = list(imported(ast.parse(source), ["callout", package]))
    assert expected in wrong_ways(package, names)


def test_a_step_the_right_way_is_not_blamed() -> None:
    names = list(imported(ast.parse("from ..game import terms\nimport json"), ["callout", "table"]))
    assert "callout.game.terms" in names
    assert wrong_ways("table", names) == []
    assert wrong_libraries("table", names) == []


def test_an_ear_that_knows_the_voice_is_seen() -> None:
    assert inner_steps("callout.edges.ear.client", ["callout.edges.voice.player"])
    assert inner_steps("callout.edges.voice.player", ["callout.edges.live.table"])
    assert inner_steps("callout.edges.live.table", ["callout.edges.ear.client"]) == []


def test_a_library_in_another_room_is_seen() -> None:
    assert wrong_libraries("table", ["numpy", "unheard_of.part", "json"]) == [
        "numpy",
        "unheard_of",
    ]


def test_a_circle_is_seen() -> None:
    assert circle({"a": {"b"}, "b": {"c"}, "c": {"a"}}) != []
