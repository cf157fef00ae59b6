"""`callout check --ear --voice-of NAME`: learns a voice from twenty calls that were read out.

It is kept only if the ear then hears that voice no worse, measured on calls that did not teach.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Final

import numpy as np

from callout.commands.read_call import ReadCall, mean_the_same
from callout.edges.ear.hall_noise import hall_noise, in_noise
from callout.edges.ear.level import Verdict, verdict
from callout.edges.ear.listening import FILE_PATIENCE_S, OpenEar
from callout.edges.ear.options import Options
from callout.edges.ear.own_voice.features import Array
from callout.edges.ear.own_voice.kept import keep
from callout.edges.ear.own_voice.learning import learned
from callout.edges.ear.own_voice.lessons import (
    RATIOS_DB,
    Lesson,
    cepstra,
    lessons,
    prepared,
    vectors,
)
from callout.edges.ear.own_voice.network import Network
from callout.edges.ear.own_voice.speaker import Extractor
from callout.edges.ear.recognizer import Models
from callout.edges.ear.sound import RATE_HZ, Samples, to_recognizer
from callout.edges.private_folder import PrivateFolder
from callout.edges.voice.piper import PiperSynthesizer
from callout.errors import ModelError
from callout.language.parser import Parser

ENOUGH: Final = 15
"""How many of the twenty calls must be heard as said."""

APART: Final = 3.2
"""First and last ten calls with speaker's vectors that lie farther apart are of two people.

Measured on ten synthetic voices at 20 dB: those of one voice lie up to 2.5 apart, since their words
differ, those of two 2.3 (two voices of one synthesizer), 2.9, then from 3.8 up."""

APART_IN_TURN: Final = 1.4
"""The same for every other call and the rest, whose words differ less.

Measured on eight other synthetic voices at 20 dB: those of one voice lie 0.5 to 0.9 apart, those of
two that read in turn 1.8 (two voices of one synthesizer), then from 2.2 up."""

MEASURED_DB: Final = 12.0
"""The ratio of the voice to the noise of the hall in which it is measured."""
NOISE_S: Final = 30.0
"""How much noise of that hall is made."""
DOUBT: Final = 3.0
"""A reading less than this much less likely than the first, in nats, makes the table ask."""


def refusal(tried: Sequence[ReadCall], extractor: Extractor) -> str | None:
    """Why no voice can be learned from these calls; None if one can."""
    heard = [each for each in tried if each.heard]
    faint = (Verdict.MUTE, Verdict.SOFT)
    if not heard and all(verdict(each.level_db) in faint for each in tried):
        return "Nothing was heard. Is the microphone on, and near the mouth?"
    if not heard:
        return "Sound came, but no call in it: read out each line."
    if len(heard) > 1 and len({each.heard for each in heard}) == 1:
        return f"The same words were heard each time, {heard[0].heard!r}: read out each line."
    right = [each for each in tried if each.right]
    if len(right) < ENOUGH:
        (words, count), *_ = Counter(each.heard for each in heard).most_common(1)
        often = f"; {words!r} was heard {count} times" if count > 2 else ""
        return f"{len(right)} of {len(tried)} calls were heard as said, {ENOUGH} are needed{often}."
    middle = len(tried) // 2
    if _apart(extractor, tried[:middle], tried[middle:]) > APART:
        return "The first ten calls and the last ten sound like two people: one must read them all."
    if _apart(extractor, tried[::2], tried[1::2]) > APART_IN_TURN:
        return "Every other call sounds like another person: one must read them all."
    return None


def _apart(extractor: Extractor, some: Sequence[ReadCall], others: Sequence[ReadCall]) -> float:
    """How far the speaker's vectors of two parts lie from each other."""
    first, second = (_vector(extractor, each) for each in (some, others))
    return float(np.linalg.norm(first - second))


def _vector(extractor: Extractor, tried: Sequence[ReadCall]) -> Array:
    features = np.concatenate([cepstra(prepared(each.sound)) for each in tried if each.right])
    vector: Array = extractor.vector(features, len(features))
    return vector


