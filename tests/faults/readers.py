"""Every reader of files from outside, each with files spoiled by a seeded generator.

A reader gives its result or raises a CalloutError; anything else is a fault.
"""

from __future__ import annotations

import io
import json
import os
import random
import shutil
import sqlite3
import struct
import sys
from collections.abc import Callable, Mapping
from contextlib import closing, redirect_stderr, suppress
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import openpyxl

from callout.__main__ import main
from callout.commands.replay import replay
from callout.commands.sheet import sheet
from callout.commands.verify import verify
from callout.edges.ear.hall_change import adapted, read_change
from callout.edges.ear.own_threshold import own_options
from callout.edges.ear.sound import sound_blocks
from callout.edges.league.fixtures_file import read_fixtures
from callout.edges.models.catalogue import known_models
from callout.edges.page.lists import read_upload
from callout.errors import CalloutError
from callout.game.profile.file import PROFILES, load_profile
from callout.language.check import load_language
from callout.language.grammar import Grammar, Scope
from callout.table.book.chain import first_hash, next_hash
from callout.table.book.journal import Journal
from callout.table.book.recovery import salvage
from callout.table.book.rows import ENTRY_COLUMNS
from callout.table.hands.key_file import read_keys
from callout.table.language import english, replies_of
from callout.table.scripts.script import Runner, read_script
from callout.table.setup.own_words import check_own_words
from callout.table.setup.pasted_list import read_pasted
from callout.table.setup.player_table import read_roster
from callout.table.setup.roster import say_roster
from callout.table.setup.setup import read_setup
from tests.faults.spoiled import TOKENS, spoiled, write_spoiled
from tests.faults.writer import write

ROOT = Path(__file__).parent.parent.parent
FIXTURES = b"game;date;time;home;guest;home numbers\n1;2026-11-28;18:30;Kites;Foxes;4 5\n"
CALENDAR = b"""\
BEGIN:VCALENDAR\r
BEGIN:VEVENT\r
UID:1\r
DTSTART;TZID=Europe/Berlin:20261128T183000\r
RRULE:FREQ=DAILY;COUNT=3\r
SUMMARY:Harbour Kites vs. Quarry\r
  Foxes\r
LOCATION:Old gym\r
END:VEVENT\r
END:VCALENDAR\r
"""
SETUP = b"""\
profile: youth-6-minute
home: Harbour Kites | 4 Ada Moss, 5 Bo Reed, 12
guest: Quarry Foxes
roster guest: x.csv
starters home: 4 5
coach home: 12
coach guest: Cy Dale
captain home: 4
officials: Referee Di Tern, Scorer Flo Ames
place: Harbour Hall
colour guest: red
nickname guest: foxes, quarry foxes
clock: ours
book: second
wake: table
"""
ROSTER = b"No.;Player;Starter;Born\n4;Ada Moss;x;2012\n5;;;\n00;Bo Reed;;\n"
PASTED = b"4 Ada Moss\n#5 Bo Reed\n7. Moss, Cy\n10 12, 14\nCoach Lane\nDi Tern 23\n"
SCRIPT = b"""\
profile: nfhs-2026
home: Kites | 4 5
guest: Foxes | 8 11
8:00 start clock
7:30 home two number four
=> Home two, number four.
== score 2 0
+5s
<f> <s>
7:00 guest foul eleven   # one
!> Team one.
"""
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
Reader = Callable[[Path, random.Random], None]


def _setup(folder: Path, rng: random.Random) -> None:
    (folder / "x.csv").write_bytes(ROSTER)
    write_spoiled(rng, folder / "x.setup", SETUP)
    read_setup(folder / "x.setup").warnings()
    check_own_words(folder / "x.setup", _language(), rng.choice((None, _known())))


def _roster(folder: Path, rng: random.Random) -> None:
    write_spoiled(rng, folder / "x.csv", ROSTER)
    read_roster(folder / "x.csv")


def _pasted(folder: Path, rng: random.Random) -> None:
    """What is read of a pasted list can be written into a setup file, and is read there alike."""
    text = spoiled(rng, rng.choice((ROSTER, PASTED))).decode("utf-8", "replace")
    pasted = read_pasted(text.splitlines())
    players = pasted.players
    (folder / "x.setup").write_text(
        f"profile: fiba-2024\nhome: Kites | {say_roster(players)}\nguest: Foxes\n",
        encoding="utf-8",
    )
    assert read_setup(folder / "x.setup").home.players == players
    if pasted.left_out:
        raise CalloutError(f"left out: {pasted.left_out[0]}")


