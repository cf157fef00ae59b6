"""The voice in a process of its own: a text in, its sound out, as `messages.py` lists them.

piper-tts is GPL-3 and optional. It is imported here and nowhere else, and a crash of it cannot end
the game. The process ends when its input does.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import BinaryIO, Final

from callout.edges.child_environment import SILENCED
from callout.edges.child_output import own_output
from callout.edges.voice.messages import COMMANDS, EVENTS, Ready, Spoken, Told

NICENESS: Final = 5
"""On a busy machine hearing comes before speaking."""


def main(model: Path, lines: BinaryIO, out: BinaryIO) -> int:
    """Speak until the input ends."""
    # Read by onnxruntime as it is loaded; whoever starts us by hand sends nothing either.
    os.environ.update(SILENCED)
    from piper import PiperVoice, SynthesisConfig

    voice = PiperVoice.load(model)
    _write(out, Ready())
    for line in lines:
        asked = COMMANDS.read(line.decode("ascii"))
        config = SynthesisConfig(length_scale=1.0 / asked.speed)
        chunks = list(voice.synthesize(asked.text, syn_config=config))
        sound = b"".join(chunk.audio_int16_bytes for chunk in chunks)
        rate_hz = chunks[0].sample_rate if chunks else voice.config.sample_rate
        _write(out, Spoken.of(sound, rate_hz))
    return 0


def _write(out: BinaryIO, told: Told) -> None:
    out.write(EVENTS.write(told).encode() + b"\n")
    out.flush()


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]), sys.stdin.buffer, own_output(NICENESS)))
