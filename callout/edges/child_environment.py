"""The environment of child processes: of ours only the variables listed here.

A variable can make a library report, load other code or take another route to the network, so a
child gets only what it needs to find its files, its display and its sound server.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from types import MappingProxyType
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
"""Where things are, which language, which display; the last three lines are for Windows and
macOS."""

BEGINNINGS: Final = (
    "LC_", "XDG_", "PULSE_", "PIPEWIRE_", "ALSA_", "JACK_", "CALLOUT_", "OMP_",
    "OPENBLAS_",
)  # fmt: skip
"""Names that begin like this are inherited, too: locale, folders, sound servers, threads for
arithmetic."""

SILENCED: Final[Mapping[str, str]] = {"ORT_DISABLE_TELEMETRY": "1"}
"""Set in every child. onnxruntime, which runs the voice's model, has telemetry built in, on Linux
on by default since 1.32: it looks up a host and opens a TLS connection to it. Its own call to
switch that off comes too late; this variable works. By strace: 4 pairs of look-ups in 40 s without
it, none with it."""

UNLESS_SET: Final[Mapping[str, str]] = {"OPENBLAS_NUM_THREADS": "1"}
"""Set in every child that does not inherit it. numpy's threads stay busy while they wait for work:
beside them the recognizer heard the demo's 191 calls in 27 s on two cores, with one thread in 18.
"""


def child_environment(more: Mapping[str, str] | None = None) -> dict[str, str]:
    """The environment for a child process; `more` is added to it."""
    return inherited(os.environ, more or {}, cased=sys.platform != "win32")


def inherited(
    ours: Mapping[str, str], more: Mapping[str, str] = MappingProxyType({}), *, cased: bool
) -> dict[str, str]:
    """What is inherited of an environment, with what is set in every child, and `more`.

    `cased`: whether names that differ in case are different variables, as everywhere but on
    Windows. There `Path` and `PATH` are the same one, and a child must not get both.
    """

    def known(name: str) -> str:
        return name if cased else name.upper()

    given = {**SILENCED, **more}
    replaced = {known(name) for name in given}
    kept = {
        name: value
        for name, value in ours.items()
        if (known(name) in NAMES or known(name).startswith(BEGINNINGS))
        and known(name) not in replaced
    }
    set_already = {known(name) for name in (*kept, *given)}
    usual = {name: value for name, value in UNLESS_SET.items() if name not in set_already}
    return {**usual, **kept, **given}
