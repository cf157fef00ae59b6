"""One pedal for the table alone, on Linux: grabbed, so that its keys reach no window."""

from __future__ import annotations

import errno
import select
import sys
import threading
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any, Final

from callout.edges.keys.timestamps import Stamps
from callout.errors import DeviceError, why
from callout.game.kind import Kind
from callout.reading import exists
from callout.table.clock import steady_ns
from callout.table.hands.devices import Edge
from callout.table.hands.keymap import is_key
from callout.table.speech.kinds import PEDAL_BACK, PEDAL_GONE

INPUT: Final = Path("/dev/input")
BY_ID: Final = INPUT / "by-id"
"""Where Linux names devices by what they are, whichever port they are plugged into."""

RETRY_S: Final = 1.0
"""The interval at which a pedal that was pulled out is looked for."""

WORDS: Final = {"esc": "escape", "print": "print", "sysrq": "print", "dot": ".", "comma": ",",
                "slash": "/", "minus": "-", "equal": "=", "semicolon": ";", "apostrophe": "'",
                "leftbrace": "[", "rightbrace": "]", "backslash": "\\", "grave": "`",
                "kpenter": "kp_enter", "kpplus": "kp_+", "kpminus": "kp_-", "kpasterisk": "kp_*",
                "kpslash": "kp_/", "kpdot": "kp_.", "compose": "menu"}  # fmt: skip
"""Linux's names for keys where the table's are others."""


def evdev_library() -> Any:
    """The library for Linux's input devices; imported late.

    Raises:
        DeviceError: it is not here, as on other systems.
    """
    if not sys.platform.startswith("linux"):
        raise DeviceError("a pedal by itself is for Linux: name its keys under [everywhere]")
    try:
        import evdev
    except ImportError:
        raise DeviceError("evdev is not installed: pip install 'callout[keys]'") from None
    return evdev


def key_name(code: int) -> str:
    """The table's name of a key by Linux's number for it: `a`, `leftctrl`, `btn_left`."""
    ecodes = evdev_library().ecodes
    names = ecodes.keys.get(code, f"KEY_{code}")
    known = [_renamed(name) for name in ([names] if isinstance(names, str) else names)]
    return next((name for name in known if is_key(name)), known[0])


def _renamed(linux: str) -> str:
    name = linux.removeprefix("KEY_").lower()
    if name.startswith("kp") and name[2:].isdecimal():
        return f"kp_{name[2:]}"
    return WORDS.get(name, name)


def edge_of(event: Any, at_ns: int) -> Edge | None:
    """The key of an input event; None for a repetition, or an event of no key."""
    ecodes = evdev_library().ecodes
    if event.type != ecodes.EV_KEY or event.value not in (0, 1):
        return None
    return Edge("pedal", key_name(event.code), event.value == 1, at_ns)


def input_paths() -> list[str]:
    """The paths of the input devices that this user may open; none where none is plugged in.

    Raises:
        DeviceError: there are some, and none may be opened; or the library for them is missing.
    """
    paths: list[str] = evdev_library().list_devices()
    if not paths and any(INPUT.glob("event*")):
        raise DeviceError(
            "no input device may be opened: sudo usermod -aG input $USER, then log in anew"
        )
    return paths


def find_devices(wanted: str) -> list[str]:
    """The paths of a pedal: the path itself, or all devices with that text in their names.

    Raises:
        DeviceError: there is none, or this user may not open them; the text says what to do.
    """
    evdev = evdev_library()
    if wanted.startswith("/"):
        if not exists(Path(wanted)):
            raise DeviceError(f"{wanted}: no such device: is it plugged in?")
        return [wanted]
    found = [path for path in input_paths() if wanted.lower() in _name(evdev, path).lower()]
    if not found:
        raise DeviceError(f"no device with {wanted!r} in its name: is it plugged in?")
    return found


def device_names() -> list[str]:
    """The names of the devices with keys that this user may open; none where none can be had."""
    try:
        evdev = evdev_library()
    except DeviceError:
        return []
    return sorted({name for path in evdev.list_devices() if (name := _name(evdev, path))})


def _name(evdev: Any, path: str) -> str:
    try:
        device = evdev.InputDevice(path)
    except OSError:
        return ""
    name = str(device.name)
    device.close()
    return name


class Pedal:
    """A pedal for the table alone; `tell` is called with each key, on a thread of its own.

    A pedal that is pulled out is looked for until it is back: `changed` is called with `pedal_gone`
    and `pedal_back`, once each time.
    """

    def __init__(
        self,
        wanted: str,
        tell: Callable[[Edge], None],
        changed: Callable[[Kind], None],
        grab: bool = True,
    ) -> None:
        """Take the pedal; without `grab` its keys reach other programs, too.

        Raises:
            DeviceError: it cannot be had; the text says what to do.
        """
        self._wanted, self._tell, self._changed = wanted, tell, changed
        self._grab = grab
        self._stamps = Stamps()
        self._closed = threading.Event()
        self._devices = self._take()
        self._thread = threading.Thread(target=self._run, name="pedal", daemon=True)
        self._thread.start()

    def _take(self) -> list[Any]:
        evdev = evdev_library()
        devices: list[Any] = []
        for path in find_devices(self._wanted):
            try:
                device = evdev.InputDevice(path)
                if self._grab:
                    device.grab()
            except OSError as error:
                _free(devices)
                raise DeviceError(f"{path}: {_remedy(error)}") from None
            devices.append(device)
        return devices

    def _run(self) -> None:
        while not self._closed.is_set():
            down = self._listen()
            if self._closed.is_set():
                break
            # Keys that were held when it was pulled out are up now.
            for key in down:
                self._tell(Edge("pedal", key, False, steady_ns()))
            self._changed(PEDAL_GONE)
            self._find_again()

    def _listen(self) -> set[str]:
        """Report keys until the pedal is gone; the keys that were down then."""
        down: set[str] = set()
        try:
            while not self._closed.is_set():
                ready, _, _ = select.select(self._devices, [], [], 0.2)
                for device in ready:
                    now_ns = steady_ns()
                    for event in device.read():
                        told_ns = event.sec * 10**9 + event.usec * 1_000
                        edge = edge_of(event, self._stamps.ours(told_ns, now_ns))
                        if edge is not None:
                            (down.add if edge.down else down.discard)(edge.key)
                            self._tell(edge)
        except OSError:
            pass
        _free(self._devices)
        return down

    def _find_again(self) -> None:
        while not self._closed.wait(RETRY_S):
            try:
                self._devices = self._take()
            except DeviceError:
                continue
            self._changed(PEDAL_BACK)
            return

    def close(self) -> None:
        """Give the pedal back."""
        self._closed.set()
        self._thread.join(3)


def _free(devices: Iterable[Any]) -> None:
    for device in devices:
        try:
            device.close()
        except OSError:
            continue


def _remedy(error: OSError) -> str:
    if error.errno == errno.EBUSY:
        return "another program has it: end that, or pull the pedal out and put it back"
    if error.errno in (errno.EACCES, errno.EPERM):
        return "not allowed: sudo usermod -aG input $USER, then log in anew"
    return why(error)
