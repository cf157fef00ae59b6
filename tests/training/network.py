"""The recognizer's network in PyTorch, read from its file; what training changed, as a change.

Source of the format and of what each part computes: Kaldi's nnet3 (from memory); the layers, their
sizes and offsets are the file's own.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final

import numpy as np
import torch
from numpy.typing import NDArray
from torch import Tensor, nn
from torch.nn import functional

from callout.edges.ear.hall_change import STEP, Change
from callout.edges.ear.network_file import EPSILON, EVERY, SKIPPED, has, numbers, offsets

COARSE: Final = 0.12
"""A step of a change, of the root mean square of what is changed in its row. At 0.5, which packs
into two thirds of the size, a small change on top of a change is lost."""


class Part(nn.Module):
    """A component of the file, whose numbers are its parameters."""

    def __init__(self, file: bytes, name: str) -> None:
        super().__init__()
        self.file, self.name = file, name

    def has(self, token: str) -> bool:
        """Whether it has numbers of that name."""
        return has(self.file, f"{self.name} {token}")

    def numbers(self, token: str) -> Tensor:
        """Its numbers of that name, as the file has them."""
        return torch.tensor(numbers(self.file, f"{self.name} {token}").copy())

    def offsets(self) -> list[int]:
        """How many frames away those lie that it takes together."""
        return offsets(self.file, self.name)

    def now(self) -> Mapping[str, Tensor]:
        """Its numbers by name, as they are after training."""
        raise NotImplementedError


class Normalised(Part):
    """Each number less its mean, in parts of its deviation: Kaldi's BatchNorm in use."""

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
    """A matrix, and with most of them a vector added."""

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
    """The same of some frames put side by side; as many less come out as they lie apart."""

    def __init__(self, file: bytes, name: str, every: int) -> None:
        super().__init__(file, name)
        self.at = [offset // every for offset in self.offsets()]

    def forward(self, x: Tensor) -> Tensor:
        first, last = self.at[0], self.at[-1]
        count = x.shape[1] - (last - first)
        beside = [x[:, offset - first : offset - first + count] for offset in self.at]
        return super().forward(torch.cat(beside, -1))


class Layer(nn.Module):
    """Narrow, wide, cut off at zero, normalised, and most of the input added."""

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
        return SKIPPED * x[:, self.before : self.before + made.shape[1]] + made


class HallNetwork(nn.Module):
    """All of it that the recognizer uses: features and the speaker's vector in, states out."""

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
    """A share of what training changed, its matrices in coarse steps."""
    return in_steps({
        f"{part.name} {token}": share * (now.detach() - part.numbers(token)).numpy()
        for part in network.modules()
        if isinstance(part, Part)
        for token, now in part.now().items()
    })  # fmt: skip


def in_steps(added: Mapping[str, NDArray[Any]]) -> Change:
    """What is added to each number, matrices in coarse steps."""
    made: dict[str, NDArray[Any]] = {}
    for key, each in added.items():
        by = each.astype(np.float32)
        if by.ndim == 2:
            steps = np.maximum(COARSE * np.sqrt((by**2).mean(1)), 1e-12)
            made[key + STEP] = steps.astype(np.float32)
            by = np.clip(np.round(by / steps[:, None]), -127, 127).astype(np.int8)
        made[key] = by
    return made
