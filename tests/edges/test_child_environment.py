"""What children inherit, and that none of them sends anything.

Source: the system calls themselves, as strace prints them (strace(1), trace=network), and the
README's promise that nothing is sent.
"""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

from callout.edges.child_environment import UNLESS_SET, child_environment, inherited
from callout.edges.voice.messages import COMMANDS, EVENTS, Ready, Say, Spoken
from callout.edges.voice.piper import default_voice
from tests.trace import addresses, strace

ROOT = Path(__file__).parent.parent.parent
PACKAGE = ROOT / "callout"
FETCHES = "archives.py"
"""`callout models` runs Maven, which needs the proxies of the machine, and is meant to fetch."""
STARTS = {"Popen", "run", "call", "check_call", "check_output"}
TALKS_S = 25.0
"""onnxruntime with its telemetry on opens its first connection within this time (4 in 40 s)."""


def test_a_child_gets_what_it_needs_and_no_more(monkeypatch: pytest.MonkeyPatch) -> None:
    needed = {"PATH": "/bin", "HOME": "/home/a", "LC_ALL": "C", "XDG_RUNTIME_DIR": "/run/a",
              "PULSE_SERVER": "unix:/run/p", "DISPLAY": ":7", "PYTHONPATH": "/lib/p",
              "CALLOUT_MODELS": "/models"}  # fmt: skip
    unwanted = {"HTTPS_PROXY": "http://a", "SECRET_TOKEN": "b", "LD_PRELOAD": "c.so",
                "ORT_DISABLE_TELEMETRY": "0", "PYTHONSTARTUP": "d.py"}  # fmt: skip
    for name, value in {**needed, **unwanted}.items():
        monkeypatch.setenv(name, value)
    given = child_environment({"CALLOUT_WAV": "a.wav"})
    assert needed.items() <= given.items()
    assert set(unwanted) & set(given) == {"ORT_DISABLE_TELEMETRY"}
    assert given["ORT_DISABLE_TELEMETRY"] == "1"
    assert given["CALLOUT_WAV"] == "a.wav"


def test_names_have_a_case_except_on_windows() -> None:
    """Source: Microsoft, "Environment Variables": names are not case-sensitive on Windows."""
    ours = {"Path": "C:\\bin", "SystemRoot": "C:\\Windows", "lc_all": "C", "Https_Proxy": "http://a",
            "ort_disable_telemetry": "0"}  # fmt: skip
    given = inherited(ours, {"path": "D:\\bin"}, cased=False)
    assert given == {"SystemRoot": "C:\\Windows", "lc_all": "C", "ORT_DISABLE_TELEMETRY": "1",
                     "path": "D:\\bin", "OPENBLAS_NUM_THREADS": "1"}  # fmt: skip
    assert inherited(ours, cased=True) == {"ORT_DISABLE_TELEMETRY": "1", **UNLESS_SET}


@pytest.mark.parametrize(("ours", "cased", "threads"), [
    ({}, True, {"OPENBLAS_NUM_THREADS": "1"}),
    ({"OPENBLAS_NUM_THREADS": "2"}, True, {"OPENBLAS_NUM_THREADS": "2"}),
    ({"openblas_num_threads": "2"}, False, {"openblas_num_threads": "2"}),
])  # fmt: skip
def test_arithmetic_has_one_thread_unless_somebody_wants_more(
    ours: dict[str, str], cased: bool, threads: dict[str, str]
) -> None:
    given = inherited(ours, cased=cased)
    assert {k: v for k, v in given.items() if k.upper().startswith("OPENBLAS")} == threads


@cache
def nodes(path: Path) -> list[ast.AST]:
    """All that a file is made of; read once, as several tests go through all files."""
    return list(ast.walk(ast.parse(path.read_text(encoding="utf-8"))))


def starts(path: Path) -> list[ast.Call]:
    """The calls of a file that start a process."""
    return [
        node
        for node in nodes(path)
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and isinstance(node.func.value, ast.Name)
        and node.func.value.id == "subprocess"
        and node.func.attr in STARTS
    ]


