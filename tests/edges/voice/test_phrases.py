"""Phrases: what is kept, who goes first, and what happens when the disk fails."""

from __future__ import annotations

import os
import stat
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random

import numpy as np
import pytest
import soundfile

from callout.edges.voice.phrase_cache import Memory, PhraseFolder
from callout.edges.voice.phrases import Phrases, cache_folder, sentences
from callout.edges.voice.piper import PiperSynthesizer
from callout.edges.voice.rendered import Rendered
from tests.patience import HANG_S


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
    thread.join(timeout=HANG_S)
    assert not thread.is_alive()
    assert piper._child is None


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
        keys.append(piper.key)
    assert keys[0] != keys[1]


class Counting:
    """A synthesizer that counts: a text of n letters is n thousand samples."""

    name = key = "counting"

    def __init__(self) -> None:
        self.back: Callable[[], None] = lambda: None
        self.rendered: list[str] = []

    def render(self, text: str, speed: float) -> Rendered:
        """A ramp."""
        self.rendered.append(text)
        samples = np.linspace(-0.5, 0.5, 1_000 * len(text), dtype=np.float32)
        return Rendered(samples, 22_050)

    def close(self) -> None:
        """Nothing runs."""


def test_a_phrase_is_rendered_once_and_kept(tmp_path: Path) -> None:
    voice = Counting()
    first = Phrases(voice, tmp_path).render("Twelve, ten.")
    again = Phrases(voice, tmp_path).render("Twelve, ten.")
    assert voice.rendered == ["Twelve, ten."]
    assert np.array_equal(first.samples, again.samples)
    # 16 bits: half a step at most is lost.
    assert np.abs(again.samples - np.linspace(-0.5, 0.5, 12_000)).max() <= 1 / 65_536 + 1e-7


def damaged(data: bytes, nth: int) -> bytes:
    """A file as a power cut, a failing disk or somebody may leave it."""
    random = Random(nth)
    at = random.randrange(len(data))
    flipped = bytes([data[at] ^ (1 << random.randrange(8))])
    return [b"", data[:at], data[:at] + flipped + data[at + 1 :], b"not a sound",
            bytes(len(data))][nth % 5]  # fmt: skip


@pytest.mark.parametrize("nth", range(50))
def test_a_damaged_phrase_is_rendered_anew_and_replaced(tmp_path: Path, nth: int) -> None:
    voice = Counting()
    first = Phrases(voice, tmp_path).render("Twelve, ten.")
    (path,) = tmp_path.iterdir()
    path.write_bytes(damaged(path.read_bytes(), nth))
    assert Phrases(voice, tmp_path).known("Twelve, ten.") is None
    again = Phrases(voice, tmp_path).render("Twelve, ten.")
    assert np.array_equal(first.samples, again.samples)
    assert len(voice.rendered) == 2
    assert Phrases(voice, tmp_path).known("Twelve, ten.") is not None


def test_players_play_what_is_kept(tmp_path: Path) -> None:
    # Source: the FLAC format's own name and length, by libsndfile.
    Phrases(Counting(), tmp_path).render("Twelve, ten.")
    (path,) = tmp_path.iterdir()
    info = soundfile.info(path)
    assert (info.format, info.frames, info.samplerate) == ("FLAC", 12_000, 22_050)


def test_only_the_user_may_read_what_was_ever_said(tmp_path: Path) -> None:
    before = os.umask(0)
    try:
        Phrases(Counting(), tmp_path / "a" / "phrases").render("One.")
    finally:
        os.umask(before)
    folder = tmp_path / "a" / "phrases"
    modes = [stat.S_IMODE(path.stat().st_mode) for path in (folder, *folder.iterdir())]
    assert modes == [0o700, 0o600]


def test_the_least_used_leave_the_memory_first() -> None:
    memory, sound = Memory(most_bytes=300), np.zeros(50, dtype=np.int16)
    for name in "abc":
        memory.put((name, 1.0), sound, 8_000)
    assert memory.get(("a", 1.0)) is not None
    memory.put(("d", 1.0), sound, 8_000)
    assert [name for name in "abcd" if memory.get((name, 1.0))] == ["a", "c", "d"]


def test_the_least_used_leave_the_disk_first(tmp_path: Path) -> None:
    random = np.random.default_rng(1)
    noise = random.integers(-9_000, 9_000, 4_000, dtype=np.int16)
    folder = PhraseFolder(tmp_path, most_bytes=50_000)
    for nth in range(6):
        folder.write(f"p{nth}", noise, 8_000)
        os.utime(tmp_path / f"p{nth}.flac", (nth, nth))
    (tmp_path / "old.npz").write_bytes(b"another form")
    (tmp_path / "cut.part").write_bytes(b"unfinished")
    for name in ("old.npz", "cut.part"):
        os.utime(tmp_path / name, (0, 0))
    assert folder.read("p0") is not None, "it is used, and so no longer the oldest"
    again = PhraseFolder(tmp_path, most_bytes=50_000)
    again.write("p6", noise, 8_000)
    again.write("p7", noise, 8_000)
    left = sorted(path.name for path in tmp_path.iterdir())
    assert sum(path.stat().st_size for path in tmp_path.iterdir()) <= 50_000
    assert "p0.flac" in left
    assert "p1.flac" not in left
    assert {"p6.flac", "p7.flac"} < set(left)
    assert all(name.endswith(".flac") for name in left)


def test_the_folder_is_where_the_machine_wants_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Source: XDG Base Directory Specification 0.8, $XDG_CACHE_HOME.
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert cache_folder() == tmp_path / "callout" / "phrases"
