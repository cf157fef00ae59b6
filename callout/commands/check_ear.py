"""`callout check --ear`: measures three seconds of hall and five calls, and says what to do.

No sound is kept.
"""

from __future__ import annotations

import queue
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np

from callout.commands.learn_voice import learn_voice, may_learn
from callout.commands.read_call import ReadCall, mean_the_same
from callout.commands.spoken import ENGLISH
from callout.edges.ear.device import open_microphone
from callout.edges.ear.level import Verdict, level_db, verdict
from callout.edges.ear.listening import OpenEar
from callout.edges.ear.messages import HeardCall, Utterance
from callout.edges.ear.own_threshold import HIGHEST, LOWEST, OwnEar, keep, own_ear_file
from callout.edges.ear.own_voice.kept import voice_file
from callout.edges.ear.own_voice.read_out import READ_OUT
from callout.edges.ear.recognizer import Models
from callout.edges.ear.sound import RATE_HZ, Samples
from callout.edges.models.catalogue import RECOGNIZER, find_model
from callout.edges.private_folder import PrivateFolder
from callout.errors import CalloutError
from callout.game.terms import Team
from callout.language.check import open_language
from callout.language.grammar import Grammar, Scope, language_folder
from callout.language.parser import Parser

if TYPE_CHECKING:
    from callout.edges.ear.microphone import Microphone

HALL_S: Final = 3.0
"""How long the hall is measured before the first call."""
CALLS: Final = ("score", "foul", "shot", "timeout", "sub_waiting")
"""The person reads out the first example of each."""
NUMBERS: Final = ("4", "5", "11", "15", "23", "50")
ALIKE: Final = ("3", "4", "5", "7", "8", "9", "11", "13", "14", "15", "21", "23", "30", "40", "50")
"""The numbers on the lists while a voice is learned."""
WAIT_S: Final = 8.0
"""A call must be heard within this many seconds of sound."""

ENOUGH_DB: Final = 15.0
"""Signal-to-noise ratio from which the open ear works well."""
LITTLE_DB: Final = 9.0
"""Below this ratio, even a held ear mishears one call in ten. Source: tests/bench/ear.py."""
GIVES_UP: Final = 5
"""After this many calls of which none was heard, no more are asked for."""
AROUND_S: Final = 0.1
"""The sound before and after a call that is taken with it."""
MARGIN: Final = 4.0
"""How far below the lowest score of a right call the threshold is set."""


def advice(hall_db: float, tried: Sequence[ReadCall]) -> list[str]:
    """What to do, the most important first; empty where all is well."""
    heard = [each.level_db for each in tried if each.heard] or [each.level_db for each in tried]
    voice_db = float(np.median(heard))
    above_db = voice_db - hall_db
    told = []
    # A headset that cuts noise off gives zeros, too, until somebody speaks.
    if verdict(max(hall_db, voice_db)) is Verdict.MUTE:
        told.append("The microphone gives only zeros: check its switch, cable and permission.")
    match verdict(voice_db):
        case Verdict.LOUD:
            told.append("The voice is too loud: turn the microphone down, or move it to the side.")
        case Verdict.SOFT | Verdict.MUTE:
            told.append("The voice is faint: move the microphone to two fingers from the mouth.")
    if above_db < LITTLE_DB:
        told.append("The room is too loud for this microphone: use one that is worn at the mouth.")
    elif above_db < ENOUGH_DB:
        told.append("The room is loud: hold a key or a pedal to talk (--ear hold).")
    missed = [each for each in tried if not each.right]
    if len(missed) > 1 and not told:
        told.append("Several calls were not heard as said: speak evenly, a little slower.")
    return told


def threshold(tried: Sequence[ReadCall]) -> OwnEar | None:
    """The threshold for this voice; None unless most calls were heard as said."""
    scores = [each.score for each in tried if each.score is not None]
    if len(scores) <= len(tried) / 2:
        return None
    least = round(min(scores) - MARGIN, 1)
    return OwnEar(min(HIGHEST, max(LOWEST, least)))