def test_every_process_is_started_with_that_environment() -> None:
    found = [(path.name, call) for path in PACKAGE.rglob("*.py") for call in starts(path)]
    assert len(found) >= 4
    for name, call in found:
        given = [ast.unparse(each.value) for each in call.keywords if each.arg == "env"]
        if name != FETCHES:
            assert given, name
            assert given[0].startswith("child_environment("), name


OTHER_WAYS = {
    "os": {"system", "popen", "fork", "forkpty", "posix_spawn", "posix_spawnp", "startfile",
           *(f"{kind}{form}" for kind in ("exec", "spawn") for form in ("l", "le", "lp", "lpe", "v",
             "ve", "vp", "vpe"))},
    "subprocess": {"getoutput", "getstatusoutput"},
    "asyncio": {"create_subprocess_exec", "create_subprocess_shell", "subprocess"},
}  # fmt: skip
"""Functions that start a process with all of our environment."""
OTHER_MODULES = {"multiprocessing", "pty", "concurrent.futures.process"}


def loaded(path: Path) -> set[str]:
    """The modules that a file imports at any depth, and the names taken out of them."""
    found = set()
    for node in nodes(path):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return found


def attributes(path: Path) -> set[tuple[str, str]]:
    """All that a file takes of a module by its name, `os.fork` as a pair."""
    return {(node.value.id, node.attr) for node in nodes(path)
            if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name)}  # fmt: skip


def test_no_process_is_started_in_another_way() -> None:
    unwanted = {(module, name) for module, names in OTHER_WAYS.items() for name in names}
    for path in PACKAGE.rglob("*.py"):
        assert attributes(path) & unwanted == set(), path
        names = loaded(path)
        assert names & OTHER_MODULES == set(), path
        assert not any(n.startswith(("subprocess.", "os.")) and n != "os.path" for n in names), path
        assert "concurrent.futures.ProcessPoolExecutor" not in names, path


def test_the_library_that_reports_is_loaded_by_the_voice_alone() -> None:
    """Into no test, benchmark or training either: each of them asks the voice's process."""
    libraries = ("piper", "onnxruntime")
    every = [path for room in ("callout", "tests") for path in (ROOT / room).rglob("*.py")]
    # To read a file as code takes 10 ms; where no such word stands, none is imported.
    files = [path for path in every if any(x in path.read_text("utf-8") for x in libraries)]
    roots = {path: {name.partition(".")[0] for name in loaded(path)} for path in files}
    reporting = [path.name for path in files if roots[path] & set(libraries)]
    assert reporting == ["piper_process.py"]


def spoken_by(folder: Path, *before: str, open_s: float = 0.0) -> int:
    """How many bytes of sound the voice's process gives for a sentence; `folder` is its home."""
    with subprocess.Popen(
        [*before, sys.executable, "-m", "callout.edges.voice.piper_process", str(default_voice())],
        env={"PATH": os.environ["PATH"], "HOME": str(folder)},
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
    ) as process:  # fmt: skip
        assert process.stdin is not None
        assert process.stdout is not None
        assert EVENTS.read(process.stdout.readline().decode()) == Ready()
        process.stdin.write(COMMANDS.write(Say("Home two.", 1.0)).encode() + b"\n")
        process.stdin.flush()
        told = EVENTS.read(process.stdout.readline().decode())
        assert isinstance(told, Spoken)
        with pytest.raises(subprocess.TimeoutExpired):
            process.wait(open_s)
    return len(told.pcm)


@pytest.mark.thorough
def test_the_voice_keeps_no_identity_of_this_machine(tmp_path: Path) -> None:
    """Its library writes a device id and a queue of events as soon as it is loaded, if it may."""
    assert spoken_by(tmp_path) > 10_000
    assert [*tmp_path.rglob("*")] == []


@pytest.mark.thorough
def test_the_voice_connects_to_nothing(tmp_path: Path) -> None:
    trace = tmp_path / "trace"
    home = tmp_path / "home"
    home.mkdir()
    command = strace(trace)
    assert spoken_by(home, *command, open_s=TALKS_S) > 10_000
    told = trace.read_text(errors="replace")
    assert "+++ exited with 0 +++" in told
    assert [str(each) for each in addresses(told) if each.sends] == []
