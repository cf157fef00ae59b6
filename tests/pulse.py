"""A private PulseAudio with two null sinks: the microphone hears `hall`, the voice plays `headset`.

Sound played into a null sink can be recorded from its monitor, so real sound goes through a real
sound server on a machine without any device.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from tests.patience import HANG_S

AWAKE_HZ = 8_000
QUIET_S = 1.2
"""A reply has ended after this much silence."""

ASOUND = """
pcm.!default { type pulse }
ctl.!default { type pulse }
pcm.pulse { type pulse }
ctl.pulse { type pulse }
"""

SINKS = {
    "hall": ("sink_name=hall", "rate=48000", "channels=1"),
    "headset": ("sink_name=headset", "rate=48000", "channels=2"),
}


@dataclass(frozen=True)
class Pulse:
    """A running sound server."""

    environment: dict[str, str]
    """The variables by which a process takes `hall` for its microphone, `headset` to speak into."""
    folder: Path

    def sounded(self, sink: str = "headset") -> int:
        """Bytes that the sink has played at `AWAKE_HZ`, sound and silence."""
        return self._played(sink).stat().st_size

    def loud(self, since: int = 0, sink: str = "headset") -> bool:
        """Whether the sink has played sound since that byte."""
        return bool(len(self._loud(since, sink)[1]))

    def wait_for_an_end(self, since: int, sink: str = "headset", seconds: float = 30.0) -> None:
        """Wait until the sink has played sound since that byte, and silence after it."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            count, loud = self._loud(since, sink)
            if len(loud) and count - loud[-1] > QUIET_S * AWAKE_HZ:
                return
            time.sleep(0.05)
        raise AssertionError(f"nothing sounded, or had no end, in {seconds} s")

    def _loud(self, since: int, sink: str) -> tuple[int, np.ndarray]:
        """How many bytes the sink has played since that byte, and the places of the loud ones."""
        played = np.frombuffer(self._played(sink).read_bytes()[since:], dtype=np.uint8)
        return len(played), np.flatnonzero(np.abs(played.astype(int) - 128) > 2)

    def _played(self, sink: str) -> Path:
        return self.folder / f"{sink}.raw"

    def play(self, path: Path, sink: str = "hall") -> None:
        """Play a sound file into a sink, and wait for its end."""
        command = ["paplay", f"--device={sink}", str(path)]
        subprocess.run(command, env=self.environment, check=True, timeout=HANG_S)

    @contextmanager
    def noise(self, path: Path, sink: str = "hall") -> Iterator[None]:
        """Play a sound file in the background: no room is as silent as a null sink."""
        player = subprocess.Popen(["paplay", f"--device={sink}", str(path)], env=self.environment)
        try:
            yield
        finally:
            player.kill()
            player.wait(timeout=HANG_S)

    def control(self, *words: str) -> str:
        """Run a command of pactl, and return its output."""
        done = subprocess.run(["pactl", *words], env=self.environment, capture_output=True,
                              text=True, check=True, timeout=HANG_S)  # fmt: skip
        return done.stdout

    def unload(self, sink: str) -> None:
        """Remove a sink and its monitor."""
        for line in self.control("list", "short", "modules").splitlines():
            if f"sink_name={sink} " in f"{line} ":
                self.control("unload-module", line.split()[0])
                return
        raise AssertionError(f"expected a sink {sink}, got none")

    def load(self, sink: str) -> None:
        """Add a removed sink again."""
        self.control("load-module", "module-null-sink", *SINKS[sink])

    @contextmanager
    def recording(self, path: Path, sink: str = "headset") -> Iterator[None]:
        """Record what a sink plays into a WAV file."""
        command = ["parecord", f"--device={sink}.monitor", "--latency-msec=50", "--file-format=wav",
                   "--rate=16000", "--channels=1", str(path)]  # fmt: skip
        before = self._recorders()
        process = subprocess.Popen(command, env=self.environment)
        while self._recorders() <= before and process.poll() is None:
            time.sleep(0.05)
        time.sleep(0.2)
        try:
            yield
        finally:
            time.sleep(0.5)
            process.terminate()
            process.wait(timeout=HANG_S)

    def _recorders(self) -> int:
        """How many programs record from the server."""
        command = ["pactl", "list", "short", "source-outputs"]
        told = subprocess.run(command, env=self.environment, capture_output=True, timeout=HANG_S)
        return len(told.stdout.splitlines())


@contextmanager
def pulse_server(folder: Path) -> Iterator[Pulse]:
    """Start a PulseAudio, and end it on leaving the `with` block."""
    for program in ("pulseaudio", "paplay", "parecord", "pactl"):
        if shutil.which(program) is None:
            raise AssertionError(f"{program} is needed for this test: run it by make test")
    socket = folder / "native"
    config = folder / "asound.conf"
    config.write_text("</usr/share/alsa/alsa.conf>\n" + ASOUND, encoding="utf-8")
    environment = {
        **os.environ,
        "XDG_RUNTIME_DIR": str(folder),
        "PULSE_RUNTIME_PATH": str(folder),
        "PULSE_SERVER": f"unix:{socket}",
        "PULSE_SINK": "headset",
        "PULSE_SOURCE": "hall.monitor",
        "ALSA_CONFIG_PATH": str(config),
    }
    command = ["pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1", "--use-pid-file=no",
               "--disable-shm=yes", "--log-target=stderr", "--log-level=error",
               "-L", " ".join(("module-null-sink", *SINKS["hall"])),
               "-L", " ".join(("module-null-sink", *SINKS["headset"])),
               "-L", f"module-native-protocol-unix auth-anonymous=1 socket={socket}"]  # fmt: skip
    log = (folder / "pulse.log").open("wb")
    process = subprocess.Popen(command, env=environment, stderr=log)
    try:
        _wait_until_it_answers(process, environment, folder / "pulse.log")
        with _awake(environment, folder):
            yield Pulse(environment, folder)
    finally:
        process.terminate()
        process.wait(timeout=HANG_S)
        log.close()


def _wait_until_it_answers(
    process: subprocess.Popen[bytes], environment: dict[str, str], log: Path
) -> None:
    for _ in range(100):
        asked = subprocess.run(["pactl", "info"], env=environment, capture_output=True)
        if asked.returncode == 0:
            return
        if process.poll() is not None:
            break
        time.sleep(0.1)
    raise AssertionError(f"PulseAudio did not start: {log.read_text(errors='replace')[-500:]}")


@contextmanager
def _awake(environment: dict[str, str], folder: Path) -> Iterator[None]:
    """Keep both sinks running in small steps.

    A null sink without a listener runs in steps of two seconds: the next sound would start late,
    and a recording would lack its beginning.
    """
    heard = {sink: folder / f"{sink}.raw" for sink in ("hall", "headset")}
    command = ["parecord", "--raw", "--latency-msec=20", "--format=u8", f"--rate={AWAKE_HZ}",
               "--channels=1"]  # fmt: skip
    listeners = [subprocess.Popen([*command, f"--device={sink}.monitor", str(path)],
                                  env=environment) for sink, path in heard.items()]  # fmt: skip
    try:
        end = time.monotonic() + 20
        while not all(path.is_file() and path.stat().st_size for path in heard.values()):
            if time.monotonic() > end:
                raise AssertionError("PulseAudio's null sinks do not run")
            time.sleep(0.05)
        yield
    finally:
        for listener in listeners:
            listener.kill()
            listener.wait(timeout=HANG_S)
