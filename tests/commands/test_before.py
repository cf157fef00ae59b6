"""`callout before` as one types it, and what it refuses."""

from __future__ import annotations

import subprocess
import sys
from datetime import datetime, timedelta
from functools import partial
from pathlib import Path

import pytest

from callout.commands.before import before, tries
from callout.commands.check import Finding
from callout.edges.live.voice import Outlets
from callout.errors import CalloutError, InputError
from callout.game import calls
from callout.game.profile.before import Look
from callout.table.before import Tried
from callout.table.book.journal import Journal
from callout.table.setup.setup import read_setup
from tests.patience import HANG_S
from tests.table.play import Table

PRINT = Outlets(voice="print", ears="left")
SETUP = """
profile: fiba-2024
home: Harbour Kites | 4 5 7 10 11 12 23
guest: Quarry Foxes |
"""


@pytest.fixture
def setup(tmp_path: Path) -> Path:
    """A setup whose guest list has not come yet."""
    path = tmp_path / "game.setup"
    path.write_text(SETUP, encoding="utf-8")
    return path


def typed(game: Path, *lines: str, options: tuple[str, ...] = ()) -> str:
    """What the command prints of typed lines."""
    quiet = ("--voice", "print", "--keys", "typed", "--ear", "off")
    done = subprocess.run(
        [sys.executable, "-m", "callout", "before", str(game), *quiet, *options],
        input="\n".join(lines) + "\n", capture_output=True, text=True, timeout=HANG_S, check=True,
    )  # fmt: skip
    return done.stdout


def test_a_crew_goes_through_it_on_a_pipe_is_interrupted_and_goes_on(
    setup: Path, tmp_path: Path
) -> None:
    game = tmp_path / "a.game"
    first = typed(game, "42 minutes to the tip", "done", "not yet", options=("--setup", str(setup)))
    assert "Tip in forty two minutes. Lists are due in two minutes: guest." in first
    assert "not yet  ->  Left open: partner. Lists of both teams. Missing: guest." in first
    second = typed(game, "add guest number 8", "what is left")
    assert "Last booked: Left open: partner." in second
    assert "Lists are here: home seven, guest one." in second
    assert "Left: partner, power and cords" in second
    with Journal.read(game) as journal:
        made = [type(entry.call) for entry in journal.entries() if entry.source != "clock"]
    assert made == [calls.TipIn, calls.CheckDone, calls.CheckSkip, calls.AddPlayer]


def clock(minutes: int) -> str:
    """What the wall clock shows so many minutes from now."""
    return f"{datetime.now() + timedelta(minutes=minutes):%H:%M}"


run = partial(before, outlets=PRINT, ear="off", keys="typed")


@pytest.mark.parametrize(
    ("tip", "what"),
    [("25:00", "expected a time of day such as 19:30, got '25:00'"), ("soon", "time of day"),
     (clock(-90), "--tip: That time is past")],
)  # fmt: skip
def test_a_tip_that_cannot_be_is_refused_and_leaves_no_game(
    setup: Path, tmp_path: Path, tip: str, what: str
) -> None:
    with pytest.raises(CalloutError, match=what):
        run(tmp_path / "a.game", tip=tip, setup=setup)
    assert not (tmp_path / "a.game").exists()


def test_a_game_that_is_unknown_or_has_begun_is_refused(setup: Path, tmp_path: Path) -> None:
    with pytest.raises(CalloutError, match="a new game needs its teams"):
        run(tmp_path / "none.game")
    game = tmp_path / "a.game"
    with Journal.create(game, read_setup(setup)) as journal:
        session = Table(journal.setup, journal)
        session.say("start clock")
    with pytest.raises(CalloutError, match="the game has begun; go on: callout live "):
        run(game)


def test_a_list_with_a_doubled_number_is_refused_with_its_line(tmp_path: Path) -> None:
    path = tmp_path / "twice.setup"
    path.write_text(SETUP.replace("4 5 7", "4 5 5 7"), encoding="utf-8")
    with pytest.raises(
        InputError, match=r"twice\.setup:3: home: expected each number once, got '5'"
    ):
        run(tmp_path / "a.game", setup=path)


def test_devices_are_tried_as_callout_check_does() -> None:
    found = tries(PRINT, "off", "typed")
    assert set(found) == {Look.MICROPHONE, Look.VOICE, Look.KEYS}
    assert not found[Look.MICROPHONE]().works
    assert found[Look.VOICE]().told == "--voice print: replies are printed"
    assert tries(PRINT, "open", "")[Look.MICROPHONE]().works
    headset = Finding("sound out", True, "a headset")
    auto = Outlets(voice="auto", ears="left")
    assert tries(auto, "off", "", lambda: headset)[Look.VOICE]() == Tried(
        True, "sound out: a headset"
    )


def test_a_file_of_keys_with_a_mistake_is_told(tmp_path: Path) -> None:
    keys = tmp_path / "mine.toml"
    keys.write_text('[keys]\na = "nonsense"\n', encoding="utf-8")
    tried = tries(PRINT, "off", str(keys))[Look.KEYS]()
    assert not tried.works
    assert "mine.toml" in tried.told
