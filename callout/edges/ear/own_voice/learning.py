"""Finds the change of the network's norms that makes it hear one voice as it hears the usual one.

Source of the method: Adam, Kingma and Ba 2015; learning hidden unit contributions, Swietojanski and
Renals 2014 (from memory). The numbers were chosen on voices of one synthesizer: with twice the rate
single words by people were heard worse.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from callout.edges.ear.own_voice.lessons import SHARP, Lesson, logs
from callout.edges.ear.own_voice.network import Change, Network

STEPS: Final = 25
RATE: Final = 0.02
"""The learning rate of the first step; it falls to nothing by the last."""
BATCH: Final = 6
"""Calls in one step."""
SHARE: Final = 0.5
"""How much of what was found is kept: all of it fits these calls better, and others less."""

DECAYS: Final = (0.9, 0.999)
TINY: Final = 1e-8
"""The constants of Adam. Source: Kingma and Ba 2015 (from memory)."""


def learned(network: Network, given: Sequence[Lesson], seed: int = 0) -> Change:
    """The change that these lessons teach."""
    change = network.no_change()
    random = np.random.default_rng(seed)
    first = {name: np.zeros_like(each) for name, each in change.items()}
    second = {name: np.zeros_like(each) for name, each in change.items()}
    for step in range(STEPS):
        slopes = _slopes(network, given, change, random)
        rate = RATE * (1.0 - step / STEPS)
        for name, slope in slopes.items():
            first[name] = DECAYS[0] * first[name] + (1.0 - DECAYS[0]) * slope
            second[name] = DECAYS[1] * second[name] + (1.0 - DECAYS[1]) * slope**2
            mean = first[name] / (1.0 - DECAYS[0] ** (step + 1))
            size = np.sqrt(second[name] / (1.0 - DECAYS[1] ** (step + 1)))
            change[name] = change[name] - rate * mean / (size + TINY)
    return {name: SHARE * each for name, each in change.items()}


def _slopes(
    network: Network, given: Sequence[Lesson], change: Change, random: np.random.Generator
) -> Change:
    """The gradient of the divergence by the norms, over a batch of lessons."""
    whole = {name: np.zeros_like(each) for name, each in change.items()}
    for at in random.choice(len(given), min(BATCH, len(given)), replace=False):
        lesson = given[at]
        course = network.hear(lesson.features, lesson.speaker, change)
        count = min(len(course.answers), len(lesson.right))
        by = np.zeros_like(course.answers)
        wrong = np.exp(logs(course.answers[:count])) - lesson.right[:count]
        by[:count] = SHARP * wrong / (count * BATCH)
        for name, slope in network.slopes(course, by, change).items():
            whole[name] += slope
    return whole


def divergence(network: Network, given: Sequence[Lesson], change: Change) -> float:
    """How far its answers are from the right ones, in nats a frame."""
    found = []
    for lesson in given:
        told = logs(network.hear(lesson.features, lesson.speaker, change).answers)
        count = min(len(told), len(lesson.right))
        right = lesson.right[:count]
        found.append(float((right * (np.log(right + 1e-9) - told[:count])).sum(1).mean()))
    return float(np.mean(found))