def may_learn(
    tried: Sequence[ReadCall], models: Models, say: Callable[[str], None] = print
) -> bool:
    """Whether a voice can be learned from these calls; if not, it is said why."""
    why = refusal(tried, Extractor(models.model))
    if why:
        say(f"Nothing was learned or kept. {why}")
    return why is None


def learn_voice(
    tried: Sequence[ReadCall],
    models: Models,
    parser: Parser,
    path: Path,
    say: Callable[[str], None] = print,
    said_by: Callable[[str], Samples] | None = None,
) -> int:
    """Learn the voice that read these calls out, and keep it; the exit status is 1 if it is not.

    Whether it can be learned is for `may_learn` to say.

    `said_by` says a text in the usual voice.
    """
    right = [each for each in tried if each.right]
    try:
        usual = _usual([each.text for each in right], said_by)
    except ModelError as error:
        say(f"No voice was learned: {error}")
        return 1
    say("Learning your voice; this takes some minutes.")
    base = models.network_heard
    network = Network(base)
    pairs = [(each.sound, other) for each, other in zip(right, usual, strict=True)]
    extractor = Extractor(models.model)
    taught = lessons(network, extractor, pairs)
    before, after = _measured(right, taught, network, extractor, models, parser)
    say(f"Of {len(right)} calls, put into a hall's noise, {before} were heard at once before, and "
        f"{after} with the voice learned from the other half of the calls.")  # fmt: skip
    if after < before:
        say("That is no better: no voice was kept.")
        return 1
    keep(learned(network, taught), vectors(extractor, taught), base, path)
    say(f"Kept in {path}: {path.stat().st_size // 1000} kB. No sound was kept.")
    return 0


def _usual(texts: Sequence[str], said_by: Callable[[str], Samples] | None) -> list[Samples]:
    if said_by is not None:
        return [said_by(text) for text in texts]
    voice = PiperSynthesizer()
    try:
        return [
            to_recognizer(voice.render(text, 1.0).at(RATE_HZ)[:, None], RATE_HZ) for text in texts
        ]
    finally:
        voice.close()


def _measured(
    right: Sequence[ReadCall],
    taught: Sequence[Lesson],
    network: Network,
    extractor: Extractor,
    models: Models,
    parser: Parser,
) -> tuple[int, int]:
    """How many calls are heard in noise, before and after; each by what the other half taught."""
    noise = hall_noise(NOISE_S, 5)
    before = after = 0
    with PrivateFolder("callout-check-") as folder:
        for half in (0, 1):
            given = [each for at, each in enumerate(taught) if at // len(RATIOS_DB) % 2 != half]
            path = folder / f"{half}.npz"
            own = vectors(extractor, given)
            keep(learned(network, given), own, models.network_heard, path)
            other = Models(models.model, folder, Options(voice=str(path)))
            other.use("always", parser.network)
            for at, each in enumerate(right):
                if at % 2 == half:
                    start = 1_000 * at
                    wave = in_noise(prepared(each.sound), noise[start:], MEASURED_DB)
                    sound = (wave * 32_767).astype(np.int16)
                    before += _is_heard(each.text, sound, models, parser)
                    after += _is_heard(each.text, sound, other, parser)
    return before, after


def _is_heard(text: str, sound: Samples, models: Models, parser: Parser) -> bool:
    """Whether the call is heard at once, and nothing else that is as likely."""
    ear, quiet = OpenEar(models, "always", FILE_PATIENCE_S), np.zeros(RATE_HZ, np.int16)
    found = [*ear.feed(sound), *ear.feed(quiet), *ear.flush()]
    calls = [call for each in found for call in each.calls if call.is_trusted]
    if len(calls) != 1 or any(other.gap < DOUBT for other in calls[0].others):
        return False
    return mean_the_same(parser, text, " ".join(calls[0].said))
