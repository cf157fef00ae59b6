"""Why a sound device cannot be opened, in words for people; the library's own words come after."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

CODES: Final[Mapping[int, str]] = {
    -9985: "another program uses it, or it was unplugged",
    -9986: "the sound system failed; plug the device in again",
    -9996: "there is no such device any more",
    -9997: "it does not give sound at its own rate; choose another device",
    -9998: "it has not the channels that it names; choose another device",
    -9999: "the system refused it; see whether it is plugged in, and may be used",
}
"""Source: portaudio.h, `PaErrorCode`."""

WORDS: Final[Mapping[str, str]] = {
    "Error querying device -1": "no device is plugged in, or the system shows none",
    "Error querying device": "there is no such device any more",
    "No input device matching": "no microphone has that name now; plug it in, or choose another",
    "No output device matching": "no loudspeaker has that name",
    "Multiple": "several devices have that in their name; write more of it",
}
"""By how what sounddevice says begins, where no code of the library comes with it."""


def in_plain_words(error: Exception) -> str:
    """The reason in plain words, with the raw one in brackets; the raw one alone where unknown."""
    raw = " ".join(str(each) for each in error.args[:1]) or str(error)
    raw = " ".join(raw.split())
    code = next((each for each in error.args[1:2] if isinstance(each, int)), 0)
    known = CODES.get(code) or next((w for begin, w in WORDS.items() if raw.startswith(begin)), "")
    return f"{known} ({raw})" if known else raw
