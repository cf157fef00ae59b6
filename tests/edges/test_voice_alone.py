"""A whole game by voice alone: spoken by the voice, heard by the ear, put right by voice.

The reference is the same game said in words; `tests/table/test_hands.py` plays it by keys alone and
by one switch. The sound goes into the ear's own process as files, faster than it lasts; all behind
the ear is as at a table.
"""

from __future__ import annotations

import queue
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from itertools import chain, combinations, cycle, islice
from pathlib import Path
from typing import Any, Final

import numpy as np
import pytest
import soundfile

from callout.edges.ear.client import Hearing
from callout.edges.ear.hall_noise import hall_noise, in_noise
from callout.edges.ear.messages import Event, FileDone, Problem, Ready, Utterance
from callout.edges.ear.sound import RATE_HZ
from callout.edges.ear.spoken_calls import Understood, understand
from callout.edges.restarts import Died
from callout.game import calls
from callout.game.calls import CALLS, Call
from callout.game.fold import Entry
from callout.game.terms import Team
from callout.language.parser import Parsed, Parser
from callout.language.sample import every
from callout.language.scope import Sentences
from callout.table.language import Parsers, scope_of
from callout.table.scripts.script import Line
from callout.table.speech.reply import Reply
from callout.table.talk.doubt import numbers_in
from callout.table.talk.questions import SPOKEN, Question
from tests.patience import HANG_S
from tests.speech import spoken
from tests.table.pressing import GRAMMAR, Pieces

DEMO = Path(__file__).parent.parent / "games" / "demo.game"

LOUD_DB: Final = 6.0
"""So much louder is the voice than a hall in which many calls are in doubt."""

TRIES: Final = 6
"""A call or an answer that was said so often is given up, and the test fails."""


class Ear:
    """An ear that hears files by the network that the table wants."""

    def __init__(self, model: Path, networks: dict[str, Any]) -> None:
        self._events: queue.Queue[Event] = queue.Queue()
        self.hearing = Hearing(model, networks, self._events.put)
        self.hearing.start()
        self._until(Ready)

    def hear(self, path: Path, network: str) -> list[Utterance]:
        """The utterances of a file."""
        self.hearing.use(network)
        self.hearing.hear_file(path)
        return [each for each in self._until(FileDone) if isinstance(each, Utterance)]

    def _until(self, kind: type[Event]) -> list[Event]:
        events: list[Event] = []
        while not events or not isinstance(events[-1], kind):
            events.append(self._events.get(timeout=HANG_S))
            assert not isinstance(events[-1], Problem | Died), events
        return events


