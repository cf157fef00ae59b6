"""What a child process inherits of our environment: the names listed here, and nothing else.

A variable can make a library report, load other code or take another route to the network, so a
child gets only what it needs to find its files, its display and its sound server.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from typing import Final

NAMES: Final = frozenset({
    "PATH", "HOME", "USER", "LOGNAME", "SHELL", "LANG", "LANGUAGE", "TZ", "TMPDIR", "TMP", "TEMP",
    "TERM", "LD_LIBRARY_PATH", "DYLD_LIBRARY_PATH", "VIRTUAL_ENV", "PYTHONPATH", "PYTHONHOME",
    "PYTHONIOENCODING", "PYTHONUTF8", "PYTHONDONTWRITEBYTECODE", "PYTHONUNBUFFERED",
    "DISPLAY", "WAYLAND_DISPLAY", "XAUTHORITY", "DBUS_SESSION_BUS_ADDRESS", "AUDIODEV",
    "SYSTEMROOT", "SYSTEMDRIVE", "WINDIR", "COMSPEC", "PATHEXT", "USERNAME", "USERPROFILE",
    "HOMEDRIVE", "HOMEPATH", "APPDATA", "LOCALAPPDATA", "PROGRAMDATA", "PROGRAMFILES",
    "NUMBER_OF_PROCESSORS", "PROCESSOR_ARCHITECTURE", "__CF_USER_TEXT_ENCODING",
})  # fmt: skip
"""Where things are, which language, which display; the last three lines are Windows' and macOS'."""

BEGINNINGS: Final = (
    "LC_", "XDG_", "PULSE_", "PIPEWIRE_", "ALSA_", "JACK_", "CALLOUT_", "OMP_",
    "OPENBLAS_",
)  # fmt: skip
"""How names begin that are inherited, too: locale, folders, sound servers, arithmetic threads."""

SILENCED: Final[Mapping[str, str]] = {"ORT_DISABLE_TELEMETRY": "1"}
"""Set in every child. The library that runs the voice's model, onnxruntime, has telemetry built in
and on since 1.32 on Linux: it looks a host up and opens TLS to it. Its own call to switch that off
comes too late; this variable does it (found by strace: 4 pairs of look-ups in 40 s without it, none
with it)."""


def child_environment(more: Mapping[str, str] | None = None) -> dict[str, str]:
    """The environment for a child process; `more` is added to it."""
    # Windows does not tell cases apart, and gives names in capitals.
    kept = {
        name: value
        for name, value in os.environ.items()
        if name in NAMES or name.upper().startswith(BEGINNINGS)
    }
    return {**kept, **SILENCED, **(more or {})}
