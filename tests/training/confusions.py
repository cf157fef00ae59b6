"""Teach the recognizer's network to tell calls apart that it takes for each other.

    python -m tests.training.confusions --pack PACK --begin CHANGE --out FILE [--seed 1]

It begins at a network that `strangers` taught. Synthetic voices make calls in noise, and what is
raised is the probability of what was said among all that the recognizer's own acceptor allows:
the certainty by which the table books a call or asks. What was said must also exceed a ratio to
English, and in talk no call may: by that the table takes a call at all. Three things keep it a
network for all English and all people, each measured in noise on people's speech and other talk:

- words of English must be as likely, in any order, as the published network finds them in quiet;
- the answers stay near those of the network that it began at, and
- near those of the published network in quiet, as `strangers` has it.

Without the first, and without a limit for calls in talk, calls are heard still better, but people
no longer: 55.8 % of their orders at 6 dB, before 80.8, and six times as many false calls.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, Final, NamedTuple

import numpy as np
import torch
from torch import Tensor
from torch.nn import functional

from callout.commands.hear import scope_of
from callout.edges.ear.grammar_fst import UNKNOWN, Costs
from callout.edges.ear.hall_change import adapted, read_change
from callout.edges.ear.sound import RATE_HZ
from callout.edges.models.catalogue import RECOGNIZER, find_model
from callout.edges.models.folder import NETWORK
from callout.game.terms import Team
from callout.language.check import load_language
from callout.language.grammar import language_folder
from callout.language.network import Network
from callout.language.parser import Parser
from tests.training.gather import Piece
from tests.training.graphs import Graph, calls, compiled, english, sentence
from tests.training.lessons import (
    CLEANER,
    SPEEDS,
    Batch,
    Lessons,
    Noises,
    by_microphone,
    in_groups,
    peaked,
    taken,
)
from tests.training.lexicon import Lexicon, words_of
from tests.training.network import HallNetwork, change_of
from tests.training.rooms import chosen, coloured, drawn, echoed, loudest
from tests.training.strangers import SQUARES, Pack, apart, fast
from tests.training.sums import Each, Shared
from tests.training.tensor_features import Mfcc, Speakers

OF_VOICES: Final = {"more": 0.42, "piper joe": 0.18, "changed": 0.14, "espeak": 0.14,
                    "flite rms": 0.08, "old": 0.04}  # fmt: skip
"""The share of the calls that each source says. "more" are the voices of `gather --voices`; without
them the other sources share all of the calls."""

SYNTHETIC: Final = 0.43
"""Synthetic voices say so many times as much of the other talk as among `strangers`: 30 %."""

SIZES: Final = ((2.4, 64), (3.6, 40))
"""Seconds of one call, and how many of them are taken at once."""

FULL: Final = 0.93
"""The largest share of a sound that a call may fill."""

SELDOM: Final = 0.15
"""How often a short call is put into one of the longer sounds, beside the long ones."""

RATIOS_DB: Final = (3.0, 24.0)
CLEAN: Final = 0.1
SOFT: Final = 0.25

TALK: Final = 0.5
"""A share of the usual batch is talk."""

HOPELESS: Final = 25.0
"""A call that is less likely, in nats, teaches nothing: it cannot be heard in its noise."""

OF_ENGLISH: Final = 0.3
ENGLISH_FRAMES: Final = 40.0
"""The divergence over English is counted for so many frames, a second and a fifth."""

MOST_ENGLISH: Final = 8.0
"""A sound that diverges more, in nats, weighs as if it were so much."""

BETWEEN: Final = 1.0
"""A threshold for the log-likelihood ratio of a call to English, in nats. Training moves true calls
above it, and the calls that are found in talk below it. Before, at 12 dB, 37 of 40 true calls were
above it, and 1 of 60 texts of talk."""

WIDTH: Final = 2.0
"""Ratios within about this many nats of that threshold still add to the loss on either side."""

OF_REFUSED: Final = 0.5
OF_FALSE: Final = 0.5
MOST_FALSE: Final = 10.0
"""Talk whose ratio is further above the threshold than this, in nats, counts as if it were this far
above it, and teaches nothing."""

A_PART: Final = 3
"""The ratio to English is computed for one sound in this many, to save time."""

NEAR_IN_CALLS: Final = 0.3
NEAR_IN_TALK: Final = 1.0
OF_QUIET: Final = 0.5
WARM: Final = 60
TOLD_S: Final = 60.0


class Graphs(NamedTuple):
    """All that may be said, in answers of the network; and the cost of each call in nats."""

    calls: Shared
    false: Shared
    english: Shared
    said: Mapping[str, Graph]
    cost: Mapping[str, float]


def graphs_of(model: Path, texts: Sequence[str], device: torch.device, answers: int) -> Graphs:
    """Made of the game's grammar, with any number; `texts` that are no call are left out."""
    grammar = load_language(language_folder())
    scope = replace(scope_of(grammar, None), rosters=dict.fromkeys(Team, ()))
    network, words = Parser(grammar, scope).network, words_of(model)
    of_english, costs = english(words, network), Costs()
    known = {step.word for step in of_english.steps[0]} | {words.number[UNKNOWN]}
    lexicon = Lexicon(model, known)
    acceptors = (calls(network, words, costs), calls(network, words, costs, must_call=True))
    called, false, usual = (
        Shared(compiled(lexicon, sayings), device, answers) for sayings in (*acceptors, of_english)
    )
    split = {text: text.split() for text in texts if network.accepts(text.split())}
    said = {text: compiled(lexicon, sentence(each, words)) for text, each in split.items()}
    cost = {text: _cost(network, each) for text, each in split.items()}
    return Graphs(called, false, usual, said, cost)


