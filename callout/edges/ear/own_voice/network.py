"""The recognizer's network in numpy: what it answers, and how its answers depend on its norms.

A norm takes a number's mean from it and divides it by its deviation. There is one behind each
layer: to shift and to stretch what it gives is the smallest change that reaches every layer.

Source of the format and of what each part computes: Kaldi's nnet3 (from memory); the layers, their
sizes and offsets are the file's own.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from callout.edges.ear.network_file import EPSILON, EVERY, SKIPPED, has, numbers, offsets
from callout.edges.ear.own_voice.features import Array

Change = dict[str, Array]
"""By norm: how far each of its numbers is shifted, in deviations, and the logarithm of how much it
is stretched; an array (2, numbers)."""


class Norm:
    """Subtracts each number's mean and divides by its deviation; then shifts and stretches."""

    def __init__(self, file: bytes, name: str) -> None:
        self.name = name
        self.mean = numbers(file, f"{name} StatsMean")
        self.variance = numbers(file, f"{name} StatsVar")
        self.deviation: Array = np.sqrt(np.maximum(self.variance, 0.0) + EPSILON)

    def give(self, x: Array, change: Change) -> Array:
        """The output for these frames."""
        plain: Array = (x - self.mean) / self.deviation
        if self.name not in change:
            return plain
        shift, stretch = change[self.name]
        made: Array = (plain - shift) * np.exp(stretch)
        return made

    def slope(self, given: Array, by: Array, change: Change) -> tuple[Array, Array]:
        """The gradients of the loss by its input, and by its shift and stretch.

        `given` is its output, `by` the gradient by that.
        """
        _, stretch = change[self.name]
        times = np.exp(stretch)
        of_own = np.stack([-(by * times).sum(0), (by * given).sum(0)])
        return by * times / self.deviation, of_own

    def as_added(self, change: Change) -> dict[str, Array]:
        """The change as what is added to the numbers of the file."""
        shift, stretch = change[self.name]
        variance = np.maximum(self.deviation**2 * np.exp(-2.0 * stretch) - EPSILON, 0.0)
        return {f"{self.name} StatsMean": (shift * self.deviation).astype(np.float32),
                f"{self.name} StatsVar": (variance - self.variance).astype(np.float32)}  # fmt: skip


