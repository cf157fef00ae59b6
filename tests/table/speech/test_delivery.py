"""How the voice speaks. The calls are those of the design on talk; the steps are our own."""

from __future__ import annotations

import numpy as np
import pytest

from callout.edges.voice.sounding import LOUDEST, limited
from callout.game.terms import Manner
from callout.table.speech.delivery import SPEEDS, Delivery, stepped
from tests.table.play import Table


@pytest.mark.parametrize(
    ("manner", "field", "more"),
    [
        (Manner.SLOWER, "speed", False),
        (Manner.FASTER, "speed", True),
        (Manner.SOFTER, "gain", False),
        (Manner.LOUDER, "gain", True),
    ],
)
def test_a_step_goes_one_way_and_comes_to_an_end(manner: Manner, field: str, more: bool) -> None:
    before, now, steps = Delivery(), stepped(Delivery(), manner), 0
    while now != before:
        assert (getattr(now, field) > getattr(before, field)) is more
        before, now, steps = now, stepped(now, manner), steps + 1
    assert 1 <= steps < len(SPEEDS)
    assert before in (Delivery(speed=before.speed), Delivery(gain=before.gain))


@pytest.mark.parametrize("peak", [0.1, 1.0, 8.0])
def test_no_step_is_louder_than_is_safe(peak: float) -> None:
    """However often louder is asked for, and whatever a voice gives, the ear gets no more."""
    delivery = Delivery()
    for _ in range(20):
        delivery = stepped(delivery, Manner.LOUDER)
    given = np.array([peak, -peak, peak / 2], dtype=np.float32)
    heard = float(np.abs(limited(given, delivery.gain)).max())
    assert heard <= min(peak, LOUDEST) * (1 + 1e-6)


@pytest.mark.parametrize("manner", Manner)
def test_a_step_there_and_back_changes_nothing(manner: Manner) -> None:
    back = {"slower": "faster", "faster": "slower", "softer": "louder", "louder": "softer"}
    assert stepped(stepped(Delivery(), manner), Manner(back[manner.value])) == Delivery()


@pytest.mark.parametrize("manner", Manner)
def test_the_voice_is_told_how_to_speak_before_it_says_so(table: Table, manner: Manner) -> None:
    reply = table.say(f"speak {manner.value}")
    assert reply.speech[0] == stepped(Delivery(), manner)
    assert reply.text == f"{manner.value.capitalize()}."
    assert reply.entries == ()


def test_where_it_goes_no_further_that_is_said(table: Table) -> None:
    table.say("speak louder")
    reply = table.say("speak louder")
    assert reply.refused
    assert reply.text == "That is as far as it goes."
    assert not any(isinstance(command, Delivery) for command in reply.speech)
