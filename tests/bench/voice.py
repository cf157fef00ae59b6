"""The voice: how much is said, how soon, and whether it is understood.

`spoken`: the demo's game at each level, on simulated time with the real length of every phrase.
Calls without a time of their own come four seconds apart; intervals are as long as the league says.
`understood`: every sentence of that game heard back, by the recognizer's open speech, and by a list
of all words in those sentences in any order.
`first`: the time from the event on the disk to the first sound that the device takes, through a
sound server; for phrases in memory, on the disk, and not yet rendered.
`burst`: a foul that puts a player out, two substitutes and a time-out within three seconds.
`fed`: the speech of two hours of that game, with reverberation, fed back into the open ear at the
level of speech, with the gate; and one game without it, to show what the gate prevents. The silence
between the replies is left out.

Name some of these to measure only those. It prints figures and never fails.
"""

from __future__ import annotations

import argparse
import json
import os
import re
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path
from random import random
from typing import Any

import numpy as np

from callout.edges.ear.hall_noise import echoed, hall_noise, in_noise
from callout.edges.ear.listening import OpenEar
from callout.edges.ear.process import GATE_TAIL_S
from callout.edges.ear.sound import RATE_HZ, Samples, to_recognizer
from callout.edges.voice.device import DeviceVoice
from callout.edges.voice.phrases import Phrases, cache_folder, sentences
from callout.edges.voice.piper import PiperSynthesizer
from callout.edges.voice.tones import tone
from callout.game.kind import Rank
from callout.language.replies import Level
from callout.table.scripts.script import read_script
from callout.table.speech.announcer import STALE_MS
from callout.table.speech.delivery import Delivery
from callout.table.speech.kinds import ALL_KINDS

ROOT = Path(__file__).parents[2]
sys.path += [str(ROOT), str(Path(__file__).parent)]
from voicelab.played import Played, Sound, play, real_lengths  # noqa: E402

from tests.pulse import pulse_server  # noqa: E402

DEMO = ROOT / "tests/games/demo.game"
GAP_MS = 4_000
WORST = 10
HALL_DB = 12.0
FED_H = 2.0
ROOM_SEED = 3


@cache
def phrases() -> Phrases:
    """The voice with its phrase cache."""
    return Phrases(PiperSynthesizer(), cache_folder())


@cache
def game(level: Level) -> Played:
    """The demo's game at a level."""
    return play(read_script(DEMO), level, real_lengths(phrases()), GAP_MS)


def spoken() -> None:
    """Print how much is said at each level."""
    for level in Level:
        played = game(level)
        sounds = played.voice.sounds
        hours = (played.now_ms - 1_000_000) / 3_600_000
        talk = sum(each.end_ms - each.start_ms for each in sounds) / 1000
        texts = [each for each in sounds if each.text and not each.cut]
        longest = max(texts, key=lambda each: each.end_ms - each.start_ms)
        gated = talk + GATE_TAIL_S * len(sounds)
        print(f"{level.value:<7} {talk / hours:6.0f} s spoken a game hour ({hours:.2f} h), longest "
              f"{(longest.end_ms - longest.start_ms) / 1000:.2f} s, ear gated at most "
              f"{gated / hours / 36:.1f} % of the time: {longest.text!r}")  # fmt: skip


def plain(text: str) -> str:
    """A text in the form that a recognizer gives: lower case, without punctuation."""
    return re.sub(r"[^a-z' ]+", " ", text.lower().replace("-", " ")).strip()


def understood() -> None:
    """Print how many sentences are heard back word for word."""
    import vosk

    from callout.edges.models.catalogue import RECOGNIZER, find_model

    vosk.SetLogLevel(-1)
    model = vosk.Model(str(find_model(RECOGNIZER)))
    texts = sorted({s for level in Level for each in game(level).voice.sounds
                    for s in sentences(each.text)})  # fmt: skip
    words = sorted({word for text in texts for word in plain(text).split()})
    known = [word for word in words if model.vosk_model_find_word(word) >= 0]
    print(f"{len(texts)} sentences of {len(words)} words; unknown to the recognizer: "
          f"{sorted(set(words) - set(known))}")  # fmt: skip
    noise = hall_noise(60.0, seed=11)
    hearers: dict[str, Callable[[], Any]] = {
        "open speech": lambda: vosk.KaldiRecognizer(model, RATE_HZ),
        "the words said there": lambda: vosk.KaldiRecognizer(model, RATE_HZ, json.dumps(known)),
    }
    for name, hearer in hearers.items():
        for ratio_db in (None, HALL_DB):
            missed = [(errors(plain(text), heard), text, heard) for text in texts
                      if (heard := heard_back(hearer(), text, noise, ratio_db)) != " ".join(
                          plain(text).split())]  # fmt: skip
            where = "clean" if ratio_db is None else f"{ratio_db:g} dB"
            print(f"{name}, {where}: {len(texts) - len(missed)} of {len(texts)} word for word")
            for _, text, heard in sorted(missed, reverse=True)[:WORST]:
                print(f"    {text!r} as {heard!r}")


