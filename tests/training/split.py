"""Which recordings of people and of noise teach, which choose, and which only measure.

The recordings are no part of the project. A folder of them has one folder for each source, named as
below. What ships is learned from sources that allow it: public domain, CC0, CC BY and permissive
licences. Sources under the GPL or a share-alike licence, and those whose licence or origin is not
stated, measure and do nothing else.

A speaker is wholly in one part, and so is a recording of noise: a digest of the source's name and
the speaker's, or the file's, decides, so that a new recording moves no other.
"""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Final, Literal

Part = Literal["training", "calibration", "validation"]

SALT: Final = "callout 1"

PEOPLE: Final = {
    "librispeech-resemblyzer": (78, 88),
    "speechocean762": (78, 88),
    "speech-commands-vinsis": (45, 55),
    "howl-commonvoice": (78, 88),
    "vctk-autovc": (100, 100),
    "vctk-audiomentations": (100, 100),
    "cmuarctic-pyroomacoustics": (100, 100),
    "pocketsphinx": (100, 100),
    "sphinx4": (100, 100),
    "kaldi-gstreamer-server": (100, 100),
}
"""Of a hundred speakers so many teach, and up to so many teach or choose; the rest measure.

More of the single words measure, for nothing else is so near to a call. Sources of few speakers
only teach.
"""

NOISES: Final = {
    "speech-commands-background": (100, 100),
    "blanket": (100, 100),
    "antumdeluge-sounds": (60, 100),
    "precise-noises": (60, 100),
}
"""The same of recordings of noise. All recorded crowds, applause and referees' whistles are under
the GPL or of unstated origin: they measure, and training makes its own."""


def part_of(path: Path) -> Part:
    """The part of a recording, which lies in its source's folder."""
    source = path.parent.name
    shares = PEOPLE.get(source) or NOISES.get(source)
    if shares is None:
        return "validation"
    who = path.stem if source in NOISES else speaker_of(path)
    digest = hashlib.sha256(f"{SALT}|{source}|{who}".encode()).digest()
    at = int.from_bytes(digest[:4], "big") % 100
    teaches, chooses = shares
    return "training" if at < teaches else "calibration" if at < chooses else "validation"


def speaker_of(path: Path) -> str:
    """Who speaks, as the file's name tells it; where it does not, all of the source are one."""
    source, name = path.parent.name, path.stem.split("_")
    match source:
        case "librispeech-resemblyzer":
            return path.stem.split("-")[0]
        case "howl-commonvoice" if name[0] in ("cat", "dog"):
            return name[1]
        case "howl-commonvoice":
            return name[-1]
        case "speech-commands-vinsis":
            return name[1]
        case "speechocean762" | "vctk-autovc" | "kajongg" | "hedgewars-voices" | "trigger-rally":
            return name[0]
        case "klettres" | "tuxpaint-stamps":
            return "GB" if "GB" in name else "US"
        case "cmuarctic-pyroomacoustics":
            return name[3]
        case "warzone2100" | "fotaq":
            return name[0]
    return source