class ByVoice(Pieces):
    """Says each piece until the table has it, as a scorer who listens to what is answered."""

    def __init__(
        self,
        path: Path,
        model: Path,
        folder: Path,
        ratio_db: float | None = None,
        slips: int = 0,
    ) -> None:
        """`ratio_db` is that of the voice to the hall; None where the hall is still.

        Of so many goals as `slips` says one is first called for the other team.
        """
        super().__init__(path)
        self._ratio_db, self._noise = ratio_db, hall_noise(60.0, seed=17)
        self._slips, self._goals = slips, 0
        self.counts: Counter[str] = Counter()
        """How often something was said, said again, asked, booked wrong and undone."""
        self._hears_by = Parsers(GRAMMAR, scope_of(self.script.setup))
        networks = {
            "always": self._hears_by.calls.network,
            "question": self._hears_by.with_answers.network,
        }
        self._ear, self._folder = Ear(model, networks), folder
        self._line = ""
        self._mended: set[int] = set()
        self._ways_of: dict[str, dict[Call | None, list[str]]] = {}

    def _say(self, line: Line) -> Reply:
        self._line = line.words
        return super()._say(line)

    def make(self, call: Call) -> Reply:
        """Say one call until it is booked, or done, and nothing else is."""
        first, reply = len(self.session.entries), Reply()
        for words in islice(chain(self._slip(call), cycle(self._ways_to_say(call))), TRIES):
            heard, said = self._call(words)
            reply += said
            for nth in range(TRIES):
                if (question := self.session.dialogue.question) is None:
                    break
                answer, said = self._answer(question, call, nth)
                heard, reply = [answer] if answer else [], reply + said
            while (booked := self._booked(first)) and [each.call for each in booked] != [call]:
                reply += self._take_back(booked[-1])
            if booked or heard == [call]:
                return reply
            self.counts["said again"] += 1
        raise AssertionError(f"said {TRIES} times and not understood: {call}")

    def _slip(self, call: Call) -> Iterator[str]:
        """What a scorer says who takes one team for the other, now and then."""
        if isinstance(call, calls.Score) and self._slips:
            self._goals += 1
            if self._goals % self._slips == 0:
                other = replace(call, team=next(team for team in Team if team is not call.team))
                yield min(self._ways(other), key=len)

    def _ways_to_say(self, call: Call) -> Iterator[str]:
        """As the script has it, and then in every other way, the shortest first."""
        own = _part(self._hears_by.with_answers, self._line.split(), call)
        if own:
            yield own
        # They are looked for only where the first is not understood.
        others = set(self._ways(call)) - {own}
        yield from sorted(others, key=lambda words: (len(words), words))

    def _ways(self, call: Call) -> list[str]:
        """Every way to say a call; found kind by kind once one is wanted, for some have many."""
        kind = CALLS.name(call)
        if kind not in self._ways_of:
            made = {at for at, file in enumerate(GRAMMAR.calls) if kind in (file.does or ())}
            templates = tuple(each for each in GRAMMAR.templates if each.call in made)
            ways = self._ways_of.setdefault(kind, {})
            small, scope = replace(GRAMMAR, templates=templates), scope_of(self.script.setup)
            for sample in every(small, scope, Sentences.BOTH):
                ways.setdefault(sample.meaning.call, []).append(" ".join(sample.words))
        return self._ways_of[kind][call]

    def _booked(self, first: int) -> list[Entry]:
        """What was booked since, and stands."""
        gone = self.session.game.taken_back
        new = self.session.entries[first:]
        return [each for each in new if each.id not in gone and each.id not in self._mended]

    def _take_back(self, wrong: Entry) -> Reply:
        self.counts["undone"] += 1
        print(f"undone: {wrong.call}, after {self._line!r}")
        reply = self.make(calls.Undo())
        assert wrong.id in self.session.game.taken_back, wrong
        self._mended.add(self.session.entries[-1].id)
        return reply

    def _answer(self, question: Question, call: Call, nth: int) -> tuple[Call | None, Reply]:
        """Answer a question as one who knows what he said; what that was taken to mean."""
        if nth == 0:
            self.counts["asked"] += 1
            print(f"asked: {question.kind} {question.choices}, after {self._line!r}")
        answer, means = self._known(question, call, nth)
        heard, reply = self._call(next(islice(cycle(self._ways_to_say(answer)), nth, None)))
        return (means if heard == [answer] else None), reply

    def _known(self, question: Question, call: Call, nth: int) -> tuple[Call, Call | None]:
        """What answers a question, and the call that is meant by it."""
        numbers = numbers_in(call)
        if question.wants == "number" and numbers:
            return calls.Answer(next(iter(numbers))), call
        if call in question.choices:
            # First what was said, once more; then its place.
            return (call if nth == 0 else calls.Pick(question.choices.index(call) + 1)), call
        if question.wants == "yes" and question.heard and question.heard.call == call:
            return calls.Yes(), call
        return calls.No(), None

    def _call(self, words: str) -> tuple[list[Call], Reply]:
        """Say words aloud; the calls that were heard for certain, and what came of it all."""
        self.counts["said"] += 1
        asked = self.session.dialogue.question is not None
        certain, reply = [], Reply()
        for event in self._ear.hear(self._speak(words), "question" if asked else "always"):
            parser = self._hears_by.now(asked)
            for each in understand(parser, event, lambda call, _: self.session.prior(call)):
                call, reply = self._take(each, words, reply)
                certain += call
        return certain, reply

    def _speak(self, words: str) -> Path:
        """A file of the words, each time in another part of the hall's noise."""
        sound = spoken([f"{words}."], gap_s=0.2)
        if self._ratio_db is not None:
            noise = np.roll(self._noise, 54_321 * self.counts["said"])
            sound = in_noise(sound, noise, self._ratio_db)
        path = self._folder / "said.wav"
        soundfile.write(path, sound, RATE_HZ, subtype="PCM_16")
        return path

    def _take(self, each: Understood, words: str, reply: Reply) -> tuple[list[Call], Reply]:
        if each.sentence is None or each.sentence.call is None:
            return [], reply
        if each.text != words:
            print(f"said {words!r}, heard {each.text!r}")
        taken = self.session.take(each.sentence.call, SPOKEN, doubt=each.doubt)
        return ([] if each.doubt else [each.sentence.call]), reply + taken

    def result(self) -> dict[str, Any]:
        """The game at its end."""
        try:
            return super().result()
        finally:
            self._ear.hearing.close()


