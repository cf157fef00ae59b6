"""Practice by a rendered voice, heard by the real ear: the sample clock against the ear's times."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np
import pytest
import soundfile

from callout.commands.practice import INVENTED
from callout.edges.ear.file import FileEar
from callout.edges.ear.sound import RATE_HZ
from callout.edges.live.inbox import Put
from callout.practice.judge import Outcome
from callout.practice.report import Report
from callout.table.language import parsers_of, scope_of
from tests.english import english_grammar
from tests.practised import GOOD, SLOPPY, SLOW, Practised, User
from tests.recognizer import undithered
from tests.speech import spoken

TOLERANCE_MS = 50
AUDIBLE = 0.02
"""Of the loudest sample: speech begins where this is reached first."""

Told = tuple[int, Callable[[], None]]


class RenderedUser:
    """Says the words by the default voice; what the real ear heard goes to the table."""

    def __init__(self, folder: Path, ear: FileEar) -> None:
        self._folder, self._ear, self._said = folder, ear, 0

    def __call__(self, text: str, begun_ms: int, put: Put) -> Iterator[Told]:
        """The ear's events for words whose first sound comes at that moment."""
        # The ear tells times on a grid, so that the words begin anywhere on it.
        self._said += 1
        sound = spoken([f"{text}."], lead_s=0.5 + 0.137 * (self._said % 5))
        onset = int(np.argmax(np.abs(sound) >= AUDIBLE * np.abs(sound).max()))
        path = self._folder / "said.wav"
        soundfile.write(path, sound, RATE_HZ, subtype="PCM_16")
        length_s = len(sound) / RATE_HZ
        ends_ms = begun_ms + round(1000 * (length_s - onset / RATE_HZ))
        for heard in self._ear.hear(path):
            yield ends_ms, partial(put, replace(heard, age_s=length_s - heard.end_s))


@pytest.fixture(scope="module")
def ear(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FileEar]:
    """The real ear, with the network of the game's calls."""
    model = undithered(tmp_path_factory.mktemp("model"))
    found = FileEar(model, parsers_of(english_grammar(), scope_of(INVENTED)).calls.network)
    yield found
    found.close()


def heard(ear: FileEar, folder: Path, user: User) -> tuple[Report, list[int]]:
    """The report, and by how much each reaction was measured too long."""
    practice = Practised.at(3, minutes=0.8)
    try:
        done = practice.play(user, "voice", RenderedUser(folder, ear))
        judged = practice.table.rehearsal.done.judged
        off = [
            (each.reaction_ms or 0) - practice.delays[at]
            for at, each in enumerate(judged)
            if each.called is not None and each.outcome is not Outcome.WRONG
        ]
        return done, off
    finally:
        practice.close()


@pytest.mark.thorough
def test_three_users_are_told_apart_and_timed_by_the_real_ear(ear: FileEar, tmp_path: Path) -> None:
    good, off = heard(ear, tmp_path, GOOD())
    slow, slow_off = heard(ear, tmp_path, SLOW())
    sloppy, _ = heard(ear, tmp_path, SLOPPY(seed=5))
    print("good", good, off, "slow", slow, slow_off, "sloppy", sloppy)
    assert good.spoken == 1.0
    assert good.whole.right >= 0.9 * good.whole.count
    assert slow.whole.late >= 0.9 * slow.whole.count
    assert sloppy.whole.wrong + sloppy.whole.missed >= 3
    assert (good.median_ms or 0) < 2_000 < 4_000 < (slow.median_ms or 0)
    assert max(map(abs, [*off, *slow_off])) <= TOLERANCE_MS
