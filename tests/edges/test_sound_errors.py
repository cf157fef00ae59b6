"""Why a sound device cannot be opened: plain words first, the library's own after them.

Source: portaudio.h for the codes and their words; sounddevice's for a name that fits none.
"""

from __future__ import annotations

import pytest
import sounddevice as sd

from callout.edges.sound_errors import CODES, in_plain_words


@pytest.mark.parametrize("code", CODES)
def test_each_code_is_the_library_s_and_has_plain_words(code: int) -> None:
    raw = sd._ffi.string(sd._lib.Pa_GetErrorText(code)).decode()
    assert "Invalid error code" not in raw
    told = in_plain_words(sd.PortAudioError(f"Error opening RawInputStream: {raw}", code))
    assert told == f"{CODES[code]} (Error opening RawInputStream: {raw})"
    assert "Error" not in CODES[code]


@pytest.mark.parametrize(
    ("error", "begins"),
    [(sd.PortAudioError("Error querying device -1"), "no device is plugged in"),
     (sd.PortAudioError("Error querying device 3"), "there is no such device any more"),
     (ValueError("No input device matching 'x'"), "no microphone has that name"),
     (ValueError("No output device matching 'x'"), "no loudspeaker has that name"),
     (ValueError("Multiple input devices found for 'a':\n[0] a\n[1] aa"), "several devices")],
)  # fmt: skip
def test_words_without_a_code_are_known_by_their_beginning(error: Exception, begins: str) -> None:
    told = in_plain_words(error)
    assert told.startswith(begins)
    assert told.endswith(")")
    assert "\n" not in told
    assert str(error.args[0]).split("\n")[0] in told


def test_the_real_library_says_these_words() -> None:
    with pytest.raises(ValueError, match="No input device matching") as caught:
        sd.query_devices("no such device", "input")
    assert in_plain_words(caught.value).startswith("no microphone has that name")


def test_what_is_not_known_stands_as_it_is() -> None:
    assert in_plain_words(ValueError("something else")) == "something else"
