"""A live game kept by real keys on a real display, whichever window has the focus."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

from callout.game import calls
from callout.game.terms import Team
from callout.table.journal import Journal
from tests.display import Display

SETUP = "profile: nfhs-2026\nhome: Harbour Kites | 4 5 12\nguest: Quarry Foxes | 8 11 15\n"
KEYS = """
long_ms = 300
[everywhere]
f5 = ["stop clock", "start clock"]
"f6" = "{team} two"
f7 = "home"
"f7 long" = "undo that"
"f8+f9" = "sub waiting"
[pedal]
device = "/dev/input/by-id/nobody's"
a = "talk"
"""


def test_a_game_is_kept_from_any_window(tmp_path: Path, screen: Display) -> None:
    (tmp_path / "game.setup").write_text(SETUP, encoding="utf-8")
    (tmp_path / "keys.toml").write_text(KEYS, encoding="utf-8")
    game, log = tmp_path / "game", tmp_path / "log"
    command = [sys.executable, "-m", "callout", "live", str(game), "--setup",
               str(tmp_path / "game.setup"), "--keys", str(tmp_path / "keys.toml"), "--ear", "off",
               "--voice", "print"]  # fmt: skip

    def wait_for(text: str, count: int = 1) -> None:
        end = time.monotonic() + 30
        while log.read_text().count(text) < count:
            assert time.monotonic() < end, log.read_text()
            time.sleep(0.05)

    with log.open("w") as out:
        process = subprocess.Popen(
            command, env=screen.environment, stdin=subprocess.PIPE, stdout=out, stderr=out
        )
        try:
            wait_for("keys: /dev/input/by-id/nobody's: no such device: is it plugged in?")
            screen.do("key", "F5")
            wait_for("Running")
            screen.do("key", "F7", "key", "F6")
            wait_for("Home two.")
            screen.do("keydown", "F7", "sleep", "0.6", "keyup", "F7")
            wait_for("Undone")
            screen.do("keydown", "F8", "keydown", "F9", "keyup", "F8", "keyup", "F9")
            wait_for("Sub waiting.")
            screen.do("key", "F5")
            wait_for("Stopped")
        finally:
            process.send_signal(2)
            process.wait(timeout=30)
            assert process.stdin is not None
            process.stdin.close()
    assert log.read_text().count("no such device") == 1
    with Journal.open(game) as journal:
        entries = list(journal.entries())
    assert [entry.call for entry in entries] == [
        calls.StartClock(), calls.Score(Team.HOME, 2), calls.Undo(), calls.SubWaiting(),
        calls.StopClock(),
    ]  # fmt: skip
    assert {entry.source for entry in entries} == {"key"}


def test_a_wrong_file_of_keys_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "game.setup").write_text(SETUP, encoding="utf-8")
    (tmp_path / "keys.toml").write_text('[keys]\nx = "start cock"\n', encoding="utf-8")
    command = [sys.executable, "-m", "callout", "live", str(tmp_path / "game"), "--setup",
               str(tmp_path / "game.setup"), "--keys", str(tmp_path / "keys.toml"), "--ear", "off",
               "--voice", "print"]  # fmt: skip
    done = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)
    told = f"callout: {tmp_path / 'keys.toml'}:2: x: expected a call, got 'start cock'\n"
    assert (done.returncode, done.stderr) == (2, told)
