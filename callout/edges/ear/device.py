"""Opening a microphone by a part of its name."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from callout.edges.ear.sound import Samples
from callout.errors import DeviceError

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
    try:
        # Imported late: sound files are heard on machines without that library, too.
        from callout.edges.ear.microphone import Microphone
    except OSError as error:
        raise DeviceError(f"no sound devices: {error}; install libportaudio2") from None
    microphone = Microphone(device, take, trouble, patient)
    microphone.start()
    return microphone


def _sound_library() -> Any:
    import sounddevice

    return sounddevice


def microphones(library: Callable[[], Any] = _sound_library) -> list[str]:
    """The names of the microphones of this machine; none where sound cannot be had.

    `library` gives sounddevice, or what stands in for it.
    """
    try:
        sounds = library()
    except OSError:
        return []
    try:
        devices = sounds.query_devices()
    except sounds.PortAudioError:
        return []
    names = (str(each["name"]) for each in devices if each["max_input_channels"] > 0)
    return list(dict.fromkeys(names))
