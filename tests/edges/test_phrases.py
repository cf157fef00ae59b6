"""Phrases: what is kept, who goes first, and what happens when the disk fails."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from callout.edges.phrases import Phrases, cache_folder, sentences
from callout.edges.piper_voice import PiperSynthesizer


@pytest.fixture
def piper() -> PiperSynthesizer:
    """The voice that comes as an extra."""
    return PiperSynthesizer()


@pytest.fixture
def phrases(piper: PiperSynthesizer) -> Iterator[Phrases]:
    """Phrases without a folder, whose voice ends with the test."""
    made = Phrases(piper)
    yield made
    made.close()


@pytest.fixture(scope="module")
def lasting() -> Iterator[Phrases]:
    """The same, for all the tests that leave its voice alive."""
    made = Phrases(PiperSynthesizer())
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
def test_closing_ends_what_is_being_prepared(phrases: Phrases, piper: PiperSynthesizer) -> None:
    thread = phrases.prepare([f"Number {word}." for word in ("one", "two", "three", "four")])
    phrases.close()
    thread.join(timeout=20)
    assert not thread.is_alive()
    assert piper._process is None


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


def test_a_cache_that_cannot_be_written_costs_only_time(lasting: Phrases, tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    phrases = Phrases(lasting.synthesizer, blocked / "phrases")
    assert len(phrases.render("One.").samples) > 1_000
    assert phrases.known("One.") is not None


def test_another_voice_of_the_same_name_and_size_has_phrases_of_its_own(tmp_path: Path) -> None:
    keys = []
    for letter in "ab":
        folder = tmp_path / letter
        folder.mkdir()
        (folder / "voice.onnx").write_bytes(letter.encode() * 1_000)
        piper = PiperSynthesizer(folder / "voice.onnx")
        keys.append(Phrases(piper, tmp_path)._path("One.", 1.0))
    assert keys[0] != keys[1]


def test_the_folder_is_where_the_machine_wants_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Source: XDG Base Directory Specification 0.8, $XDG_CACHE_HOME and its default.
    monkeypatch.delenv("LOCALAPPDATA", raising=False)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert cache_folder() == tmp_path / "callout" / "phrases"
    monkeypatch.delenv("XDG_CACHE_HOME")
    assert cache_folder() == Path.home() / ".cache" / "callout" / "phrases"
