"""The recognizer's network in PyTorch, read from its file; and its change by training.

Source of the format and of what each part computes: Kaldi's nnet3 (from memory); the layers, their
sizes and offsets are the file's own.
"""

from __future__ import annotations

import re
import struct
from collections.abc import Mapping
from typing import Final

import numpy as np
import torch
from torch import Tensor, nn
from torch.nn import functional

from callout.edges.ear.hall_change import STEP, Change, place
from callout.errors import ModelError

EPSILON: Final = 1e-3
"""Added to the variance by every normalised component."""

BYPASS: Final = 0.75
"""The share of a layer's input that is added to its output."""

EVERY: Final = 3
"""The network has one output for this many frames."""

STEP_SIZE: Final = 0.5
"""The quantisation step of a stored change, relative to the root mean square of its row."""


class Part(nn.Module):
    """A component of the network's file, with its numbers as trainable parameters."""

    def __init__(self, file: bytes, name: str) -> None:
        super().__init__()
        self.file, self.name = file, name

    def has(self, token: str) -> bool:
        """Whether the component has numbers of this name."""
        try:
            return place(self.file, f"{self.name} {token}")[1][0] > 0
        except ModelError:
            return False

    def numbers(self, token: str) -> Tensor:
        """The component's numbers of this name, as stored in the file."""
        at, shape = place(self.file, f"{self.name} {token}")
        count = int(np.prod(shape))
        return torch.tensor(np.frombuffer(self.file, "<f4", count, at).reshape(shape).copy())

    def offsets(self) -> list[int]:
        """The offsets of the frames that the component splices, relative to the present one."""
        begin = self.file.find(f"<ComponentName> {self.name} <".encode())
        at = self.file.find(b"<TimeOffsets> ", begin) + len(b"<TimeOffsets> ")
        (count,) = struct.unpack_from("<i", self.file, at + 1)
        return list(struct.unpack_from(f"<{count}i", self.file, at + 5))

    def now(self) -> Mapping[str, Tensor]:
        """The component's present numbers by name, changed by training."""
        raise NotImplementedError


class Normalised(Part):
    """Values minus their mean, divided by their standard deviation: Kaldi's BatchNorm in use."""

    def __init__(self, file: bytes, name: str) -> None:
        super().__init__(file, name)
        self.mean = nn.Parameter(self.numbers("StatsMean"))
        variance = self.numbers("StatsVar").clamp(min=0.0) + EPSILON
        self.log_scale = nn.Parameter(-0.5 * torch.log(variance))

    def forward(self, x: Tensor) -> Tensor:
        return (x - self.mean) * torch.exp(self.log_scale)

    def now(self) -> Mapping[str, Tensor]:
        variance = torch.exp(-2.0 * self.log_scale) - EPSILON
        return {"StatsMean": self.mean, "StatsVar": variance}


class Affine(Part):
    """A linear map, in most components with a bias."""

    def __init__(self, file: bytes, name: str) -> None:
        super().__init__(file, name)
        self.token = "LinearParams" if self.has("LinearParams") else "Params"
        self.matrix = nn.Parameter(self.numbers(self.token))
        biased = self.has("BiasParams")
        self.bias = nn.Parameter(self.numbers("BiasParams")) if biased else None

    def forward(self, x: Tensor) -> Tensor:
        return functional.linear(x, self.matrix, self.bias)

    def now(self) -> Mapping[str, Tensor]:
        bias = {} if self.bias is None else {"BiasParams": self.bias}
        return {self.token: self.matrix, **bias}


