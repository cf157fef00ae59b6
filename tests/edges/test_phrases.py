"""Phrases: what is kept, who goes first, and what happens when disk or voice fail."""

from __future__ import annotations

import os
import shutil
import signal
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest

from callout.edges import phrases as module
from callout.edges import restarts
from callout.edges.phrases import Phrases, cache_folder, default_voice, sentences
from callout.errors import ModelError


@pytest.fixture
def phrases() -> Iterator[Phrases]:
    """Phrases without a folder, whose voice ends with the test."""
    made = Phrases()
    yield made
    made.close()


@pytest.fixture(scope="module")
def lasting() -> Iterator[Phrases]:
    """The same, for all the tests that leave its voice alive."""
    made = Phrases()
    yield made
    made.close()


def test_a_text_is_kept_by_its_sentences() -> None:
    text = "Home two, number five. Fourteen, nine.  Another home two? Go!"
    found = ["Home two, number five.", "Fourteen, nine.", "Another home two?", "Go!"]
    assert sentences(text) == found
    assert sentences("no stop at the end") == ["no stop at the end"]
    assert sentences("") == sentences("  ") == []


@pytest.mark.thorough
def test_what_is_wanted_at_once_goes_before_what_is_prepared(phrases: Phrases) -> None:
    ahead = [f"Home {word}." for word in ("one", "two", "three", "four", "five", "six", "seven")]
    thread = phrases.prepare(ahead)
    while phrases.known(ahead[0]) is None:
        time.sleep(0.005)
    phrases.render("Guest.")
    done = [text for text in ahead if phrases.known(text) is not None]
    assert len(done) < len(ahead) - 1
    thread.join()
    assert all(phrases.known(text) is not None for text in ahead)


@pytest.mark.thorough
def test_a_newer_list_takes_the_place_of_an_older_one(phrases: Phrases) -> None:
    old = phrases.prepare([f"Guest, number {word}." for word in ("one", "two", "three", "four")])
    phrases.prepare(["Home."]).join()
    old.join()
    assert phrases.known("Home.") is not None
    assert phrases.known("Guest, number four.") is None


@pytest.mark.thorough
def test_closing_ends_what_is_being_prepared(phrases: Phrases) -> None:
    thread = phrases.prepare([f"Number {word}." for word in ("one", "two", "three", "four")])
    phrases.close()
    thread.join(timeout=20)
    assert not thread.is_alive()
    assert phrases._process is None


def test_what_is_prepared_is_there_at_once(lasting: Phrases) -> None:
    lasting.prepare(["Nine."]).join()
    assert lasting.known("Nine.") is not None
    assert lasting.known("Ten.") is None


def test_two_threads_get_a_sound_each(lasting: Phrases) -> None:
    made: dict[str, int] = {}

    def work(text: str) -> None:
        made[text] = len(lasting.render(text).samples)

    threads = [threading.Thread(target=work, args=(text,)) for text in ("One.", "Guest foul, two.")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert made["Guest foul, two."] > made["One."] > 1_000


def test_a_cache_that_cannot_be_written_costs_only_time(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    phrases = Phrases(folder=blocked / "phrases")
    assert len(phrases.render("One.").samples) > 1_000
    assert phrases.known("One.") is not None
    phrases.close()


def test_another_voice_of_the_same_name_and_size_has_phrases_of_its_own(tmp_path: Path) -> None:
    keys = []
    for letter in "ab":
        folder = tmp_path / letter
        folder.mkdir()
        (folder / "voice.onnx").write_bytes(letter.encode() * 1_000)
        keys.append(Phrases(folder / "voice.onnx", tmp_path)._path("One.", 1.0))
    assert keys[0] != keys[1]


@pytest.mark.thorough
def test_a_voice_that_hangs_is_started_anew(
    phrases: Phrases, monkeypatch: pytest.MonkeyPatch
) -> None:
    phrases.render("One.")
    hung = phrases._process
    assert hung is not None
    os.kill(hung.pid, signal.SIGSTOP)
    monkeypatch.setattr(module, "LIMIT_S", 0.5)
    threading.Timer(1.0, lambda: monkeypatch.setattr(module, "LIMIT_S", 30.0)).start()
    start = time.monotonic()
    try:
        phrases.render("Two.")
    except ModelError:
        # Its successor may have been given up by the same short limit on a busy machine.
        monkeypatch.setattr(module, "LIMIT_S", 30.0)
        phrases.render("Two.")
    assert time.monotonic() - start > 0.4
    assert hung.poll() == -signal.SIGKILL
    assert phrases._process is not hung


def test_a_voice_that_is_killed_is_there_again_by_itself(phrases: Phrases) -> None:
    back = threading.Event()
    phrases.back = back.set
    phrases.render("One.")
    killed = phrases._process
    assert killed is not None
    killed.kill()
    assert back.wait(20)
    again = phrases._process
    assert again is not None
    assert again is not killed
    assert again.poll() is None
    assert len(phrases.render("Two, and three.").samples) > 1_000


@pytest.mark.thorough
def test_a_voice_that_keeps_dying_is_told_of_once_it_lives(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(restarts, "PAUSES_S", (0.0, 0.0, 0.2))
    monkeypatch.setattr(module, "WELL_S", 0.5)
    own = tmp_path / "own.onnx"
    own.symlink_to(default_voice())
    shutil.copy(f"{default_voice()}.json", tmp_path / "own.onnx.json")
    phrases = Phrases(own)
    told: list[float] = []
    phrases.back = lambda: told.append(time.monotonic())
    phrases.render("One.")
    process = phrases._process
    assert process is not None
    own.unlink()
    process.kill()
    _wait_until(lambda: phrases._restarts.deaths > restarts.MANY)
    start = time.monotonic()
    with pytest.raises(ModelError, match="keeps failing"):
        phrases.render("Two, and four.")
    assert time.monotonic() - start < 3, "nobody waits for a voice that is not there"
    assert told == []
    own.symlink_to(default_voice())
    _wait_until(lambda: bool(told))
    assert len(phrases.render("Two, and four.").samples) > 1_000
    assert (len(told), phrases._restarts.deaths) == (1, 0)
    phrases.close()


def _wait_until(true: Callable[[], bool]) -> None:
    end = time.monotonic() + 60
    while not true():
        assert time.monotonic() < end
        time.sleep(0.01)


def test_ctrl_c_is_not_for_the_voice(lasting: Phrases) -> None:
    lasting.render("Three.")
    process = lasting._process
    assert process is not None
    process.send_signal(signal.SIGINT)
    lasting.render("Four.")
    assert lasting._process is process


def test_the_folder_is_where_the_machine_wants_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Source: XDG Base Directory Specification 0.8, $XDG_CACHE_HOME and its default.
    monkeypatch.delenv("LOCALAPPDATA", raising=False)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert cache_folder() == tmp_path / "callout" / "phrases"
    monkeypatch.delenv("XDG_CACHE_HOME")
    assert cache_folder() == Path.home() / ".cache" / "callout" / "phrases"


def test_a_voice_of_ones_own_speaks(tmp_path: Path) -> None:
    own = tmp_path / "own.onnx"
    own.symlink_to(default_voice())
    shutil.copy(f"{default_voice()}.json", tmp_path / "own.onnx.json")
    phrases = Phrases(own)
    assert np.abs(phrases.render("One.").samples).max() > 0.1
    phrases.close()
    with pytest.raises(ModelError, match="there is no such voice file"):
        Phrases(tmp_path / "absent.onnx")