def _upload(_folder: Path, rng: random.Random) -> None:
    """A list that is handed in on the set-up page is whole, or nothing of it is taken."""
    given = spoiled(rng, rng.choice((_workbook(), ROSTER, ROSTER.decode().encode("utf-16"))))
    read = read_upload(given)
    assert not (read.players and read.mistakes)
    assert read.players or read.mistakes
    if read.mistakes:
        raise CalloutError(read.mistakes[0].what)


def _fixtures(folder: Path, rng: random.Random) -> None:
    """A league's list of games, in each form."""
    book = _workbook(FIXTURES)
    ending, whole = rng.choice(((".csv", FIXTURES), (".ics", CALENDAR), (".xlsx", book)))
    write_spoiled(rng, folder / f"x{ending}", whole)
    read_fixtures(folder / f"x{ending}")


@cache
def _workbook(table: bytes = ROSTER) -> bytes:
    book, out = openpyxl.Workbook(), io.BytesIO()
    for line in table.decode().splitlines():
        book.active.append(line.split(";"))
    book.save(out)
    return out.getvalue()


def _script(folder: Path, rng: random.Random) -> None:
    write_spoiled(rng, folder / "x.game", SCRIPT)
    script = read_script(folder / "x.game")
    if len(script.lines) < 200:  # A longer script takes as long to play as its game.
        Runner(script, _language(), Journal.in_memory(script.setup)).run()


def _keys(folder: Path, rng: random.Random) -> None:
    write_spoiled(rng, folder / "x.toml", KEYS)
    read_keys(folder / "x.toml", _language(), Scope())


def _profile(folder: Path, rng: random.Random) -> None:
    for path in PROFILES.glob("*.toml"):
        shutil.copy(path, folder)
    name = rng.choice(sorted(path.stem for path in PROFILES.glob("*.toml")))
    whole = (folder / f"{name}.toml").read_bytes()
    (folder / f"{name}.toml").unlink()
    write_spoiled(rng, folder / f"{name}.toml", whole)
    load_profile.__wrapped__(name, folder)


def _grammar(folder: Path, rng: random.Random) -> None:
    place = folder / "en"
    shutil.copytree(ROOT / "grammars" / rng.choice(("en", "es")), place)
    files = sorted(place.rglob("*.yaml"))
    path = rng.choice([*files, *[place / "slots.yaml", place / "replies.yaml"] * 5])
    whole = path.read_bytes()
    path.unlink()
    write_spoiled(rng, path, whole)
    replies_of(load_language(place))


def _refused(what: str) -> None:
    """A reader that warns and goes on counts as refusing."""
    raise CalloutError(what)


def _ear(folder: Path, rng: random.Random) -> None:
    write_spoiled(rng, folder / "ear.toml", b"least_score = -2.5\n")
    own_options(folder / "ear.toml", warn=_refused)


def _models(folder: Path, rng: random.Random) -> None:
    write_spoiled(rng, folder / "models.toml", (ROOT / "models/models.toml").read_bytes())
    known_models.__wrapped__(folder / "models.toml")


def _change(folder: Path, rng: random.Random) -> None:
    path = folder / "change.npz"
    parts: dict[str, Any] = {
        "a Linear": np.ones((3, 2), np.int8),
        "a Linear step": np.ones(3, np.float32),
        "b Bias": np.ones(4, np.float32),
    }
    if rng.random() < 0.5:
        parts[rng.choice(sorted(parts))] = rng.choice((
            np.ones(0), np.ones((2, 2, 2)), np.array("x"), np.array([1j]), np.array([1e300]),
            np.array(1.0), np.ones((3, 1), np.int64),
        ))  # fmt: skip
    made = io.BytesIO()
    rng.choice((np.savez, np.savez_compressed))(made, **parts)
    write_spoiled(rng, path, made.getvalue())
    adapted(_network(), read_change(path))


def _network() -> bytes:
    """A network of two layers. Source of the format: Kaldi's binary files, from memory."""
    matrix = b"<Linear> FM " + struct.pack("<bibi", 4, 3, 4, 2) + bytes(24)
    vector = b"<Bias> FV " + struct.pack("<bi", 4, 4) + bytes(16)
    return b"<ComponentName> a <x>" + matrix + b"<ComponentName> b <y>" + vector


