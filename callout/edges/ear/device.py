"""Opening a microphone by a part of its name."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from callout.edges.ear.sound import Samples
from callout.edges.sound_devices import sound_library

if TYPE_CHECKING:
    from callout.edges.ear.microphone import Microphone


def open_microphone(
    device: str | None,
    take: Callable[[Samples], None],
    trouble: Callable[[str, str], None],
    patient: bool = False,
) -> Microphone:
    """The microphone of that name.

    Raises:
        DeviceError: there is none, or the library for sound devices is missing.
    """
    sound_library()
    # Imported late: sound files are heard on machines without that library, too.
    from callout.edges.ear.microphone import Microphone

    microphone = Microphone(device, take, trouble, patient)
    microphone.start()
    return microphone
