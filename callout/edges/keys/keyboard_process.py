"""The process that hears the whole keyboard, and writes a line for each key with its time."""

from __future__ import annotations

import os
import sys
import threading
from typing import Any, Final

from callout.edges.keys.messages import EVENTS, Key, Problem, Ready, Told
from callout.edges.keys.timestamps import Stamps
from callout.table.clock import steady_ns
from callout.table.hands.presses import MS

NAMES: Final = {
    "esc": "escape",
    "page_up": "pageup",
    "page_down": "pagedown",
    "caps_lock": "capslock",
    "num_lock": "numlock",
    "scroll_lock": "scrolllock",
    "print_screen": "print",
    "shift": "leftshift",
    "shift_l": "leftshift",
    "shift_r": "rightshift",
    "ctrl": "leftctrl",
    "ctrl_l": "leftctrl",
    "ctrl_r": "rightctrl",
    "alt": "leftalt",
    "alt_l": "leftalt",
    "alt_r": "rightalt",
    "alt_gr": "rightalt",
    "cmd": "leftmeta",
    "cmd_l": "leftmeta",
    "cmd_r": "rightmeta",
    "media_play_pause": "playpause",
    "media_volume_mute": "mute",
    "media_volume_up": "volumeup",
    "media_volume_down": "volumedown",
    "media_next": "nextsong",
    "media_previous": "previoussong",
}
"""pynput's names for keys where the table's are others."""

X11_KEYSYMS: Final = {
    **{0xFFCA + number - 13: f"f{number}" for number in range(13, 25)},
    0x1008FF81: "f13",
    0x1008FF45: "f14",
    0x1008FF46: "f15",
    0x1008FF47: "f16",
    0x1008FF48: "f17",
    0x1008FF49: "f18",
}
"""X11's numbers of keys that pynput gives no name: F13 to F24, of which keyboard layouts make
XF86Tools and XF86Launch5 to 9. Source: keysymdef.h, XF86keysym.h."""

SHIFTS: Final = ("leftshift", "rightshift", "rightalt")
"""Keys that change what other keys type, and so their names."""


def key_name(key: Any) -> str | None:
    """The table's name of a key of pynput's; None for one that has none."""
    name = getattr(key, "name", None)
    if name is not None:
        return NAMES.get(name, str(name))
    char, number = getattr(key, "char", None), getattr(key, "vk", None)
    if sys.platform.startswith("linux") and number in X11_KEYSYMS:
        return X11_KEYSYMS[number]
    return str(char) if char and char.isprintable() else None


def why_not() -> str:
    """What keeps this machine from hearing all keys, and what to do; empty if nothing does."""
    try:
        # Without a display it dies at import.
        from pynput import keyboard
    except ModuleNotFoundError:
        return "pynput is not installed: pip install 'callout[keys]'"
    except ImportError:
        return (
            "no display that lets programs hear keys: on Wayland or without a screen use a pedal "
            "of its own, or the keys of this terminal"
        )
    if getattr(keyboard.Listener, "IS_TRUSTED", True) is False and sys.platform == "darwin":
        return (
            "macOS does not allow it: System Settings, Privacy & Security, Accessibility and Input "
            "Monitoring: add the terminal, and start it anew"
        )
    return ""


class Teller:
    """Writes a line for each key."""

    def __init__(self) -> None:
        self.time_ms: int | None = None
        """The display's timestamp of the key, where it gives one."""
        self._stamps = Stamps()
        self._typed: set[str] = set()

    def tell(self, key: Any, down: bool) -> None:
        """A key has gone down or up."""
        at_ns = steady_ns()
        if self.time_ms is not None:
            at_ns = self._stamps.ours(self.time_ms * MS, at_ns)
        name = key_name(key)
        if name is None:
            return
        if name in SHIFTS:
            # What was pressed as one sign may come up as another, so it is released while its name
            # is known.
            for each in sorted(self._typed):
                _write(Key(each, False, at_ns))
            self._typed.clear()
        elif len(name) == 1:
            (self._typed.add if down else self._typed.discard)(name)
        _write(Key(name, down, at_ns))


def _write(told: Told) -> None:
    print(EVENTS.write(told), flush=True)


def main() -> None:
    """Write a line for each key until the input ends."""
    problem = why_not()
    if problem:
        _write(Problem(problem))
        return
    from pynput import keyboard

    teller = Teller()

    class Listener(keyboard.Listener):  # type: ignore[misc]
        """The listener, with the timestamp of each key where the system gives one."""

        def _handle_message(self, *given: Any) -> None:
            # On X11 the second is the event; elsewhere nothing here has a time.
            teller.time_ms = getattr(given[1], "time", None)
            super()._handle_message(*given)

    listener = Listener(
        on_press=lambda key: teller.tell(key, True), on_release=lambda key: teller.tell(key, False)
    )
    listener.start()
    listener.wait()
    _write(Ready())
    threading.Thread(target=_until_closed, daemon=True).start()
    # Its own join waits for ever where the display has gone.
    threading.Thread.join(listener)


def _until_closed() -> None:
    """The parent is gone when its end of the pipe is."""
    sys.stdin.read()
    os._exit(0)


if __name__ == "__main__":
    main()
