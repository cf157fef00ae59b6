"""What happens to the book when a partner at the table repeats each call aloud after the scorer.

The calls are those of the ear's benchmark, with twelve numbers on each list, in nine synthetic
voices at three rates. Each is made at a moment of a game that is kept on the disk. Half a second to
two seconds later another voice repeats it, 6 dB softer, since the partner is further from the
microphone. The ear is open throughout. In a real game it is closed while the table replies between
the two, and hears less of the partner than here.

Prints per cent: "once", the book is as after the call alone, and no question is open; "asked", it
is so after the scorer has answered; "more", it contains something else; "lost", it does not contain
the call. Beside these figures it prints those without the partner.
"""

from __future__ import annotations

import argparse
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any, Final

import numpy as np
from earlab.games import LATER_MS, moment_for
from earlab.items import ROSTERS, Item, library, table_calls
from earlab.noise import halls
from earlab.ours import Hall, Ours
from earlab.voices import SPEAKERS, Line, voices

from callout.edges.ear.listening import CHUNK, OpenEar
from callout.edges.ear.sound import RATE_HZ, Samples
from callout.edges.ear.spoken_calls import understand
from callout.game.calls import Call, No, Yes
from callout.game.terms import Team
from callout.language.check import load_language
from callout.language.grammar import language_folder
from callout.table.book.journal import Journal
from callout.table.clock import SimulatedTime, at
from callout.table.language import replies_of, scope_of
from callout.table.session import Session
from callout.table.setup.roster import Player
from callout.table.setup.setup import Listed, Setup
from callout.table.talk.answers import picking
from callout.table.talk.questions import SPOKEN, Question
from callout.table.view import view

VERDICTS: Final = ("once", "asked", "more", "lost")
SOFTER: Final = 10 ** (-6 / 20)
PAUSE_S: Final = (0.5, 2.0)
RATIO_DB: Final = 12.0
START_MS: Final = 1_000_000
ONE_MORE: Final = ("another", "another_foul", "once_more")
"""The questions that ask whether a call was repeated."""
MEANT: Final = "typed"
"""The source of the calls made without sound, with which the book is compared."""


@dataclass(frozen=True, slots=True)
class Said:
    """A call as it was said, and what became of it."""

    name: str
    repeated: str
    alone: str
    heard: str


