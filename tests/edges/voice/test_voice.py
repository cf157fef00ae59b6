"""The voices: in print, into a file, through a sound server; and the phrases and tones they say.

That synthetic speech is understandable is checked by the recognizer, which knows nothing of how it
was made.
"""

from __future__ import annotations

import os
import stat
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import soundfile

from callout.edges.ear.file import FileEar
from callout.edges.ear.spoken_calls import understand
from callout.edges.voice.device import DeviceVoice
from callout.edges.voice.phrases import Phrases
from callout.edges.voice.piper import PiperSynthesizer, default_voice
from callout.edges.voice.player import Player, Speech
from callout.edges.voice.rendered import Rendered
from callout.edges.voice.sounding import sounding
from callout.edges.voice.tones import TONES, faded, tone
from callout.edges.voice.voice import PrintVoice, open_voice
from callout.edges.voice.wav import WavVoice, free_file
from callout.errors import CalloutError, DeviceError
from callout.language.parser import Parser
from tests.edges.voice.test_player import TIMES, Hand
from tests.patience import HANG_S
from tests.pulse import Pulse
from tests.speech import PHRASES

RATE_HZ = 22_050


def texts(ear: FileEar, parser: Parser, path: Path) -> str:
    return " ".join(e.text for u in ear.hear(path) for e in understand(parser, u) if e.sentence)