def _sound(folder: Path, rng: random.Random) -> None:
    form, channels = rng.choice((1, 1, 1, 3, 6, 0xFFFE)), rng.choice((1, 1, 1, 0, 2, 1_000))
    rate_hz = rng.choice((16_000, 16_000, 16_000, 0, 1, 100, 8_000, 48_000, 2**32 - 1))
    data = rng.randbytes(rng.choice((320, 3_200, 70_000, 0, 1)))
    head = struct.pack("<HHIIHH", form, channels, rate_hz, rate_hz * 2 % 2**32, 2, 16)
    parts = [(b"fmt ", head), (b"LIST", b"abcd"), (b"data", data)]
    if rng.random() < 0.1:
        rng.shuffle(parts)
    body = b"WAVE" + b"".join(name + struct.pack("<I", len(part)) + part for name, part in parts)
    write_spoiled(rng, folder / "x.wav", b"RIFF" + struct.pack("<I", len(body)) + body)
    list(sound_blocks(folder / "x.wav"))


# --- games ----------------------------------------------------------------------------------------

STRANGE: tuple[Any, ...] = (
    None, -1, 0, 2**31, 2**60, 2**63 - 1, 1.5, 1e300, "", "x", "[]", "{}", "null", "[1]",
    '{"a": 1}', "[" * 100_000, '{"a":' * 5_000, "9" * 5_000, "[9" + "9" * 5_000 + "]", "\x1b[2J",
    "\u202e", '"\\ud800"', b"\xff", b"", "x" * 100_000,
)  # fmt: skip


def _game(folder: Path, rng: random.Random) -> None:
    path = folder / "x.game"
    if rng.random() < 0.3:
        write_spoiled(rng, path, _whole_game())
    else:
        path.write_bytes(_whole_game())
        with suppress(sqlite3.Error), closing(sqlite3.connect(path, isolation_level=None)) as game:
            _falsify(game, rng)
    refused = None
    for read in (verify, lambda each: sheet([each]), lambda each: replay([each]), salvage):
        try:
            read(path)
        except CalloutError as error:
            refused = error
    if refused:
        raise refused


def _falsify(game: sqlite3.Connection, rng: random.Random) -> None:
    """Changes a header, entry, name or reply, and computes all hashes again."""
    guards = game.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
    for name, _ in guards:
        game.execute(f"DROP TRIGGER {name}")
    for _ in range(rng.choice((1, 1, 2))):
        table = rng.choice(("header", "entry", "entry", "entry", "reply", "name"))
        if table == "header":
            game.execute("UPDATE header SET setup = ?", (_header(game, rng),))
        else:
            columns = [row[1] for row in game.execute(f"PRAGMA table_info({table})")]
            rowid = rng.choice([row[0] for row in game.execute(f"SELECT rowid FROM {table}")])
            column = rng.choice(columns)
            old = game.execute(f"SELECT {column} FROM {table} WHERE rowid = ?", (rowid,)).fetchone()
            new = _strange(old[0], rng)
            game.execute(f"UPDATE {table} SET {column} = ? WHERE rowid = ?", (new, rowid))
    _rehash(game)
    for _, order in guards if rng.random() < 0.9 else ():
        game.execute(order)


def _strange(old: object, rng: random.Random) -> Any:
    """Another value; a text may be changed only a little."""
    if isinstance(old, str) and rng.random() < 0.6:
        return spoiled(rng, old.encode()).decode(errors="replace")
    return rng.choice(STRANGE)


def _header(game: sqlite3.Connection, rng: random.Random) -> str:
    (text,) = game.execute("SELECT setup FROM header").fetchone()
    try:
        pairs = dict(json.loads(text))
    except (ValueError, TypeError, RecursionError):
        pairs = {}  # It has been made another header before.
    key = rng.choice([*pairs, "roster home", "x", "coach home", "nickname home", "starters guest"])
    values = [*STRANGE, "/dev/zero", *(token.decode(errors="replace") for token in TOKENS)]
    pairs[key] = rng.choice([value for value in values if not isinstance(value, bytes)])
    made: str = rng.choice((json.dumps(pairs), _strange(text, rng), json.dumps(pairs)))
    return made


def _rehash(game: sqlite3.Connection) -> None:
    text, own_game = game.execute("SELECT setup, game FROM header").fetchone()
    former = first_hash(own_game, str(text))
    game.execute("UPDATE header SET hash = ?", (former,))
    for rowid, *row in game.execute("SELECT rowid, * FROM entry ORDER BY id").fetchall():
        with suppress(TypeError, ValueError):
            own = next_hash(own_game, former, row[:ENTRY_COLUMNS])
            values = (former, own, rowid)
            game.execute("UPDATE entry SET former = ?, hash = ? WHERE rowid = ?", values)
            former = own


# --- the command line -----------------------------------------------------------------------------