class Matrix:
    """A matrix, most with a bias, applied to some frames at once: their offsets are `at`."""

    def __init__(self, file: bytes, name: str, every: int = 1) -> None:
        tokens = ("LinearParams", "Params")
        self.matrix = next(numbers(file, f"{name} {x}") for x in tokens if has(file, f"{name} {x}"))
        biased = has(file, f"{name} BiasParams")
        self.bias: Array | float = numbers(file, f"{name} BiasParams") if biased else 0.0
        self.at = [offset // every for offset in offsets(file, name)]

    def give(self, x: Array) -> Array:
        """The output; it has fewer frames, by the distance of the first offset from the last."""
        count = len(x) - (self.at[-1] - self.at[0])
        beside = [x[at - self.at[0] : at - self.at[0] + count] for at in self.at]
        made: Array = np.concatenate(beside, 1) @ self.matrix.T + self.bias
        return made

    def slope(self, by: Array) -> Array:
        """The gradient of the loss by its input; `by` is the gradient by its output."""
        count, size = len(by), self.matrix.shape[1] // len(self.at)
        made = np.zeros((count + self.at[-1] - self.at[0], size), np.float32)
        of_all = by @ self.matrix
        for nth, at in enumerate(self.at):
            made[at - self.at[0] :][:count] += of_all[:, nth * size : (nth + 1) * size]
        return made


class Layer:
    """A narrow matrix, a wide one, a cut at zero, a norm; most of the input is added."""

    def __init__(self, file: bytes, number: int) -> None:
        name = f"tdnnf{number}"
        reach = max(map(abs, offsets(file, f"{name}.linear")))
        self.every = EVERY if reach >= EVERY else 1
        self.linear = Matrix(file, f"{name}.linear", self.every)
        self.affine = Matrix(file, f"{name}.affine", self.every)
        self.norm = Norm(file, f"{name}.batchnorm")
        self.before = -(self.linear.at[0] + self.affine.at[0])
        self.after = self.linear.at[-1] + self.affine.at[-1]


@dataclass
class Course:
    """What the network computed of a sound, kept for the gradients."""

    answers: Array
    given: dict[str, Array] = field(default_factory=dict)
    """By norm: its output."""
    passed: dict[str, NDArray[np.bool_]] = field(default_factory=dict)
    """By norm: which of its inputs were above zero."""


class Network:
    """All of it that the recognizer uses: features and the speaker's vector in, states out."""

    def __init__(self, file: bytes) -> None:
        self.deltas = Norm(file, "delta")
        self.first = Matrix(file, "tdnn1.affine")
        self.first_norm = Norm(file, "tdnn1.batchnorm")
        numbers = sorted({int(each) for each in re.findall(rb"<ComponentName> tdnnf(\d+)\.", file)})
        self.layers = [Layer(file, number) for number in numbers]
        self.narrow = Matrix(file, "prefinal-l")
        self.wide = Matrix(file, "prefinal-chain.affine")
        self.wide_norm = Norm(file, "prefinal-chain.batchnorm1")
        self.last = Matrix(file, "prefinal-chain.linear")
        self.last_norm = Norm(file, "prefinal-chain.batchnorm2")
        self.states = Matrix(file, "output.affine")
        self.before = 2 + sum(layer.every * layer.before for layer in self.layers)
        self.after = 2 + sum(layer.every * layer.after for layer in self.layers)

    @property
    def norms(self) -> list[Norm]:
        """All of them."""
        layers = [layer.norm for layer in self.layers]
        return [self.deltas, self.first_norm, *layers, self.wide_norm, self.last_norm]

    def no_change(self) -> Change:
        """A change of nothing."""
        return {each.name: np.zeros((2, len(each.mean)), np.float32) for each in self.norms}

    def hear(self, features: Array, speaker: Array, change: Change) -> Course:
        """What it answers: (frames, 40) and (30) → (frames / 3, states)."""
        course = Course(np.zeros(0, np.float32))
        x = self.deltas.give(self._spliced(features), change)
        course.given["delta"] = x
        x = np.concatenate([x, np.broadcast_to(speaker, (len(x), len(speaker)))], 1)
        x = self._normed(self.first.give(x), self.first_norm, change, course)
        every = 1
        for layer in self.layers:
            x = x[:: layer.every // every]
            every = layer.every
            made = layer.affine.give(layer.linear.give(x))
            made = self._normed(made, layer.norm, change, course)
            x = SKIPPED * x[layer.before : layer.before + len(made)] + made
        made = self.wide.give(self.narrow.give(x))
        x = self._normed(made, self.wide_norm, change, course)
        x = self.last_norm.give(self.last.give(x), change)
        course.given[self.last_norm.name] = x
        course.answers = self.states.give(x)
        return course

    def slopes(self, course: Course, by: Array, change: Change) -> Change:
        """The gradient of the loss by each norm; `by` is the gradient by the answers."""
        found: Change = {}

        def norm_slope(norm: Norm, by: Array) -> Array:
            by, found[norm.name] = norm.slope(course.given[norm.name], by, change)
            passed = course.passed.get(norm.name)
            return by if passed is None else by * passed

        by = self.last.slope(norm_slope(self.last_norm, self.states.slope(by)))
        by = self.narrow.slope(self.wide.slope(norm_slope(self.wide_norm, by)))
        for at in reversed(range(len(self.layers))):
            layer = self.layers[at]
            through = norm_slope(layer.norm, by)
            of_input = layer.linear.slope(layer.affine.slope(through))
            of_input[layer.before : layer.before + len(by)] += SKIPPED * by
            former = self.layers[at - 1] if at else None
            count = len(course.given[former.norm.name if former else self.first_norm.name])
            by = _spread(of_input, layer.every // (former.every if former else 1), count)
        of_first = self.first.slope(norm_slope(self.first_norm, by))
        norm_slope(self.deltas, of_first[:, : len(self.deltas.mean)])
        return found

    def _spliced(self, features: Array) -> Array:
        """The features with their first and second differences, the ends repeated as padding."""
        count = EVERY * ((len(features) - 1) // EVERY) + 1
        x = np.pad(features, ((self.before, self.after), (0, 0)), mode="edge")
        x = x[: self.before + count + self.after]
        slope, bend = x[3:-1] - x[1:-3], x[:-4] + x[4:] - 2.0 * x[2:-2]
        made: Array = np.concatenate([x[2:-2], slope, bend], 1)
        return made

    def _normed(self, x: Array, norm: Norm, change: Change, course: Course) -> Array:
        course.passed[norm.name] = x > 0.0
        made = norm.give(np.maximum(x, 0.0), change)
        course.given[norm.name] = made
        return made


def _spread(x: Array, every: int, count: int) -> Array:
    """`count` frames with these at every `every`-th place, and zeros between."""
    made = np.zeros((count, x.shape[1]), np.float32)
    made[::every] = x
    return made