class Spliced(Affine):
    """A linear map of several frames spliced together; the output is shorter by their distance."""

    def __init__(self, file: bytes, name: str, every: int) -> None:
        super().__init__(file, name)
        self.at = [offset // every for offset in self.offsets()]

    def forward(self, x: Tensor) -> Tensor:
        first, last = self.at[0], self.at[-1]
        count = x.shape[1] - (last - first)
        beside = [x[:, offset - first : offset - first + count] for offset in self.at]
        return super().forward(torch.cat(beside, -1))


class Layer(nn.Module):
    """A TDNN-F layer: bottleneck, affine map, ReLU, normalisation, and a bypass of the input."""

    def __init__(self, file: bytes, number: int) -> None:
        super().__init__()
        name = f"tdnnf{number}"
        reach = max(map(abs, Part(file, f"{name}.linear").offsets()))
        self.every = EVERY if reach >= EVERY else 1
        self.linear = Spliced(file, f"{name}.linear", self.every)
        self.affine = Spliced(file, f"{name}.affine", self.every)
        self.normalised = Normalised(file, f"{name}.batchnorm")
        self.before = -(self.linear.at[0] + self.affine.at[0])
        self.after = self.linear.at[-1] + self.affine.at[-1]

    def forward(self, x: Tensor) -> Tensor:
        made = self.normalised(functional.relu(self.affine(self.linear(x))))
        return BYPASS * x[:, self.before : self.before + made.shape[1]] + made


class HallNetwork(nn.Module):
    """The part of the network that the recognizer uses: features and speaker vector to states."""

    def __init__(self, file: bytes) -> None:
        super().__init__()
        self.deltas = Normalised(file, "delta")
        self.first = Affine(file, "tdnn1.affine")
        self.first_normalised = Normalised(file, "tdnn1.batchnorm")
        numbers = sorted({int(each) for each in re.findall(rb"<ComponentName> tdnnf(\d+)\.", file)})
        self.layers = nn.ModuleList([Layer(file, number) for number in numbers])
        self.narrow = Affine(file, "prefinal-l")
        self.wide = Affine(file, "prefinal-chain.affine")
        self.wide_normalised = Normalised(file, "prefinal-chain.batchnorm1")
        self.last = Affine(file, "prefinal-chain.linear")
        self.last_normalised = Normalised(file, "prefinal-chain.batchnorm2")
        self.states = Affine(file, "output.affine")
        self.before = 2 + sum(layer.every * layer.before for layer in self.layers)
        self.after = 2 + sum(layer.every * layer.after for layer in self.layers)

    def forward(self, features: Tensor, speaker: Tensor) -> Tensor:
        """Features (batch, frames, 40) and vectors (batch, 30) → (batch, frames / 3, states)."""
        count = EVERY * ((features.shape[1] - 1) // EVERY) + 1
        first = features[:, :1].expand(-1, self.before, -1)
        last = features[:, -1:].expand(-1, self.after, -1)
        x = torch.cat([first, features, last], 1)[:, : self.before + count + self.after]
        slope, bend = x[:, 3:-1] - x[:, 1:-3], x[:, :-4] + x[:, 4:] - 2.0 * x[:, 2:-2]
        x = self.deltas(torch.cat([x[:, 2:-2], slope, bend], -1))
        x = torch.cat([x, speaker[:, None].expand(-1, x.shape[1], -1)], -1)
        x = self.first_normalised(functional.relu(self.first(x)))
        every = 1
        for layer in self.layers:
            x = x[:, :: layer.every // every]
            x, every = layer(x), layer.every
        x = self.wide_normalised(functional.relu(self.wide(self.narrow(x))))
        return self.states(self.last_normalised(self.last(x)))


def change_of(network: HallNetwork, share: float) -> Change:
    """A share of the change by training, its matrices quantised row by row."""
    made = {}
    for part in network.modules():
        if isinstance(part, Part):
            for token, now in part.now().items():
                key = f"{part.name} {token}"
                by = share * (now.detach() - part.numbers(token)).numpy().astype(np.float32)
                if by.ndim == 2:
                    steps = np.maximum(STEP_SIZE * np.sqrt((by**2).mean(1)), 1e-12)
                    made[key + STEP] = steps.astype(np.float32)
                    by = np.clip(np.round(by / steps[:, None]), -127, 127).astype(np.int8)
                made[key] = by
    return made