def _cost(network: Network, said: Sequence[str]) -> float:
    state, cost = 0, 0.0
    for word in said:
        (arc,) = (arc for arc in network.arcs[state] if arc.word == word)
        state, cost = arc.to, cost + arc.cost
    return cost + network.dear_ends.get(state, 0.0)


class Callers:
    """Synthetic voices that make calls, one in each sound."""

    def __init__(self, wave: Tensor, pieces: Sequence[Piece]) -> None:
        count = {by: sum(each.source == by for each in pieces) for by in OF_VOICES}
        often = [OF_VOICES[each.source] / count[each.source] for each in pieces]
        self.wave, self._texts = wave, [each.text for each in pieces]
        self._begins = torch.tensor([each.begin for each in pieces], device=wave.device)
        self._ends = torch.tensor([each.end for each in pieces], device=wave.device)
        self._often = torch.tensor(often, device=wave.device)
        self.said: list[str] = []

    def say(self, count: int, size: int) -> Tensor:
        """So many sounds; what is said in them is added to `said`."""
        lengths = self._ends - self._begins
        often = torch.where(lengths <= FULL * size, self._often, 0.0)
        if size > SIZES[0][0] * RATE_HZ * max(SPEEDS):
            often = torch.where(lengths <= 0.55 * size, SELDOM * often, often)
        piece = torch.multinomial(often, count, replacement=True)
        self.said += [self._texts[at] for at in piece.tolist()]
        at = ((size - lengths[piece]) * drawn(self.wave, 0.1, 0.9, count)).long()[:, None]
        time_ = torch.arange(size, device=self.wave.device)[None]
        here = (time_ >= at) & (time_ < at + lengths[piece][:, None])
        source = self._begins[piece][:, None] + time_ - at
        return torch.where(here, self.wave[source.clamp(0, len(self.wave) - 1)].float(), 0.0)


class CallLessons(Lessons):
    """Calls in noise, less loud noise than elsewhere: what cannot be heard teaches guessing."""

    def __init__(self, callers: Callers, noise: Noises, mfcc: Mfcc, speakers: Speakers) -> None:
        super().__init__(callers, noise, mfcc, speakers)
        self._callers = callers

    def calls(self, share: float) -> tuple[Batch, Sequence[str]]:
        """A batch, and what is said in it."""
        seconds, count = SIZES[np.random.randint(len(SIZES))]
        self._callers.said = []
        return self.batch(int(seconds * RATE_HZ), in_groups(count * share)), self._callers.said

    def _pairs(self, size: int, count: int, ratio_db: float | None) -> tuple[Tensor, Tensor]:
        plain = self._said(size, count)
        near = echoed(peaked(coloured(plain, 0.5, 6.0, 0.2)), 0.75, (0.0, 20.0))
        noise = self._noise(count, size)
        ratio = drawn(plain, *RATIOS_DB, count)
        gain = (loudest(near) / (loudest(noise) * 10.0 ** (ratio / 10.0))).sqrt()[:, None]
        clean = chosen(plain, CLEAN, count)
        heard = near + torch.where(clean, CLEANER * gain, gain) * noise
        return taken(plain), by_microphone(heard, SOFT)


class Course(NamedTuple):
    """The networks, what they hear, and the graphs of what may be said."""

    published: HallNetwork
    before: HallNetwork
    pupil: HallNetwork
    lessons: CallLessons
    talk: Lessons
    graphs: Graphs


def distance(right: Tensor, given: Tensor) -> Tensor:
    """How far answers lie from others, weighed as in `strangers`."""
    divergence, squares = apart(right, given)
    return divergence + SQUARES * squares


