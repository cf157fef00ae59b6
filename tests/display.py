"""A private X display (Xvfb), with real key events made by xdotool."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from tests.patience import HANG_S


@dataclass(frozen=True)
class Display:
    """A running display."""

    environment: dict[str, str]
    """The variables by which a process finds it."""

    def do(self, *words: str) -> None:
        """Run xdotool's commands one after another: `key a`, `keydown a`, `sleep 0.1`."""
        command = ["xdotool", *words]
        subprocess.run(command, env=self.environment, check=True, timeout=HANG_S)


@contextmanager
def virtual_display() -> Iterator[Display]:
    """Start a display, and end it on leaving the `with` block."""
    for program in ("Xvfb", "xdotool"):
        if shutil.which(program) is None:
            raise AssertionError(f"{program} is needed for this test: run it by make test")
    out, into = os.pipe()
    command = ["Xvfb", "-displayfd", str(into), "-screen", "0", "640x480x24", "-nolisten", "tcp",
               "-noreset"]  # fmt: skip
    process = subprocess.Popen(command, pass_fds=[into], stderr=subprocess.DEVNULL)
    os.close(into)
    try:
        with os.fdopen(out) as told:
            number = told.readline().strip()
        assert number, "Xvfb did not start"
        environment = {**os.environ, "DISPLAY": f":{number}"}
        environment.pop("WAYLAND_DISPLAY", None)
        yield Display(environment)
    finally:
        process.terminate()
        process.wait(timeout=HANG_S)