def ear_check(
    microphone: str | None = None,
    say: Callable[[str], None] = print,
    path: Path | None = None,
    *,
    voice_of: str = "",
    language: str = ENGLISH,
    model: Path | None = None,
    opener: Callable[..., Microphone] = open_microphone,
) -> int:
    """Listen to the hall and to five calls, print the findings, and keep the threshold.

    With `voice_of` there are twenty calls, and that voice is learned. The exit status: 1 unless
    most of the calls were heard, and the voice was learned. `opener` opens a microphone as
    `open_microphone` does.

    Raises:
        CalloutError: there is no microphone or no model, or the language is another than English.
    """
    if language != ENGLISH:
        raise CalloutError(f"--language {language}: --ear listens to English alone")
    grammar = open_language(language_folder())
    voice = voice_file(voice_of) if voice_of else None
    parser = Parser(grammar, Scope(dict.fromkeys(Team, NUMBERS if voice is None else ALIKE)))
    with PrivateFolder("callout-check-") as folder:
        models = Models(find_model(RECOGNIZER, model), folder)
        models.use("always", parser.network)
        sound: queue.SimpleQueue[Samples] = queue.SimpleQueue()
        device = opener(microphone, sound.put, lambda kind, what: say(what))
        try:
            say(f"Listening to {device.name}. Say nothing for {HALL_S:g} seconds.")
            hall = np.concatenate(list(_until(sound, HALL_S)))
            texts = texts_to_read(grammar) if voice is None else READ_OUT
            tried = []
            for text in texts:
                say(f"Now say:  {text}")
                tried.append(_try(text, models, parser, sound))
                say(f"   heard:  {tried[-1].heard or '(nothing)'}")
                if _hopeless(tried):
                    break
        finally:
            device.close()
        if voice is not None and not may_learn(tried, models, say):
            return 1
        status = _report(level_db(hall), tried, say, path or own_ear_file())
        return status if voice is None else learn_voice(tried, models, parser, voice, say)


def _hopeless(tried: Sequence[ReadCall]) -> bool:
    return len(tried) == GIVES_UP and not any(each.heard for each in tried)


def texts_to_read(grammar: Grammar) -> list[str]:
    """The sentences to read out, one of each call in `CALLS`."""
    files = {file.name: file for file in grammar.calls}
    return [files[name].examples[0].say for name in CALLS if name in files]


def _report(hall: float, tried: Sequence[ReadCall], say: Callable[[str], None], path: Path) -> int:
    voice = float(np.median([each.level_db for each in tried]))
    say(f"Voice {voice:.0f} dB of full scale, hall {hall:.0f}: {voice - hall:.0f} dB above it.")
    right = sum(each.right for each in tried)
    say(f"{right} of {len(tried)} calls heard as said.")
    for line in advice(hall, tried):
        say(line)
    own = threshold(tried)
    if own is None:
        say("No threshold was kept: try again when most calls are heard.")
        return 1
    keep(own, path)
    say(f"Kept for your voice in {path}: least_score {own.least_score:g}. No sound was kept.")
    return 0


def _until(sound: queue.SimpleQueue[Samples], seconds: float) -> Iterator[Samples]:
    """Sound of that length; less if none arrives for that long."""
    yield np.zeros(0, dtype=np.int16)
    left = int(seconds * RATE_HZ)
    while left > 0:
        try:
            samples = sound.get(timeout=seconds)
        except queue.Empty:
            return
        left -= len(samples)
        yield samples


def _of_call(sound: Samples, call: HeardCall) -> Samples:
    first = max(0.0, call.words[0].start_s - AROUND_S)
    return sound[int(first * RATE_HZ) : int((call.words[-1].end_s + AROUND_S) * RATE_HZ)]


def _try(text: str, models: Models, parser: Parser, sound: queue.SimpleQueue[Samples]) -> ReadCall:
    """Listen until a call is heard, or for `WAIT_S`."""
    ear, taken = OpenEar(models, "always"), [np.zeros(0, dtype=np.int16)]
    found: list[Utterance] = []
    for samples in _until(sound, WAIT_S):
        taken.append(samples)
        found = [u for u in ear.feed(samples) if u.calls]
        if found:
            break
    level = level_db(np.concatenate(taken))
    for utterance in found or [u for u in ear.flush() if u.calls]:
        best = max(utterance.calls, key=lambda call: call.score)
        words = " ".join(best.said)
        score = best.score if mean_the_same(parser, text, words) else None
        return ReadCall(text, words, level, score, _of_call(np.concatenate(taken), best))
    return ReadCall(text, "", level, None)
