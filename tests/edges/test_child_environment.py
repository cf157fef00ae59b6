"""What children inherit, and that none of them sends anything.

Source: the system calls themselves, as strace prints them (strace(1), trace=network), and the
README's promise that nothing is sent.
"""

from __future__ import annotations

import ast
import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from callout.edges.child_environment import child_environment
from callout.edges.piper_voice import default_voice

PACKAGE = Path(__file__).parent.parent.parent / "callout"
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


def starts(path: Path) -> list[ast.Call]:
    """The calls of a file that start a process."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and isinstance(node.func.value, ast.Name)
        and node.func.value.id == "subprocess"
        and node.func.attr in STARTS
    ]


def test_every_process_is_started_with_that_environment() -> None:
    found = [(path.name, call) for path in PACKAGE.rglob("*.py") for call in starts(path)]
    assert len(found) >= 6
    for name, call in found:
        given = [ast.unparse(each.value) for each in call.keywords if each.arg == "env"]
        if name != FETCHES:
            assert given, name
            assert given[0].startswith("child_environment("), name


def spoken_by(folder: Path, *before: str, open_s: float = 0.0) -> int:
    """How many bytes of sound the voice's process gives for a sentence; `folder` is its home."""
    with subprocess.Popen(
        [*before, sys.executable, "-m", "callout.edges.synth", str(default_voice())],
        env={"PATH": os.environ["PATH"], "HOME": str(folder)},
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
    ) as process:  # fmt: skip
        assert process.stdin is not None
        assert process.stdout is not None
        assert json.loads(process.stdout.readline()) == {"ready": True}
        process.stdin.write(json.dumps({"text": "Home two.", "speed": 1.0}).encode() + b"\n")
        process.stdin.flush()
        count = int(json.loads(process.stdout.readline())["bytes"])
        assert len(process.stdout.read(count)) == count
        with pytest.raises(subprocess.TimeoutExpired):
            process.wait(open_s)
    return count


def test_the_voice_keeps_no_identity_of_this_machine(tmp_path: Path) -> None:
    """Its library writes a device id and a queue of events as soon as it is loaded, if it may."""
    assert spoken_by(tmp_path) > 10_000
    assert [*tmp_path.rglob("*")] == []


def connected(trace: Path) -> list[str]:
    """The lines of a trace that reach for anything but a socket of this machine's files."""
    calls = re.compile(r"\b(connect|sendto|sendmsg|sendmmsg)\(")
    return [
        line
        for line in trace.read_text(errors="replace").splitlines()
        if calls.search(line) and re.search(r"AF_INET6?|sin_addr|sin6_addr", line)
    ]


@pytest.mark.thorough
def test_the_voice_connects_to_nothing(tmp_path: Path) -> None:
    trace = tmp_path / "trace"
    home = tmp_path / "home"
    home.mkdir()
    strace = ("strace", "-f", "-e", "trace=network", "-o", str(trace))
    assert spoken_by(home, *strace, open_s=TALKS_S) > 10_000
    assert "+++ exited with 0 +++" in trace.read_text()
    assert connected(trace) == []


def test_a_connection_would_be_seen(tmp_path: Path) -> None:
    trace = tmp_path / "trace"
    code = "import socket as s; s.socket(type=s.SOCK_DGRAM).connect(('127.0.0.1', 9))"
    command = ["strace", "-f", "-e", "trace=network", "-o", str(trace), sys.executable, "-c", code]
    subprocess.run(command, check=True, timeout=60)
    assert len(connected(trace)) == 1