class Bench:
    """An ear, and games kept with it."""

    def __init__(self, folder: Path, seed: int) -> None:
        self._folder, self._seed, self._games = folder, seed, 0
        self._setup = Setup("youth-6-minute", _listed(Team.HOME), _listed(Team.GUEST))
        grammar = load_language(language_folder())
        self._replies = replies_of(grammar)
        self._ours = Ours(grammar, scope_of(self._setup), folder)
        self._halls = halls(seed)

    def tried(self, item: Item, nth: int) -> Said:
        """The results for a call, said alone and with the partner's repetition."""
        (call,) = self._ours.parsers["always"].parse(item.text).calls  # type: ignore[union-attr]
        alone, _ = self._verdict(call, self._sound(item, nth, repeated=False), nth)
        repeated, heard = self._verdict(call, self._sound(item, nth, repeated=True), nth)
        return Said(item.name, repeated, alone, heard)

    def _sound(self, item: Item, nth: int, repeated: bool) -> Samples:
        random = Random(self._seed + nth)
        said = library().sound(item.lines[0])
        pause = np.zeros(int(random.uniform(*PAUSE_S) * RATE_HZ), dtype=np.float32)
        partner = SOFTER * library().sound(partner_of(item, nth)) if repeated else pause
        # The noise level is relative to the loudest frame, which is the scorer's.
        whole = np.concatenate([said, pause, partner.astype(np.float32)])
        noise = self._halls[nth % len(self._halls)]
        return Hall(noise, RATIO_DB, self._seed + nth).around(whole)

    def _verdict(self, call: Call, samples: Samples, nth: int) -> tuple[str, str]:
        before = moment_for(call, self._ours.parsers["always"], self._seed + nth).said
        with self._game(before) as (session, _):
            nothing = _book(session)
            session.take(call, MEANT)
            _settle(session, call)
            wanted = _book(session)
        with self._game(before) as (session, time):
            heard = self._hear(session, time, samples)
            asked = _settle(session, call)
            found = _book(session)
        if found == wanted:
            return ("asked" if asked else "once"), heard
        return ("lost" if found == nothing else "more"), heard

    @contextmanager
    def _game(self, before: Sequence[str]) -> Iterator[tuple[Session, SimulatedTime]]:
        """A game on the disk in which these calls were made."""
        self._games += 1
        path = self._folder / f"{self._games}.game"
        time = SimulatedTime(START_MS)
        with Journal.create(path, self._setup) as journal:
            session = Session(journal, self._replies, time)
            for words in before:
                session.hear(self._ours.parsers["always"], words, MEANT)
                time.set(time.wall_ms() + LATER_MS)
            yield session, time

    def _hear(self, session: Session, time: SimulatedTime, samples: Samples) -> str:
        """Feed sound to the ear, and what it hears to the table."""
        ear, began_ms, words = OpenEar(self._ours.models, "always"), time.wall_ms(), []
        for start in range(0, len(samples) + CHUNK, CHUNK):
            told = ear.feed(samples[start : start + CHUNK]) if start < len(samples) else ear.flush()
            time.set(began_ms + 1000 * start // RATE_HZ)
            for utterance in told:
                parser = self._ours.parsers[ear.network]

                def prior(call: Call, start_s: float) -> float:
                    began = at(session.game, began_ms + round(1000 * start_s))
                    return session.prior(call, began)

                for each in understand(parser, utterance, prior):
                    if each.sentence is not None and each.sentence.call is not None:
                        words.append(each.text)
                        onset = at(session.game, began_ms + round(1000 * each.start_s))
                        session.take(each.sentence.call, SPOKEN, onset, each.doubt)
            by = "any" if session.dialogue.question else "always"
            if by != ear.network:
                ear.hear_by(by)
        return ", ".join(words)


def partner_of(item: Item, nth: int) -> Line:
    """The same words in another voice, at that voice's own rate."""
    others = [voice for voice in voices(SPEAKERS) if voice != item.voice]
    return Line(others[nth % len(others)], 1.0, item.text)


def _listed(team: Team) -> Listed:
    return Listed(team.value, tuple(Player(number) for number in ROSTERS[team]))


def _book(session: Session) -> dict[str, Any]:
    """The contents of the book, without the numbers of entries and of undone ones."""
    book = view(session.game, 0)
    return {key: value for key, value in book.items() if key not in ("entries", "undone")}


def _settle(session: Session, call: Call) -> bool:
    """Answers the questions that are open as the scorer would; whether there were any."""
    question = session.dialogue.question
    if question is None:
        return False
    session.take(_answer(question, call), MEANT)
    return True


def _answer(question: Question, call: Call) -> Call:
    """The answer of a scorer who made the call, and made it once."""
    if pick := picking(question, [call]):
        return pick
    return No() if question.kind in ONE_MORE or question.choices else Yes()


def score(items: Sequence[Item], share: slice, seed: int) -> list[Said]:
    """The results for a share of the calls."""
    with tempfile.TemporaryDirectory() as folder:
        bench = Bench(Path(folder), seed)
        return [bench.tried(items[nth], nth) for nth in range(len(items))[share]]


def main() -> None:
    """Measure and print."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--calls", type=int, default=8, help="calls per voice and rate")
    arguments.add_argument("--jobs", type=int, default=2)
    arguments.add_argument("--seed", type=int, default=7)
    given = arguments.parse_args()
    items = table_calls(given.calls, voices(SPEAKERS))
    halls(given.seed)  # before there are several processes: its voices are rendered once
    repeats = [partner_of(item, nth) for nth, item in enumerate(items)]
    library().prepare([*(item.lines[0] for item in items), *repeats])
    shares = [slice(start, None, given.jobs) for start in range(given.jobs)]
    with ProcessPoolExecutor(given.jobs) as pool:
        work = [pool.submit(score, items, share, given.seed) for share in shares]
        found = [said for each in work for said in each.result()]
    print(f"{len(found)} calls at {RATIO_DB:g} dB, per cent" + " " * 12
          + "".join(f"{verdict:>8}" for verdict in VERDICTS))  # fmt: skip
    for title, verdicts in (
        ("said by the scorer alone", [said.alone for said in found]),
        ("said again by the partner", [said.repeated for said in found]),
    ):
        counts = Counter(verdicts)
        shown = "".join(f"{100 * counts[verdict] / len(found):8.1f}" for verdict in VERDICTS)
        print(f"{title:<38}{shown}")
    for said in found:
        if said.repeated == "more":
            print(f"  more: {said.name} -> {said.heard} (alone: {said.alone})")


if __name__ == "__main__":
    main()
