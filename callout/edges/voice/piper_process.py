"""The voice in a process of its own: a text in, its sound out, as `messages.py` lists them.

piper-tts is GPL-3 and optional. It is imported here and nowhere else, and a crash of it cannot end
the game. The process ends when its input does.
"""

from __future__ import annotations

import os
import signal
import sys
from pathlib import Path
from typing import BinaryIO

from callout.edges.child_environment import SILENCED
from callout.edges.voice.messages import COMMANDS, EVENTS, Ready, Spoken, Told


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


def _own_output() -> BinaryIO:
    """Standard output for messages alone: what a library prints goes to standard error."""
    # Ctrl-C at a terminal reaches every process of the group; the table decides when the voice
    # ends.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if hasattr(os, "nice"):
        # On a busy machine hearing comes before speaking.
        os.nice(5)
    own = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    return own


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]), sys.stdin.buffer, _own_output()))