def in_calls(course: Course, share: float) -> tuple[Tensor, list[float]]:
    """The loss over a batch of calls, and what to tell of it."""
    batch, said = course.lessons.calls(share)
    graphs = course.graphs
    with fast():
        given = course.pupil(batch.heard, batch.of_heard)
        with torch.no_grad():
            before = course.before(batch.heard, batch.of_heard)
    cost = torch.tensor([graphs.cost[text] for text in said], device=given.device)
    right = Each([graphs.said[text] for text in said], given.device)
    likely = right(given) - cost
    certain = likely - graphs.calls(given)
    lost = -certain.clamp(min=-HOPELESS).mean()
    some = slice(0, max(1, len(given) // A_PART))
    ratio = likely[some] - graphs.english(given[some])
    refused = over(BETWEEN - ratio.clamp(min=-HOPELESS)).mean()
    near = distance(before, given)
    loss = lost + OF_REFUSED * refused + NEAR_IN_CALLS * near
    return loss, [lost.item(), refused.item(), near.item()]


def over(excess: Tensor) -> Tensor:
    """A smooth version of max(0, excess), element by element; all in nats."""
    return WIDTH * functional.softplus(excess / WIDTH)


def in_talk(course: Course, share: float) -> tuple[Tensor, list[float]]:
    """The loss over a batch of talk, and what to tell of it."""
    batch, graphs = course.talk.next(TALK * share), course.graphs
    with fast():
        given = course.pupil(batch.heard, batch.of_heard)
        with torch.no_grad():
            before = course.before(batch.heard, batch.of_heard)
            quiet = course.published(batch.quiet, batch.of_quiet)
    log, often = graphs.english.occupied(quiet)
    now = graphs.english(given)
    diverged = ((often * (quiet - given)).sum((1, 2)) + now - log) * ENGLISH_FRAMES / given.shape[1]
    words = (diverged * MOST_ENGLISH / diverged.detach().clamp(min=MOST_ENGLISH)).mean()
    some = max(1, len(given) // A_PART)
    ratio = graphs.false(given[:some]) - now[:some]
    false = over((ratio - BETWEEN).clamp(max=MOST_FALSE)).mean()
    near, far = distance(before, given), distance(quiet, given)
    loss = NEAR_IN_TALK * near + OF_QUIET * far + OF_ENGLISH * words + OF_FALSE * false
    return loss, [near.item(), far.item(), words.item(), false.item()]


def train(course: Course, given: argparse.Namespace) -> Iterator[str]:
    """Teach for so many steps; yields how it goes, now and then."""
    parameters = [*course.pupil.parameters()]
    optimizer = torch.optim.Adam(parameters, lr=given.rate)
    begun = told = time.monotonic()
    shown: list[list[float]] = []
    for step in range(given.steps):
        for group in optimizer.param_groups:
            warm = min(1.0, (step + 1) / WARM)
            group["lr"] = given.rate * warm * (1.0 - step / given.steps) ** 0.7
        optimizer.zero_grad()
        row = []
        for part in (in_calls, in_talk):
            loss, told_of = part(course, given.batch)
            loss.backward()
            row += told_of
        torch.nn.utils.clip_grad_norm_(parameters, 1.0)
        optimizer.step()
        shown.append(row)
        if time.monotonic() - told > TOLD_S or step + 1 == given.steps:
            told = time.monotonic()
            means = " ".join(f"{each:.3f}" for each in np.mean(shown[-100:], 0))
            yield (f"step {step + 1}, {told - begun:.0f} s: lost, refused, near; near, far, words, "
                   f"false: {means}")  # fmt: skip


def course_of(given: argparse.Namespace, device: torch.device) -> Course:
    """All that is needed, read and made."""
    model = find_model(RECOGNIZER)
    file = (model / NETWORK).read_bytes()
    begun = adapted(file, read_change(given.begin))
    published, before, pupil = (HallNetwork(each).to(device) for each in (file, begun, file))
    # It begins at the change, but its own change is told from the published network.
    pupil.load_state_dict(before.state_dict())
    more = ("more",) if (given.pack / "more.json").is_file() else ()
    pack = Pack(given.pack, device, ("calls", *more))
    wave, lines = pack.synthetic
    answers = len(published.states.matrix)
    graphs = graphs_of(model, sorted({each.text for each in lines}), device, answers)
    callers = Callers(wave, [each for each in lines if each.text in graphs.said])
    mfcc, speakers, noise = Mfcc(device), Speakers(model, device), pack.noise()
    lessons = CallLessons(callers, noise, mfcc, speakers)
    talk = Lessons(pack.teachers(SYNTHETIC, graphs.said), noise, mfcc, speakers)
    return Course(published, before, pupil, lessons, talk, graphs)


def main() -> None:
    """Train, and keep what was changed."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--pack", type=Path, required=True, help="the folder that gather wrote")
    arguments.add_argument("--begin", type=Path, required=True, help="the change to begin at")
    arguments.add_argument("--steps", type=int, default=800)
    arguments.add_argument("--batch", type=float, default=1.0, help="a share of the usual batch")
    arguments.add_argument("--rate", type=float, default=1.2e-4)
    arguments.add_argument("--seed", type=int, default=1)
    arguments.add_argument("--out", type=Path, required=True)
    given = arguments.parse_args()
    torch.manual_seed(given.seed)
    np.random.seed(given.seed)
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    course = course_of(given, device)
    for line in train(course, given):
        print(f"seed {given.seed} {line}", flush=True)
    parts: dict[str, Any] = {**change_of(course.pupil.cpu(), 1.0)}
    np.savez_compressed(given.out, **parts)
    print(f"{given.out}: {given.out.stat().st_size / 1e6:.1f} MB")


if __name__ == "__main__":
    main()