def _part(parser: Parser, words: list[str], call: Call) -> str:
    """The words of a line that are that call; empty if none are."""
    parts = [words[a:b] for a, b in combinations(range(len(words) + 1), 2)]
    results = ((part, parser.parse(part)) for part in parts)
    same = (part for part, got in results if isinstance(got, Parsed) and got.calls == (call,))
    return " ".join(next(same, ()))


@pytest.mark.thorough
def test_a_whole_game_by_voice_alone_is_the_same_game(model: Path, tmp_path: Path) -> None:
    said = Pieces(DEMO).result()
    voice = ByVoice(DEMO, model, tmp_path)
    result = voice.result()
    told = voice.counts
    print(dict(told))
    assert result == with_mistakes(said, result, told)
    # Measured, no rule: of 267 pieces said none was said again, asked about or booked wrong.
    assert told["said"] > 250
    assert told["said again"] + told["asked"] <= 15
    assert told["undone"] <= 3


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("ratio_db", "slips", "happens"),
    [(LOUD_DB, 0, {"asked", "said again"}), (None, 3, {"said again", "undone"})],
    ids=["loud hall", "slips"],
)
def test_what_goes_wrong_is_put_right_by_voice(
    model: Path, tmp_path: Path, ratio_db: float | None, slips: int, happens: set[str]
) -> None:
    quarter, text = tmp_path / "quarter.game", DEMO.read_text(encoding="utf-8")
    quarter.write_text(text.partition("# --- second quarter")[0], encoding="utf-8")
    said = Pieces(quarter).result()
    voice = ByVoice(quarter, model, tmp_path, ratio_db, slips)
    result = voice.result()
    told = voice.counts
    print(dict(told))
    assert result == with_mistakes(said, result, told)
    assert happens <= set(+told)


def with_mistakes(
    said: dict[str, Any], result: dict[str, Any], told: Counter[str]
) -> dict[str, Any]:
    """The game as it was said, with what mistakes that were put right left beside it.

    What was said back is compared only where no mistake was made: a call that was not understood is
    refused aloud, and what was undone was echoed and may have brought notices of its own. That none
    of it stays is seen in the rest of the game: its score, fouls, time-outs, throws and open lines.
    """
    if not told["said again"] + told["undone"]:
        return said
    # What is undone is an entry, and so is its being undone; both may have been spoken of.
    counts = {
        "entries": said["entries"] + 2 * told["undone"],
        "undone": said["undone"] + told["undone"],
    }
    return {**said, **counts, **{key: result[key] for key in ("notices", "refusals")}}