def heard_back(recognizer: Any, text: str, noise: np.ndarray, ratio_db: float | None) -> str:
    """The words that a recognizer hears in a sentence."""
    sound = phrases().render(text, Delivery().speed).at(RATE_HZ) * 0.5
    quiet = np.zeros(RATE_HZ // 2, dtype=np.float32)
    whole = np.concatenate([quiet, sound, quiet])
    if ratio_db is not None:
        whole = in_noise(whole, np.roll(noise, len(text) * 4_321), ratio_db)
    recognizer.AcceptWaveform(to_recognizer(whole[:, None], RATE_HZ).tobytes())
    heard: str = json.loads(recognizer.FinalResult())["text"]
    return heard


def errors(said: str, heard: str) -> int:
    """The word errors: the least number of words to be changed, added or left out."""
    one, other = said.split(), heard.split()
    row = list(range(len(other) + 1))
    for at, word in enumerate(one, 1):
        before, row[0] = row[0], at
        for nth, heard_word in enumerate(other, 1):
            before, row[nth] = (
                row[nth],
                min(row[nth] + 1, row[nth - 1] + 1, before + (word != heard_word)),
            )
    return row[-1]


def percentiles(values: Sequence[float]) -> str:
    """The median and the 95th percentile, in milliseconds."""
    ordered = sorted(values)
    p95 = ordered[min(len(ordered) - 1, round(0.95 * len(ordered)))]
    return f"p50 {1000 * ordered[len(ordered) // 2]:6.1f} ms   p95 {1000 * p95:6.1f} ms"


def first() -> None:
    """Print the time until the first sound of a phrase."""
    texts = list(dict.fromkeys(each.text for each in game(Level.NORMAL).voice.sounds if each.text))
    for part in {part for text in texts for part in sentences(text)}:
        phrases().render(part, Delivery().speed)
    with tempfile.TemporaryDirectory() as folder, pulse_server(Path(folder)) as pulse:
        os.environ.update(pulse.environment)
        for name, source, some in (
            ("in memory", phrases(), texts[:40]),
            ("from the disk", Phrases(PiperSynthesizer(), cache_folder()), texts[:40]),
            ("never rendered", Phrases(PiperSynthesizer()), texts[:12]),
        ):
            voice = DeviceVoice(source, ears="left")
            voice.speak("", "accepted")
            time.sleep(2.0)
            queued, taken = [], []
            for text in some:
                one, other = began(voice, text)
                queued.append(one)
                taken.append(other)
            print(f"{name:<15} ready   {percentiles(queued)}")
            print(f"{'':<15} sounds  {percentiles(taken)}   (the device adds "
                  f"{1000 * voice._player.latency_s:.0f} ms)")  # fmt: skip
            voice.close()


def began(voice: DeviceVoice, text: str) -> tuple[float, float]:
    """The seconds until the first samples are ready, and until the device takes them."""
    player = voice._player
    start = time.perf_counter()
    voice.speak(text)
    while not player._waiting and player._now is None:
        time.sleep(0.0003)
    ready = time.perf_counter() - start
    while player._now is None and player._waiting:
        time.sleep(0.0003)
    taken = time.perf_counter() - start
    voice.hush()
    while player._waiting or player._now is not None:
        time.sleep(0.01)
    time.sleep(0.1 + 0.05 * random())
    return ready, taken


BURST = """\
profile: nfhs-2026
home: Harbour Kites | 4 5 7 10 11 12 23
guest: Quarry Foxes | 3 5 8 14 15 20 33
"""


def burst() -> None:
    """Print what is said when in a burst, how late, and what of it is out of date."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "burst.game"
        path.write_text(BURST, encoding="utf-8")
        played = Played(read_script(path), Level.NORMAL, real_lengths(phrases()))
    for words in ("start clock", "tip home", "stop clock", *["guest foul number eight"] * 4):
        played.say(words)
        # The same foul within four seconds would be asked about.
        played.until(played.now_ms + 2 * GAP_MS)
    played.say("referee told")
    played.say("start clock")
    played.until(played.now_ms + 20_000)
    begun, said = played.now_ms, len(played.said)
    steps = (
        (0, "stop clock"), (800, "guest foul number eight shooting two"),
        (1_600, "home sub waiting"),
        (2_200, "guest sub waiting"), (3_000, "guest timeout waiting"), (9_000, "shot good"),
        (12_000, "guest sub five in eight out"), (14_000, "shot missed"), (15_500, "guest timeout"),
        (20_000, "subs in"),
    )  # fmt: skip
    for after_ms, words in steps:
        played.until(begun + after_ms)
        played.say(words)
    played.until(begun + 40_000)
    report(played, begun, said)


def report(played: Played, begun: int, first_said: int) -> None:
    """Print the log of a burst, and what was late or out of date in it."""
    log = [(at, f"                     {words}") for at, words in played.called if at >= begun]
    sounds = [each for each in played.voice.sounds if each.start_ms >= begun]
    log += [(s.start_ms, f"{'(cut) ' if s.cut else ''}{'*' if s.tone else ' '} {s.text or s.tone}")
            for s in sounds]  # fmt: skip
    for at, what in sorted(log, key=lambda each: each[0]):
        print(f"  {(at - begun) / 1000:6.1f} s  {what}")
    made = {each.text: each for each in played.said[first_said:] if each.text}
    late = [lateness(each, made[each.text].wall_ms, played) for each in sounds if each.text in made
            and made[each.text].rank.name in ("ACT", "TELL")]  # fmt: skip
    print(f"urgent: {len(late)} said, latest {max(late) / 1000:.2f} s after the moment from which "
          "it may be said")  # fmt: skip
    kinds = {text: ALL_KINDS[each.kind] for text, each in made.items()}
    fleeting = {text for text, kind in kinds.items() if kind.rank is Rank.ECHO and not kind.lasts}
    stale = [each for each in sounds if each.text in fleeting
             and each.start_ms - made[each.text].wall_ms >= STALE_MS]  # fmt: skip
    print(f"stale echoes said: {len(stale)}")


def lateness(sound: Sound, made_ms: int, played: Played) -> int:
    """The delay of a sound in milliseconds, after it was made and the sound before it ended."""
    before: list[int] = [each.end_ms for each in played.voice.sounds
              if each.end_ms <= sound.start_ms and each.text and not each.cut]  # fmt: skip
    return sound.start_ms - max([made_ms, *before])


def fed() -> None:
    """Print the calls that the open ear hears in the table's own speech."""
    from callout.edges.ear.options import Options
    from callout.edges.ear.recognizer import Models
    from callout.edges.models.catalogue import RECOGNIZER, find_model
    from callout.language.check import load_language
    from callout.language.parser import Parser
    from callout.table.language import english, scope_of

    played = game(Level.NORMAL)
    parser = Parser(load_language(english()), scope_of(played.script.setup))
    sounds = [each for each in played.voice.sounds if each.end_ms > each.start_ms]
    hours = (played.now_ms - 1_000_000) / 3_600_000
    with tempfile.TemporaryDirectory() as folder:
        models = Models(find_model(RECOGNIZER), Path(folder), Options())
        models.use("always", parser.network)
        for closed_s, games in ((GATE_TAIL_S, round(FED_H / hours)), (None, 1)):
            random, calls = np.random.default_rng(ROOM_SEED), list[str]()
            for _ in range(games):
                ear = OpenEar(models, "always")
                for sound in sounds:
                    calls += _fed(ear, in_the_room(sound, closed_s, random))
            name = "with the gate" if closed_s else "without it"
            some = sorted(set(calls))[:WORST]
            print(f"{name}, {games} games, {games * hours:.1f} h: {len(calls)} calls {some}")


def in_the_room(sound: Sound, closed_s: float | None, random: np.random.Generator) -> Samples:
    """A sound as the microphone receives it, with two seconds of reverberation after it.

    `closed_s`: the gate is closed during the sound and for this long after it; None for no gate.
    """
    made = rendered(sound.text, sound.tone)[: (sound.end_ms - sound.start_ms) * RATE_HZ // 1000]
    dry = np.concatenate([made, np.zeros(2 * RATE_HZ, dtype=np.float32)])
    wet = echoed(dry.astype(np.float64), RATE_HZ, random) + random.normal(0, 0.0005, len(dry))
    samples = to_recognizer(wet.astype(np.float32)[:, None], RATE_HZ)
    if closed_s is not None:
        samples[: len(made) + int(closed_s * RATE_HZ)] = 0
    return samples


@cache
def rendered(text: str, tone_name: str) -> np.ndarray:
    """A tone and a text as samples."""
    parts = [tone(tone_name, RATE_HZ)] if tone_name else []
    parts += [phrases().render(part, Delivery().speed).at(RATE_HZ) for part in sentences(text)]
    return 0.5 * np.concatenate(parts)


def _fed(ear: OpenEar, samples: Samples) -> list[str]:
    found = ear.feed(samples)
    return [call for utterance in found for call in utterance.trusted]


PARTS: dict[str, Callable[[], None]] = {
    "spoken": spoken, "burst": burst, "understood": understood, "first": first, "fed": fed,
}  # fmt: skip


def main() -> None:
    """Measure and print."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("parts", nargs="*", choices=[[], *PARTS])
    for name in arguments.parse_args().parts or PARTS:
        print(f"--- {name}", flush=True)
        PARTS[name]()
    phrases().close()


if __name__ == "__main__":
    main()
