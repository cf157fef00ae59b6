"""When an utterance begins and ends: the open ear's pauses, the pedal's window.

The times are those of the design; the speech is the voice's, the hall's sounds are made. Sound
comes in blocks of 50 ms, as from the microphone.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from callout.edges.ear.hypotheses import Word
from callout.edges.ear.listening import (
    ARMED_S,
    BACK_S,
    LATEST_S,
    QUIET_S,
    Ear,
    HeldEar,
    OpenEar,
    Quiet,
    TappedEar,
    without_echo,
)
from callout.edges.ear.messages import HeardCall, Utterance
from callout.edges.ear.recognizer import Models
from callout.edges.ear.sound import FRAME, RATE_HZ, Samples
from tests.speech import spoken

BLOCK = RATE_HZ // 20
LEAD_S = 0.8
"""Silence before the first word of `said`."""


def said(*texts: str, gap_s: float = 1.5) -> Samples:
    return (spoken(texts, gap_s, LEAD_S) * 32767).astype(np.int16)


def speech_ends_s(sound: Samples) -> float:
    loud = np.flatnonzero(np.abs(sound.astype(np.int32)) > 500)
    return float(loud[-1]) / RATE_HZ


def play(
    ear: Ear, sound: Samples, events: dict[float, Callable[[], None]] | None = None
) -> list[tuple[float, Utterance]]:
    """Feeds the sound block by block; each utterance with the moment, in s, at which it came."""
    waiting = sorted((events or {}).items())
    found = []
    for start in range(0, len(sound), BLOCK):
        while waiting and waiting[0][0] * RATE_HZ <= start:
            waiting.pop(0)[1]()
        found += [(ear.at / RATE_HZ, each) for each in ear.feed(sound[start : start + BLOCK])]
    return found


def test_the_open_ear_ends_an_utterance_at_a_pause(models: Models) -> None:
    sound = said("home two number five.")
    ((at_s, utterance),) = play(OpenEar(models, "always"), sound)
    assert utterance.trusted == ["home two number five"]
    # None goes on from it: it is taken once what is heard has stood still for 0.3 s.
    assert 0.15 < at_s - speech_ends_s(sound) < 0.65
    assert LEAD_S - 0.1 < utterance.start_s < LEAD_S + 0.2
    assert utterance.end_s == pytest.approx(speech_ends_s(sound), abs=0.2)


def test_the_open_ear_waits_where_a_call_may_go_on(models: Models) -> None:
    ends_s = speech_ends_s(said("home two."))
    waits = {}
    for patience_s in (0.0, 0.3):
        ((at_s, utterance),) = play(OpenEar(models, "always", patience_s), said("home two."))
        assert utterance.trusted == ["home two"]
        waits[patience_s] = at_s - ends_s
    assert waits[0.3] - waits[0.0] == pytest.approx(0.3, abs=0.11)


def test_a_call_is_taken_early_only_where_none_goes_on_from_it(models: Models) -> None:
    """In the same pause, a call that may go on is still waited for."""
    waits = {}
    for text in ("stop clock", "home two"):
        sound = said(f"{text}.")
        ((at_s, utterance),) = play(OpenEar(models, "always"), sound)
        assert utterance.trusted == [text]
        waits[text] = at_s - speech_ends_s(sound)
    assert waits["stop clock"] < waits["home two"] - 0.2


@pytest.mark.parametrize(
    ("gap_s", "calls"), [(0.25, ["home two number five"]), (1.5, ["home two", "number five"])]
)
def test_pieces_are_one_call_or_two_by_their_pause(
    models: Models, gap_s: float, calls: list[str]
) -> None:
    sound = np.concatenate([said("home two.", "number five.", gap_s=gap_s), np.zeros(RATE_HZ)])
    found = play(OpenEar(models, "always"), sound.astype(np.int16))
    assert [call for _, each in found for call in each.trusted] == calls


@pytest.mark.parametrize(("switch", "calls"), [(False, []), (True, ["yes"])])
def test_a_question_is_answered_though_the_answer_had_begun(
    models: Models, switch: bool, calls: list[str]
) -> None:
    ear = OpenEar(models, "always")
    events = {LEAD_S + 0.2: lambda: ear.hear_by("question")} if switch else {}
    found = play(ear, said("yes."), events)
    assert [call for _, each in found for call in each.trusted] == calls


def told(text: str, start_s: float, end_s: float, margin: float = 0.5) -> Utterance:
    words = tuple(Word(word, start_s, end_s) for word in text.split())
    return Utterance(start_s, end_s, text, (HeardCall(words, 0.0, margin),))


@pytest.mark.parametrize(
    ("before", "trusted_now"),
    [
        (told("undo that", 7.6, 8.3), False),
        (told("undo that", 7.0, 7.9), True),
        (told("home two", 7.6, 8.3), True),
        (told("undo that", 7.6, 8.3, margin=-0.5), True),
        (Utterance(7.0, 7.9, ""), True),
        (None, True),
    ],
)
def test_a_call_that_was_cut_in_its_midst_counts_once(
    before: Utterance | None, trusted_now: bool
) -> None:
    """As it was found in the demo: one "undo that" was heard from 7.6 to 8.3 and from 8.1 s on."""
    (call,) = without_echo(told("undo that", 8.1, 8.6), before).calls
    assert call.is_trusted == trusted_now


def test_the_window_reaches_back_before_the_pedal(models: Models) -> None:
    ear = HeldEar(models, "always")
    pressed_s = LEAD_S + 0.35
    sound = said("start clock.")
    ((_, utterance),) = play(ear, sound, {pressed_s: ear.press, 2.0: ear.release})
    assert utterance.trusted == ["start clock"]
    assert utterance.start_s < pressed_s
    late = HeldEar(models, "always")
    ((_, cut),) = play(late, sound, {LEAD_S + BACK_S + 0.5: late.press, 2.2: late.release})
    assert cut.trusted == []
    assert cut.start_s >= LEAD_S + 0.5 - 0.05


def test_the_window_outlasts_a_pedal_that_came_up_early(models: Models) -> None:
    sound = said("guest foul eleven.")
    released_s = speech_ends_s(sound) - 0.2
    ear = HeldEar(models, "always")
    ((at_s, utterance),) = play(ear, sound, {0.5: ear.press, released_s: ear.release})
    assert utterance.trusted == ["guest foul eleven"]
    assert QUIET_S < at_s - released_s <= LATEST_S + 0.05
    assert not ear.is_open


def hall(seconds: float, amplitude: float) -> Samples:
    noise = np.random.default_rng(1).standard_normal(int(seconds * RATE_HZ))
    return (amplitude * noise).astype(np.int16)


@pytest.mark.parametrize(("late_s", "loud_after"), [(0.0, False), (0.2, False), (0.0, True)])
def test_the_window_closes_after_quiet_or_at_the_latest(
    models: Models, late_s: float, loud_after: bool
) -> None:
    sound = np.concatenate([hall(2.0, 50), hall(1.5, 5_000 if loud_after else 50)])
    ear = HeldEar(models, "always")
    found = play(ear, sound, {1.0: ear.press, 2.0: lambda: ear.release(late_s)})
    ((at_s, utterance),) = found
    assert at_s - 2.0 == pytest.approx(LATEST_S if loud_after else QUIET_S + late_s, abs=0.05)
    assert (utterance.trusted, utterance.start_s) == ([], 0.5)


def test_nothing_said_is_told_too_and_nothing_is_told_without_the_pedal(models: Models) -> None:
    ear = HeldEar(models, "always")
    silence = np.zeros(2 * RATE_HZ, dtype=np.int16)
    ((_, utterance),) = play(ear, silence, {0.5: ear.press, 1.0: ear.release})
    assert (utterance.text, utterance.calls) == ("", ())
    ear.release()
    assert play(ear, said("start clock.")) == []
    assert ear.flush() == []


def test_pressed_again_before_it_closed_the_window_stays_open(models: Models) -> None:
    ear = HeldEar(models, "always")
    sound = said("guest foul.", "eleven.", gap_s=1.0)
    events = {0.5: ear.press, 1.6: ear.release, 1.7: ear.press, 4.0: ear.release}
    padded = np.concatenate([sound, np.zeros(2 * RATE_HZ, dtype=np.int16)])
    ((_, utterance),) = play(ear, padded, events)
    # A pause of a second, to look for the number: held, it does not part the call.
    assert utterance.trusted == ["guest foul eleven"]


def test_a_stuck_pedal_does_not_keep_the_window_open_for_ever(models: Models) -> None:
    ear = HeldEar(models, "always", longest_s=2.0)
    silence = np.zeros(4 * RATE_HZ, dtype=np.int16)
    ((at_s, _),) = play(ear, silence, {1.0: ear.press})
    assert at_s - (1.0 - BACK_S) == pytest.approx(2.0, abs=0.1)


def test_a_tap_is_for_the_next_call_and_for_no_other(models: Models) -> None:
    ear = TappedEar(models, "always")
    sound = said("start clock.", "tip home.", "home two.", gap_s=1.5)
    second_s = speech_ends_s(said("start clock.")) + 1.3
    found = play(ear, np.concatenate([sound, np.zeros(6 * RATE_HZ, "i2")]), {second_s: ear.tap})
    assert [each.trusted for _, each in found] == [["tip home"]]
    assert not ear.is_open


def test_a_tap_reaches_back_to_what_was_just_begun(models: Models) -> None:
    ear = TappedEar(models, "always")
    ((_, utterance),) = play(ear, said("start clock."), {LEAD_S + 0.3: ear.tap})
    assert utterance.trusted == ["start clock"]
    late = TappedEar(models, "always")
    sound = np.concatenate([said("start clock."), np.zeros(6 * RATE_HZ, "i2")])
    ((_, nothing),) = play(late, sound, {LEAD_S + BACK_S + 0.4: late.tap})
    assert (nothing.text, nothing.calls) == ("", ())


def test_a_tap_without_a_call_ends_after_its_time(models: Models) -> None:
    ear = TappedEar(models, "always")
    silence = np.zeros(8 * RATE_HZ, dtype=np.int16)
    ((at_s, utterance),) = play(ear, silence, {1.0: ear.tap})
    assert at_s == pytest.approx(1.0 + ARMED_S, abs=0.11)
    assert (utterance.text, utterance.calls) == ("", ())
    assert not ear.is_open


def test_other_peoples_talk_does_not_use_the_tap_up(models: Models) -> None:
    ear = TappedEar(models, "always")
    sound = said("where is the toilet please.", "home two.", gap_s=1.0)
    found = play(ear, np.concatenate([sound, np.zeros(2 * RATE_HZ, "i2")]), {0.4: ear.tap})
    assert [each.trusted for _, each in found] == [["home two"]]


def test_quiet_is_measured_against_the_hall() -> None:
    for amplitude in (20, 500):
        quiet = Quiet()
        quiet.feed(hall(1.0, amplitude))
        assert quiet.lasting_s == pytest.approx(1.0, abs=FRAME / RATE_HZ)
        quiet.feed(hall(0.1, 10 * max(amplitude, 30)))
        assert quiet.lasting_s == 0.0
        quiet.feed(hall(0.2, amplitude))
        assert quiet.lasting_s == pytest.approx(0.2, abs=FRAME / RATE_HZ)
