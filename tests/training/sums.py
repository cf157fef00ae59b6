"""The probability of graphs given the network's answers, with its slope, on any device.

All paths through a graph are summed up, frame by frame; the slope is how often each answer is on
them. An answer counts as its likelihood, as in the recognizer. Source of the method: Povey et al.
2016, "Purely sequence-trained neural networks for ASR based on lattice-free MMI".
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import torch
from torch import Tensor

from tests.training.graphs import Graph


class Shared:
    """One graph for all sounds of a batch."""

    def __init__(self, graph: Graph, device: torch.device, answers: int) -> None:
        """`answers` is the number of answers that the network gives for each frame."""

        def on(array: Any, kind: Any = torch.float32) -> Tensor:
            return torch.tensor(array, dtype=kind, device=device)

        count = len(graph.answers)
        self.answer = on(graph.answers, torch.int64)
        source, to = on(graph.source, torch.int64), on(graph.to, torch.int64)
        weights, each = on(graph.weights), torch.arange(count, device=device)
        self.back = _sparse(to, source, weights, (count, count))
        self.forth = _sparse(source, to, weights, (count, count))
        ones = torch.ones(count, device=device)
        self.sums = _sparse(self.answer, each, ones, (answers, count))
        self.begin, self.end = on(graph.begin)[:, None], on(graph.end)[:, None]

    def __call__(self, given: Tensor) -> Tensor:
        """Answers (batch, frames, answers) → logarithms (batch,)."""
        made: Tensor = _OfShared.apply(given, self)
        return made

    def occupied(self, given: Tensor) -> tuple[Tensor, Tensor]:
        """The logarithms, and how often each answer is on the paths: (batch, frames, answers)."""
        with torch.enable_grad():
            free = given.detach().requires_grad_()
            log = self(free)
            (often,) = torch.autograd.grad(log.sum(), free)
        return log.detach(), often


def _sparse(row: Tensor, column: Tensor, value: Tensor, size: tuple[int, int]) -> Tensor:
    made: Tensor = torch.sparse_coo_tensor(torch.stack([row, column]), value, size).coalesce()
    return made.to_sparse_csr()


class _OfShared(torch.autograd.Function):
    @staticmethod
    def forward(ctx: Any, given: Tensor, graph: Shared) -> Tensor:
        by_frame = given.detach().float().permute(1, 2, 0).contiguous()
        top = by_frame.amax(1, keepdim=True)
        likely = torch.exp(by_frame - top).contiguous()
        log, here, kept = top.sum((0, 1)).double(), graph.begin, []
        for at, frame in enumerate(likely):
            here = (graph.back @ here if at else here) * frame.index_select(0, graph.answer)
            total = here.sum(0)
            here = here / total
            log = log + total.double().log()
            kept.append((here, total))
        end = (here * graph.end).sum(0)
        ctx.graph, ctx.kept, ctx.likely, ctx.end = graph, kept, likely, end
        return (log + end.double().log()).float()

    @staticmethod
    def backward(ctx: Any, *slopes: Tensor) -> tuple[Tensor, None]:
        graph, likely = ctx.graph, ctx.likely
        often = torch.empty_like(likely)
        later = (graph.end / ctx.end).contiguous()
        for at in reversed(range(len(likely))):
            here, total = ctx.kept[at]
            often[at] = graph.sums @ (here * later)
            if at:
                later = graph.forth @ (later * likely[at].index_select(0, graph.answer)) / total
        ctx.kept = None
        return (often * slopes[0]).permute(2, 0, 1), None


class Each:
    """A graph of its own for each sound of a batch; small ones."""

    def __init__(self, graphs: Sequence[Graph], device: torch.device) -> None:
        most, count = max(len(graph.answers) for graph in graphs), len(graphs)
        self.answer = torch.zeros(count, most, dtype=torch.int64)
        self.edges = torch.zeros(count, most, most, dtype=torch.float64)
        self.begin, self.end = torch.zeros(2, count, most, dtype=torch.float64)
        for at, graph in enumerate(graphs):
            size = len(graph.answers)
            self.answer[at, :size] = torch.tensor(graph.answers)
            edges = torch.tensor(graph.source), torch.tensor(graph.to)
            self.edges[at][edges] = torch.tensor(graph.weights).double()
            self.begin[at, :size] = torch.tensor(graph.begin).double()
            self.end[at, :size] = torch.tensor(graph.end).double()
        self.answer, self.edges = self.answer.to(device), self.edges.to(device)
        self.begin, self.end = self.begin.to(device), self.end.to(device)

    def __call__(self, given: Tensor) -> Tensor:
        """Answers (batch, frames, answers) → logarithms (batch,)."""
        made: Tensor = _OfEach.apply(given, self)
        return made


class _OfEach(torch.autograd.Function):
    @staticmethod
    def forward(ctx: Any, given: Tensor, graphs: Each) -> Tensor:
        frames = given.shape[1]
        answer = graphs.answer[:, None].expand(-1, frames, -1)
        likely = given.detach().double().gather(2, answer)
        top = likely.amax(2, keepdim=True)
        likely = torch.exp(likely - top)
        log, here, kept = top.sum((1, 2)), graphs.begin, []
        for at in range(frames):
            here = (torch.bmm(here[:, None], graphs.edges)[:, 0] if at else here) * likely[:, at]
            total = here.sum(1, keepdim=True).clamp(min=1e-300)
            here = here / total
            log = log + total.log()[:, 0]
            kept.append((here, total))
        end = (here * graphs.end).sum(1, keepdim=True).clamp(min=1e-300)
        ctx.graphs, ctx.kept, ctx.likely, ctx.end, ctx.shape = (
            graphs, kept, likely, end, given.shape
        )  # fmt: skip
        return (log + end.log()[:, 0]).float()

    @staticmethod
    def backward(ctx: Any, *slopes: Tensor) -> tuple[Tensor, None]:
        graphs, back = ctx.graphs, ctx.graphs.edges.transpose(1, 2)
        often = torch.zeros(ctx.shape, device=slopes[0].device)
        later = graphs.end / ctx.end
        for at in reversed(range(ctx.shape[1])):
            here, total = ctx.kept[at]
            often[:, at].scatter_add_(1, graphs.answer, (here * later).float())
            if at:
                later = torch.bmm((later * ctx.likely[:, at])[:, None], back)[:, 0] / total
        ctx.kept = None
        return often * slopes[0][:, None, None], None
