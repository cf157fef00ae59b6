"""What the system's part of the sound library writes onto the terminal."""

from __future__ import annotations

import subprocess
import sys

import pytest

OPEN = """
import ctypes
from callout.edges.voice import output
{before}
handle = ctypes.c_void_p()
alsa = ctypes.CDLL("libasound.so.2")
assert alsa.snd_pcm_open(ctypes.byref(handle), b"no such device", 0, 0) < 0
"""


@pytest.mark.skipif(sys.platform != "linux", reason="ALSA is Linux's")
@pytest.mark.parametrize(("before", "quiet"), [("", False), ("output.quiet_library()", True)])
def test_the_systems_library_writes_nothing_between_the_calls(before: str, quiet: bool) -> None:
    done = subprocess.run(
        [sys.executable, "-c", OPEN.format(before=before)], capture_output=True, text=True,
        check=True,
    )  # fmt: skip
    assert (done.stderr == "") is quiet
