"""One bit is flipped in what a killed program left: in the log, the main file, or a copy.

Then each command that reads a game is tried on the same damaged files. Calls are silently lost if a
command shows fewer calls than were confirmed and reports no damage, or if `recover` says that it
saved all and did not.
"""

from __future__ import annotations

import io
import json
import random
import re
import shutil
import subprocess
import sys
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

from callout.commands.recover import recover
from callout.commands.replay import replay
from callout.commands.sheet import sheet
from callout.commands.verify import verify
from callout.errors import CalloutError
from callout.table.book.journal import Journal
from callout.table.book.leftover import log_of
from tests.faults.result import Result
from tests.faults.writer import write
from tests.table.play import SETUP

TEAMS = f"profile: {SETUP.profile}\nhome: {SETUP.home.name} |\nguest: {SETUP.guest.name} |\n"
"""The setup that recovery is given if the bit was in the header."""
BEFORE, KILLED_AFTER = 20, 40
"""Calls in the main file, and calls confirmed after those, before the program is killed."""


def flips(folder: Path, count: int) -> Result:
    """A random bit of each of the three files is flipped, `count` times for each file."""
    game, confirmed = crashed(folder / "whole")
    copy = folder / "whole" / "x.game-copy"
    parts: Mapping[str, tuple[Path, Path]] = {
        "log": (game, log_of(game)), "main": (game, game), "copy": (copy, copy),
    }  # fmt: skip
    copied = BEFORE + 1
    dice, silent, counts, most = random.Random(), 0, Counter[str](), 0
    for part, (opened, spoiled) in parts.items():
        expected = copied if part == "copy" else confirmed
        for key in ("refused or told", "entries lost in recovery"):
            counts[f"{part}: {key}"] = 0
        for _ in range(count):
            bit = dice.randrange(8 * spoiled.stat().st_size)
            told, missing, wrong = tried(opened, spoiled, bit, folder / "tried", expected)
            if wrong:
                print(f"flips: {part}, bit {bit}: {wrong}", file=sys.stderr)
            silent += len(wrong)
            counts[f"{part}: refused or told"] += told
            counts[f"{part}: entries lost in recovery"] += missing
            most = max(most, missing)
    return Result(
        "flipped after a kill", count * len(parts), silent, (), counts, {"lost of one file": most}
    )


def crashed(folder: Path) -> tuple[Path, int]:
    """A game whose program was killed, beside a copy made earlier; and its confirmed entries."""
    folder.mkdir()
    game = folder / "x.game"
    write(game, BEFORE)
    shutil.copyfile(game, folder / "x.game-copy")
    command = [sys.executable, "-m", "tests.faults.writer", str(game), "100000"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        lines = [process.stdout.readline() for _ in range(KILLED_AFTER)]
        process.kill()
        lines += [line for line in process.stdout if line.endswith("\n")]
    return game, max(int(line.split()[1]) for line in lines)


def tried(
    opened: Path, spoiled: Path, bit: int, place: Path, expected: int
) -> tuple[bool, int, list[str]]:
    """Whether any command reported the damage; entries that recovery lost; silent losses."""
    whole = opened.parent
    told, wrong = False, []
    for name, command in COMMANDS.items():
        there = laid_out(whole, spoiled.name, bit, place)
        try:
            count, said = asked(command, there / opened.name)
        except Exception as error:
            wrong.append(f"{name}: {error!r}")
            continue
        told = told or count is None or bool(said)
        if count is not None and count < expected and not said:
            wrong.append(f"{name} shows {count} of {expected} entries")
    there = laid_out(whole, spoiled.name, bit, place)
    new = there / "new.game"
    with redirect_stdout(io.StringIO()), redirect_stderr(io.StringIO()) as errors:
        try:
            status = recover(there / opened.name, new)
        except CalloutError as error:
            told = True
            if "name them: --setup FILE" not in str(error):
                return told, expected, wrong
            (there / "x.setup").write_text(TEAMS, encoding="utf-8")
            status = recover(there / opened.name, new, there / "x.setup")
        except Exception as error:  # A traceback counts like a lost call.
            return told, expected, [*wrong, f"recover: {error!r}"]
    with Journal.open(new) as journal:
        missing = len(set(range(1, expected + 1)) - {entry.id for entry in journal.entries()})
    if missing and not (status and errors.getvalue()):
        wrong.append(f"recover says all is saved, and lacks {missing}")
    shutil.rmtree(place)
    return told, missing, wrong


def laid_out(whole: Path, spoiled: str, bit: int, place: Path) -> Path:
    """A copy of all files in a folder of its own, with one bit of one file flipped."""
    shutil.rmtree(place, ignore_errors=True)
    shutil.copytree(whole, place)
    data = bytearray((place / spoiled).read_bytes())
    data[bit // 8] ^= 1 << bit % 8
    (place / spoiled).write_bytes(data)
    return place


def asked(command: Callable[[Path], Iterator[int]], game: Path) -> tuple[int | None, str]:
    """The entries that a command shows, None if it refuses; and what it prints as errors."""
    with redirect_stderr(io.StringIO()) as errors:
        try:
            return next(command(game)), errors.getvalue()
        except (CalloutError, StopIteration):
            return None, errors.getvalue()


def _verify(game: Path) -> Iterator[int]:
    with redirect_stdout(io.StringIO()) as out:
        status = verify(game)
    if status == 0:
        yield int(re.findall(r": (\d+) entries, each", out.getvalue())[0])


def _sheet(game: Path) -> Iterator[int]:
    with redirect_stdout(io.StringIO()) as out:
        sheet([game])
    yield int(re.findall(r"^(\d+) entries, ", out.getvalue(), re.MULTILINE)[0])


def _replay(game: Path) -> Iterator[int]:
    with redirect_stdout(io.StringIO()) as out:
        replay([game], as_json=True)
    yield json.loads(out.getvalue())["entries"]


def _live(game: Path) -> Iterator[int]:
    """What `callout live` does with the file before it asks whether to carry on."""
    with Journal.open(game) as journal:
        if journal.doubt:
            print(journal.doubt, file=sys.stderr)
        count = len(journal.entries())
        journal.replies()
    yield count


COMMANDS: Mapping[str, Callable[[Path], Iterator[int]]] = {
    "verify": _verify, "live": _live, "sheet": _sheet, "replay": _replay,
}  # fmt: skip
