"""Every reader of a file, on files that a mistake, a bad disk or an editor may have made of it.

hypothesis draws what is changed: bytes of the program's own files are turned over, cut out, put in
twice, or written over with what such files are made of. A reader gives its result or one clear
line; a traceback is a fault, and so is a file that takes seconds.
"""

from __future__ import annotations

import shutil
import time
from collections.abc import Callable
from contextlib import suppress
from functools import cache
from pathlib import Path

from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from callout.errors import CalloutError
from callout.game.profile_file import PROFILES, load_profile
from callout.language.check import load_language
from callout.language.grammar import Grammar, Scope
from callout.table.journal import Journal
from callout.table.key_file import read_keys
from callout.table.roster import read_roster
from callout.table.salvage import salvage
from callout.table.script import Runner, read_script
from callout.table.setup import read_setup
from callout.table.words import english
from tests.faults.playing import SETUP
from tests.faults.result import Result
from tests.faults.writer import write

ROOT = Path(__file__).parent.parent.parent
LONGEST_S: float = 10.0
ROUND = 50
PARTS = st.one_of(
    st.binary(max_size=12),
    st.sampled_from([b":", b"|", b"=", b"{", b"}", b"[", b"]", b"\n", b'"', b"\x00", b"-1", b"#",
                     b"99999999999999999999", b"$", b"\xff", b"  ", b"home", b"{x}", b"- ",
                     b"!!int ", b"&a [*a]", b"*a", b"? ", b"2001-99-99", b"<<: ", b"1e999"]),
)  # fmt: skip
CHANGES = st.lists(st.tuples(st.integers(0, 2**31), st.integers(0, 12), PARTS), max_size=6)
KEYS = b"""\
bounce_ms = 25
[keys]
x = "home two"
f9 = ["stop clock", "{team} two"]
[everywhere]
"f13 long" = "start clock"
[pedal]
device = "/dev/input/by-id/usb-Pedal-event-kbd"
"a+b" = "home"
"""
Changes = list[tuple[int, int, bytes]]


def changed(whole: bytes, changes: Changes) -> bytes:
    """The bytes with each change made: at a place, so many taken out, others put in."""
    for place, out, put in changes:
        at = place % (len(whole) + 1)
        whole = whole[:at] + put + whole[at + out :]
    return whole


def _script(folder: Path, changes: Changes) -> None:
    path = folder / "x.game"
    path.write_bytes(changed((ROOT / "tests/games/first.game").read_bytes(), changes))
    script = read_script(path)
    Runner(script, _language(), Journal.in_memory(script.setup)).run()


def _roster(folder: Path, changes: Changes) -> None:
    path = folder / "x.csv"
    path.write_bytes(changed(b"number;name;starter\n4;Ada Moss;x\n5;;\n00;Bo Reed;\n", changes))
    read_roster(path)


def _setup(folder: Path, changes: Changes) -> None:
    path = folder / "x.setup"
    path.write_bytes(changed(SETUP.encode(), changes))
    read_setup(path)


def _keys(folder: Path, changes: Changes) -> None:
    path = folder / "x.toml"
    path.write_bytes(changed(KEYS, changes))
    read_keys(path, _language(), Scope())


def _profile(folder: Path, changes: Changes) -> None:
    for path in PROFILES.glob("*.toml"):
        shutil.copy(path, folder)
    path = folder / "fiba-2022.toml"
    path.write_bytes(changed(path.read_bytes(), changes))
    load_profile("fiba-2022", folder)


def _grammar(folder: Path, changes: Changes) -> None:
    place = folder / "en"
    shutil.copytree(ROOT / "grammars/en", place)
    files = sorted(path for path in place.rglob("*.yaml"))
    path = files[sum(at for at, _, _ in changes) % len(files)]
    path.write_bytes(changed(path.read_bytes(), changes))
    load_language(place)


def _journal(folder: Path, changes: Changes) -> None:
    path = folder / "x.game"
    path.write_bytes(changed(_game(folder.parent), changes))
    try:
        with Journal.open(path) as journal:
            journal.entries()
            journal.replies()
    finally:
        salvage(path)


@cache
def _language() -> Grammar:
    return load_language(english())


@cache
def _game(folder: Path) -> bytes:
    write(folder / "whole.game", 12)
    return (folder / "whole.game").read_bytes()


READERS: dict[str, Callable[[Path, Changes], None]] = {
    "script": _script, "roster": _roster, "setup": _setup, "keys": _keys, "profile": _profile,
    "grammar": _grammar, "journal": _journal,
}  # fmt: skip


def fuzz(folder: Path, seconds: float) -> Result:
    """Each reader in turn for its share of the time; what it could not bear is printed."""
    tried, faults = 0, []
    for name in READERS:
        # Another number each time, so that two runs draw other files.
        end, number = time.monotonic() + seconds / len(READERS), time.time_ns()
        while time.monotonic() < end:
            number += 1
            count, found = _round(name, number, folder, end)
            tried += count
            faults += found
    for fault in faults[:20]:
        print(f"fuzz: {fault}")
    return Result("readers fuzzed", tried, len(faults), counts={"seconds": round(seconds)})


def _round(name: str, number: int, folder: Path, end: float) -> tuple[int, list[str]]:
    """Some files for one reader: how many, and what it could not bear.

    The same number draws the same files, so that what fails can be tried again.
    """
    count, faults = 0, []

    @seed(number)
    @settings(max_examples=ROUND, deadline=None, database=None, phases=[Phase.generate],
              suppress_health_check=list(HealthCheck))  # fmt: skip
    @given(CHANGES)
    def read(changes: Changes) -> None:
        nonlocal count
        if time.monotonic() > end:
            return
        count += 1
        place = folder / f"{name}-{number}-{count}"
        place.mkdir()
        begun = time.monotonic()
        try:
            with suppress(CalloutError):
                READERS[name](place, changes)
        except Exception as error:
            faults.append(f"{name}: {type(error).__name__}: {error} after {changes!r}")
        if (took := time.monotonic() - begun) > LONGEST_S:
            faults.append(f"{name}: took {took:.1f} s after {changes!r}")
        shutil.rmtree(place)

    read()
    return count, faults