def test_the_file_voice_says_what_it_is_told_when_it_is_told(
    tmp_path: Path, ear: FileEar, parser: Parser
) -> None:
    now = [0.5]
    voice = WavVoice(tmp_path / "said.wav", PHRASES, lambda: now[0])
    voice.speak("Home two, number five.", "accepted")
    now[0] = 6.0
    voice.speak("Guest foul, eleven.")
    voice.close()
    sound, rate_hz = soundfile.read(tmp_path / "said.wav")
    assert np.abs(sound[: rate_hz // 2]).max() == 0
    assert np.abs(sound[5 * rate_hz : 6 * rate_hz]).max() == 0
    assert texts(ear, parser, tmp_path / "said.wav") == "home two number five guest foul eleven"


def test_hush_cuts_what_would_still_sound(tmp_path: Path) -> None:
    now = [0.0]
    voice = WavVoice(tmp_path / "cut.wav", PHRASES, lambda: now[0])
    voice.speak("Home two, number five. Fourteen, nine.")
    now[0] = 0.7
    voice.hush()
    voice.close()
    assert soundfile.info(tmp_path / "cut.wav").duration == pytest.approx(0.7, abs=0.01)


def test_a_file_that_cannot_be_written_is_one_line(tmp_path: Path) -> None:
    with pytest.raises(DeviceError, match="cannot be written"):
        free_file(tmp_path / "no" / "such.wav")
    voice = WavVoice(tmp_path / "no" / "such.wav", PHRASES, lambda: 0.0)
    with pytest.raises(DeviceError, match="cannot be written"):
        voice.close()


def test_only_the_user_may_read_what_was_said(tmp_path: Path) -> None:
    before = os.umask(0)
    try:
        open_voice(str(tmp_path / "a.wav"), lambda: 0.0, ears="both").close()
    finally:
        os.umask(before)
    assert stat.S_IMODE((tmp_path / "a.wav").stat().st_mode) == 0o600


def test_nothing_is_written_over_nor_through_a_link(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "a.wav").write_bytes(b"Dear Mother")
    (tmp_path / "a-2.wav").symlink_to(tmp_path / "elsewhere")
    voice = open_voice(str(tmp_path / "a.wav"), lambda: 0.0, ears="both")
    voice.speak("", "horn")
    voice.close()
    assert (tmp_path / "a.wav").read_bytes() == b"Dear Mother"
    assert not (tmp_path / "elsewhere").exists()
    assert soundfile.info(tmp_path / "a-3.wav").duration == pytest.approx(0.9, abs=0.01)
    assert f"replies are spoken into {tmp_path / 'a-3.wav'}" in capsys.readouterr().err


class Mute:
    """A synthesizer that fails as none should, or waits until it may go on."""

    name = key = "mute"

    def __init__(self, wait: threading.Event | None = None) -> None:
        self.back: Callable[[], None] = lambda: None
        self._wait = wait

    def render(self, text: str, speed: float) -> Rendered:
        """No sound, or silence, late."""
        if self._wait is None:
            raise RuntimeError(f"no sound of {text!r} at {speed}")
        self._wait.wait(HANG_S)
        return Rendered(np.full(RATE_HZ, 0.2, dtype=np.float32), RATE_HZ)

    def close(self) -> None:
        """Nothing runs."""


def test_a_synthesizer_that_hangs_does_not_stop_who_speaks(tmp_path: Path) -> None:
    going = threading.Event()
    now = [0.0]
    voice = WavVoice(tmp_path / "a.wav", Phrases(Mute(going)), lambda: now[0])
    voice.speak("Home two.")  # comes back, though nothing is rendered
    now[0] = 0.5
    voice.hush()
    now[0] = 2.0
    voice.speak("Guest two.")
    going.set()
    now[0] = 4.0
    voice.close()
    sound, rate_hz = soundfile.read(tmp_path / "a.wav")
    loud = np.flatnonzero(np.abs(sound) > 0.1) / rate_hz
    # What was stopped meanwhile sounds until then, and what came later at its own moment.
    assert loud[loud < 1.0].max() == pytest.approx(0.5, abs=0.01)
    assert loud[loud > 1.0].min() == pytest.approx(2.0, abs=0.01)


def test_any_failure_of_a_voice_is_a_tone_and_print(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    voice = WavVoice(tmp_path / "a.wav", Phrases(Mute()), lambda: 0.0)
    voice.speak("Home two.", "refused")
    voice.close()
    sound, _ = soundfile.read(tmp_path / "a.wav")
    assert len(sound) == len(tone("refused", RATE_HZ))
    assert "> Home two." in capsys.readouterr().err


class ByHand(Player):
    """A player whose device has played all that it was given a moment ago."""

    def __init__(
        self, device: str | None, ears: str, ended: Callable[[Speech, bool], None],
        back: Callable[[], None],
    ) -> None:  # fmt: skip
        self.hand = Hand()
        super().__init__(
            device, ears, ended, back, open_stream=self.hand.open, clock_s=self.hand.clock_s
        )

    def drain(self) -> None:
        """Play all."""
        while self.sounds:
            self.hand.play(0.1)
        self.hand.now_s += 1.0
        super().drain()


def test_every_beginning_has_its_end_whatever_fails(capsys: pytest.CaptureFixture[str]) -> None:
    told: list[tuple[str, str]] = []
    voice = DeviceVoice(
        Phrases(Mute()), "both", None, lambda what, text: told.append((what, text)), play=ByHand
    )
    voice.speak("Home two.", "no such tone")
    voice.speak("Guest two.", "accepted")
    voice.close()
    assert told == [
        ("started", "Home two."), ("started", "Guest two."),
        ("finished", "Home two."), ("finished", "Guest two."),
    ]  # fmt: skip
    assert "'no such tone'" in capsys.readouterr().err


def test_the_print_voice_prints(capsys: pytest.CaptureFixture[str]) -> None:
    told: list[tuple[str, str]] = []
    voice = PrintVoice(lambda what, text: told.append((what, text)))
    voice.speak("Home two.")
    voice.speak("", "refused")
    voice.hush()
    voice.close()
    assert capsys.readouterr().err == "  > Home two.\n  > (refused)\n"
    assert told[:2] == [("started", "Home two."), ("finished", "Home two.")]


def test_what_the_screen_shows_is_not_printed_again(capsys: pytest.CaptureFixture[str]) -> None:
    told: list[tuple[str, str]] = []
    voice = PrintVoice(lambda what, text: told.append((what, text)))
    voice.shown("Two shots, home. Guest foul. Team one.")
    for text in ("Two shots, home.", "Guest foul. Team one.", "Two shots, home."):
        voice.speak(text)
    # The third time is a reminder, ten seconds later.
    assert capsys.readouterr().err == "  > Two shots, home.\n"
    assert len(told) == 6, "it counts as said all the same"


def test_the_voice_is_chosen_by_name(tmp_path: Path) -> None:
    assert isinstance(open_voice("print", lambda: 0.0, ears="both"), PrintVoice)
    assert isinstance(open_voice(str(tmp_path / "a.wav"), lambda: 0.0, ears="both"), WavVoice)
    with pytest.raises((CalloutError, OSError)):
        open_voice(str(tmp_path / "absent.onnx"), lambda: 0.0, ears="both")


SPEAK = """
import sys
from callout.edges.voice.device import DeviceVoice
from callout.edges.voice.phrases import Phrases, cache_folder
from callout.edges.voice.piper import PiperSynthesizer
voice = DeviceVoice(Phrases(PiperSynthesizer(), cache_folder()), ears=sys.argv[1])
for _ in range(int(sys.argv[2])):
    voice.speak("Sub waiting.")
    voice.speak("Home two, number five.", "accepted")
voice.close()
"""


@pytest.mark.thorough
@pytest.mark.parametrize("ears", ["both", "left"])
def test_through_a_sound_server_the_words_come_out(
    pulse: Pulse, tmp_path: Path, ear: FileEar, parser: Parser, ears: str
) -> None:
    out = tmp_path / "out.wav"
    with pulse.recording(out):
        subprocess.run([sys.executable, "-c", SPEAK, ears, str(TIMES)], env=pulse.environment,
                       check=True, timeout=HANG_S)  # fmt: skip
    # A busy machine may lose a part of a sound: the call is asked for, and in one of several times.
    assert "home two" in texts(ear, parser, out)


def test_faster_speech_is_shorter() -> None:
    plain, fast = PHRASES.render("Home two, number five."), PHRASES.render(
        "Home two, number five.", 1.5
    )  # fmt: skip
    assert len(fast.samples) < 0.85 * len(plain.samples)


@pytest.mark.parametrize("name", sorted(TONES))
def test_a_tone_is_short_safe_and_without_clicks(name: str) -> None:
    samples = tone(name, RATE_HZ)
    assert 0.1 <= len(samples) / RATE_HZ <= 1.0
    assert np.abs(samples).max() <= 0.6
    assert samples[0] == samples[-1] == 0.0


def test_no_two_tones_are_alike() -> None:
    spectra = {}
    for name in TONES:
        samples = np.zeros(RATE_HZ)
        made = tone(name, RATE_HZ)
        samples[: len(made)] = made
        spectrum = np.abs(np.fft.rfft(samples)) + np.abs(
            np.fft.rfft(samples[: len(made) // 2], RATE_HZ)
        )
        spectra[name] = spectrum / np.linalg.norm(spectrum)
    pairs = [(a, b) for a in spectra for b in spectra if a < b]
    alike = {pair: float(spectra[pair[0]] @ spectra[pair[1]]) for pair in pairs}
    print(max(alike.items(), key=lambda item: item[1]))
    assert max(alike.values()) < 0.97


def test_a_tone_nobody_knows_is_an_error() -> None:
    with pytest.raises(KeyError):
        tone("fanfare", RATE_HZ)
    assert len(sounding(PHRASES, "", "", RATE_HZ)) == 0
    assert list(faded(np.ones(1), RATE_HZ)) == [1.0]


WITHOUT = {
    "library": 'raise OSError("PortAudio library not found")',
    "device": "class PortAudioError(Exception): ...\ndef query_devices(*_): return []",
}
"""What stands in for the library for sound devices, on machines that have none or no device."""


@pytest.mark.thorough
@pytest.mark.parametrize("lacking", sorted(WITHOUT))
def test_without_a_sound_device_the_replies_go_to_a_file(tmp_path: Path, lacking: str) -> None:
    (tmp_path / "sounddevice.py").write_text(WITHOUT[lacking])
    (tmp_path / "setup").write_text(
        "profile: youth-6-minute\nhome: Kites | 4 5\nguest: Foxes | 8 11\n"
    )
    command = [sys.executable, "-m", "callout", "live", str(tmp_path / "game"), "--setup",
               str(tmp_path / "setup"), "--ear", "off"]  # fmt: skip
    path = os.pathsep.join([str(tmp_path), *filter(None, [os.environ.get("PYTHONPATH")])])
    environment = {**os.environ, "PYTHONPATH": path}
    for file in ("game-replies.wav", "game-replies-2.wav"):
        done = subprocess.run(command, input="score check\nstop clock\n", capture_output=True,
                              text=True, timeout=HANG_S, env=environment)  # fmt: skip
        assert done.returncode == 0, done.stderr
        why, where = [line for line in done.stderr.splitlines() if line.startswith("voice: ")]
        assert "no sound device" in why
        assert where == f"voice: replies are spoken into {tmp_path / file}"
        assert np.abs(soundfile.read(tmp_path / file)[0]).max() > 0.1


def test_without_library_print_and_files_still_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "sounddevice.py").write_text(WITHOUT["library"])
    monkeypatch.delitem(sys.modules, "sounddevice", raising=False)
    monkeypatch.syspath_prepend(tmp_path)
    voice = open_voice("auto", lambda: 0.0, ears="both")
    assert isinstance(voice, PrintVoice)
    assert "install libportaudio2: replies are printed" in capsys.readouterr().err
    with pytest.raises(DeviceError, match="install libportaudio2"):
        open_voice(str(default_voice()), lambda: 0.0, ears="both")


def test_a_full_disk_takes_the_voice_but_not_the_game(capsys: pytest.CaptureFixture[str]) -> None:
    now = [0.0]
    # Linux: writing to this device always fails as on a full disk.
    voice = WavVoice(Path("/dev/full"), PHRASES, lambda: now[0])
    voice.speak("", "accepted")
    now[0] = 5.0
    voice.speak("", "accepted")
    with pytest.raises(DeviceError, match="cannot be written"):
        voice.write()
    assert "voice: /dev/full: cannot be written" in capsys.readouterr().err


def test_the_file_holds_what_has_sounded_even_if_it_is_never_closed(tmp_path: Path) -> None:
    now = [0.0]
    voice = WavVoice(tmp_path / "a.wav", PHRASES, lambda: now[0])
    for _ in range(3):
        voice.speak("", "horn")
        now[0] += 2.0
    voice.write()
    sound, rate_hz = soundfile.read(tmp_path / "a.wav")
    # The horn's length is 0.9 s; the last one began at 4 s.
    assert len(sound) / rate_hz == pytest.approx(4.9, abs=0.01)
    for start in (0, 2, 4):
        assert np.abs(sound[start * rate_hz : start * rate_hz + rate_hz // 2]).max() > 0.3


def test_a_voice_that_fails_is_a_tone_and_print(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "bad.onnx"
    path.write_bytes(b"nothing")
    voice = WavVoice(tmp_path / "a.wav", Phrases(PiperSynthesizer(path)), lambda: 0.0)
    voice.speak("Home two.")
    voice.close()
    assert "  > Home two." in capsys.readouterr().err
    assert 0.2 < soundfile.info(tmp_path / "a.wav").duration < 0.6