COMMANDS: tuple[tuple[str, ...], ...] = (
    ("verify", "{}"), ("sheet", "{}", "--text"), ("forget", "{}"), ("recover", "{}"),
    ("recover", "{}", "--to", "{}"), ("recover", "{}", "--setup", "{}"), ("replay", "{}"),
    ("replay", "{}", "--json"), ("replay", "{}", "--keep", "{}"), ("keys", "{}"),
    ("check", "--keys", "{}"), ("rules", "{}"), ("rules", "{}", "{}"), ("models", "--folder", "{}"),
    ("new", "{}"),
    ("hear", "x.wav", "--model", "{}"), ("hear", "x.wav", "--grammar", "{}"),
    ("hear", "x.wav", "--roster", "{}"), ("live", "{}", "--setup", "{}", "--ear", "off", "{}"),
    ("live", "new", "--setup", "x.setup", "--ear", "{}"),
    ("live", "new", "--setup", "{}", "--ear", "off", "--voice", "print"),
    ("live", "new", "--setup", "x.setup", "--ear", "off", "--language", "{}", "--voice", "print"),
    ("live", "new", "--setup", "x.setup", "--ear", "off", "--keys", "{}", "--voice", "print"),
    ("{}",), ("live", "{}"), ("models", "{}"), ("--{}",), ("replay", "--{}", "{}"),
)  # fmt: skip
"""Every command that needs no network, with `{}` for its paths and words."""
PATHS = ("", ".", "..", "/", "x.game", "x.setup", "x.toml", "x.csv", "x.game/x", "none/x", "pipe",
         "loop", "/dev/zero", "/dev/full", "/proc/self/mem", "/etc/passwd", "a" * 300, "a\x1b[2J",
         "\udcff", "é", "[/b]", "[red]x", "{}", "new", "-", "--", "x\ny", "en", "../x", "4,5",
         "4,x", "\x00", "shut/x", ":memory:", "con", "~", "$HOME", "a/" * 2_000)  # fmt: skip


def _command(folder: Path, rng: random.Random) -> None:
    _fill(folder, rng)
    arguments = [each.format(rng.choice(PATHS)) for each in rng.choice(COMMANDS)]
    sys.argv, sys.stdin = ["callout", *arguments], io.StringIO()
    told = io.StringIO()
    try:
        with redirect_stderr(told):
            main()
    except SystemExit as ended:
        if ended.code not in (0, 1, 2):
            raise AssertionError(f"{arguments}: status {ended.code}") from None
        text = told.getvalue()
        if ended.code == 2 and "Usage:" not in text:
            lines = [line for line in text.splitlines() if line.startswith("callout: ")]
            if len(lines) != 1 or not lines[0].isprintable():
                raise AssertionError(f"{arguments}: {text!r}") from None
            raise CalloutError(text) from None
        return
    raise AssertionError(f"{arguments}: no status")


def _fill(folder: Path, rng: random.Random) -> None:
    os.chdir(folder)
    write_spoiled(rng, folder / "x.game", rng.choice((SCRIPT, _whole_game())))
    write_spoiled(rng, folder / "x.setup", SETUP)
    write_spoiled(rng, folder / "x.toml", KEYS)
    (folder / "x.csv").write_bytes(ROSTER)
    (folder / "x.wav").write_bytes(b"")
    os.mkfifo(folder / "pipe")
    (folder / "loop").symlink_to("loop")


# --- what stays the same --------------------------------------------------------------------------


@cache
def _language() -> Grammar:
    return load_language(english())


@cache
def _known() -> frozenset[str]:
    return frozenset({"foxes", "fox", "kites", "kite", "red", "quarry", "harbour", "table"})


_WHOLE: list[bytes] = []


def _whole_game() -> bytes:
    return _WHOLE[0]


def prepare(folder: Path) -> None:
    """Creates the files with which all tries begin, once for the whole run."""
    _language()
    path = folder / "whole.game"
    write(path, 12)
    with closing(sqlite3.connect(path)) as game:
        game.execute("PRAGMA journal_mode = DELETE")
        game.execute("INSERT OR IGNORE INTO name VALUES ('home', '5', 'Bo Reed')")
        game.commit()
    _WHOLE[:] = [path.read_bytes()]


READERS: Mapping[str, Reader] = {
    "setup": _setup, "roster": _roster, "pasted": _pasted, "script": _script, "keys": _keys,
    "upload": _upload, "fixtures": _fixtures, "profile": _profile, "language": _grammar,
    "ear.toml": _ear, "models.toml": _models, "change": _change, "sound": _sound, "game": _game,
    "command": _command,
}  # fmt: skip
"""Every reader by its name."""
