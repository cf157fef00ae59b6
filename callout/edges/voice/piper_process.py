"""The voice in a process of its own: a line of JSON in, the sound of a phrase out.

piper-tts is GPL-3 and optional; it is imported here and nowhere else, and a crash of it cannot
take the game along. For each line `{"text", "speed"}` on standard input one line
`{"rate_hz", "bytes"}` is written to standard output, followed by so many bytes of 16-bit mono
samples. The first line written is `{"ready": true}`.
"""

from __future__ import annotations

import json
import os
import signal
import sys
from pathlib import Path
from typing import BinaryIO

from callout.edges.child_environment import SILENCED


def main(model: Path, lines: BinaryIO, out: BinaryIO) -> int:
    """Speak until the input ends."""
    # Read by onnxruntime as it is loaded; whoever starts us by hand sends nothing either.
    os.environ.update(SILENCED)
    from piper import PiperVoice, SynthesisConfig

    voice = PiperVoice.load(model)
    _write(out, {"ready": True})
    for line in lines:
        asked = json.loads(line)
        config = SynthesisConfig(length_scale=1.0 / float(asked["speed"]))
        chunks = list(voice.synthesize(asked["text"], syn_config=config))
        sound = b"".join(chunk.audio_int16_bytes for chunk in chunks)
        rate_hz = chunks[0].sample_rate if chunks else voice.config.sample_rate
        _write(out, {"rate_hz": rate_hz, "bytes": len(sound)}, sound)
    return 0


def _write(out: BinaryIO, header: dict[str, object], sound: bytes = b"") -> None:
    out.write(json.dumps(header).encode() + b"\n" + sound)
    out.flush()


def _alone() -> BinaryIO:
    """Our output, to ourselves: what a library prints goes to standard error.

    Ctrl-C at the terminal reaches every process of the group; the table decides when the voice
    ends. Hearing comes before speaking where the machine is busy with both.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if hasattr(os, "nice"):
        os.nice(5)
    own = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    return own


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]), sys.stdin.buffer, _alone()))
