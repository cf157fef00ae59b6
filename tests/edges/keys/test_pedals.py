"""A pedal by itself, as far as a machine without input devices allows.

Not tested here, and nowhere else: grabbing a device, reading real events of it, and finding it
again once it was pulled out and put back. That wants /dev/uinput, which the kernel here lacks.
"""

from __future__ import annotations

from pathlib import Path

import evdev
import pytest
from evdev import ecodes

from callout.edges.keys.pedals import BY_ID, Pedal, edge_of, find_devices, key_name
from callout.errors import DeviceError
from callout.table.hands.devices import Edge
from callout.table.hands.keymap import is_key


@pytest.mark.parametrize(
    ("code", "name"),
    [
        (ecodes.KEY_A, "a"),
        (ecodes.KEY_B, "b"),
        (ecodes.KEY_LEFTCTRL, "leftctrl"),
        (ecodes.KEY_F13, "f13"),
        (ecodes.KEY_KP5, "kp_5"),
        (ecodes.KEY_KPENTER, "kp_enter"),
        (ecodes.KEY_ESC, "escape"),
        (ecodes.KEY_PAGEDOWN, "pagedown"),
        (ecodes.KEY_MUTE, "mute"),
        (ecodes.KEY_SLASH, "/"),
        (ecodes.BTN_LEFT, "btn_left"),
    ],
)
def test_keys_have_the_names_of_the_key_map(code: int, name: str) -> None:
    assert key_name(code) == name
    assert is_key(name)


@pytest.mark.parametrize(
    ("kind", "value", "expected"),
    [
        (ecodes.EV_KEY, 1, Edge("pedal", "a", True, 7)),
        (ecodes.EV_KEY, 0, Edge("pedal", "a", False, 7)),
        (ecodes.EV_KEY, 2, None),
        (ecodes.EV_MSC, 1, None),
    ],
)
def test_an_event_is_a_key_going_down_or_up(kind: int, value: int, expected: Edge | None) -> None:
    event = evdev.InputEvent(0, 0, kind, ecodes.KEY_A, value)
    assert edge_of(event, 7) == expected


def test_a_pedal_that_is_not_there_is_told() -> None:
    with pytest.raises(DeviceError, match=r"no such device: is it plugged in"):
        find_devices(str(BY_ID / "usb-none-event-kbd"))
    with pytest.raises(DeviceError, match=r"no device with .* in its name|may be opened"):
        find_devices("Nobody's")
    with pytest.raises(DeviceError, match=r"is it plugged in|may be opened"):
        Pedal("Nobody's", lambda edge: None, lambda what: None)


def test_what_is_no_input_device_is_told(tmp_path: Path) -> None:
    (tmp_path / "event0").touch()
    with pytest.raises(DeviceError, match=r"event0: "):
        Pedal(str(tmp_path / "event0"), lambda edge: None, lambda what: None)
