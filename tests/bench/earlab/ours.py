"""The project's ear in a benchmark, and the verdict on what it heard."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from random import Random
from typing import Final, NamedTuple

import numpy as np

from callout.edges.ear.hall_noise import Wave
from callout.edges.ear.listening import CHUNK, FILE_PATIENCE_S, HeldEar, OpenEar
from callout.edges.ear.messages import Utterance
from callout.edges.ear.options import Options
from callout.edges.ear.recognizer import Models
from callout.edges.ear.sound import RATE_HZ, Samples, to_recognizer
from callout.edges.ear.spoken_calls import Understood, understand
from callout.edges.models.catalogue import RECOGNIZER, find_model
from callout.edges.voice.tones import Sound
from callout.game.calls import Answer, Call, No, Number
from callout.game.state import At
from callout.language.grammar import Grammar, Scope
from callout.language.parser import Parsed, Parser, Sentence
from callout.language.scope import Sentences
from callout.table.talk import question_kinds
from callout.table.talk.answers import asked_again, chosen
from callout.table.talk.dialogue import Dialogue
from callout.table.talk.doubt import doubt_question, number_alone
from callout.table.talk.questions import SPOKEN, Doubt, Heard, Question
from earlab.games import Moment, moment_for
from earlab.items import QUIET_S, Item, library, padded
from earlab.noise import heard_in
from earlab.voices import Line

Verdict = str
"""`right`, `asked`, `later`, `wrong` or `lost`."""

VERDICTS: Final = ("right", "asked", "later", "wrong", "lost")

ANSWERS: Final = 3
"""The most times that a scorer answers the same question."""


CLUMSY_S: Final = 0.2
"""The most that a key is pressed too late and let go too early."""

LATER: Final = 100_003


@dataclass(frozen=True, slots=True)
class Hall:
    """A noise with its signal-to-noise ratio, and a seed for where it begins."""

    noise: Wave
    ratio_db: float | None
    seed: int

    def with_sound(self, item: Item) -> Samples:
        """A recording in this hall, in the recognizer's format."""
        return self.around(item.sound(library()))

    def around(self, sound: Sound) -> Samples:
        """A sound in this hall, in the recognizer's format."""
        made = heard_in(padded(sound), self.noise, self.ratio_db, self.seed)
        return to_recognizer(np.asarray(made, np.float32)[:, None], RATE_HZ)


class Outcome(NamedTuple):
    """The verdict on a call, with its reason."""

    verdict: Verdict
    why: str = ""


class Ours:
    """The project's ear, with a dialogue that asks in case of doubt."""

    name = "the ear"

    def __init__(
        self, grammar: Grammar, scope: Scope, folder: Path, options: Options | None = None
    ) -> None:
        named = {"always": Sentences.CALLS, "any": Sentences.BOTH}
        self.parsers = {when: Parser(grammar, scope, which) for when, which in named.items()}
        self.models = Models(find_model(RECOGNIZER), folder, options or Options())
        for when, parser in self.parsers.items():
            self.models.use(when, parser.network)

    def hear(self, samples: Samples, when: str = "always") -> list[Utterance]:
        """The utterances that the open ear finds in a sound."""
        ear = OpenEar(self.models, when, FILE_PATIENCE_S)
        return [*ear.feed(samples), *ear.flush()]

    def held(self, samples: Samples, seed: int) -> list[Utterance]:
        """The utterances found while a key is held that is pressed late and let go early."""
        random = Random(seed)
        press = int((QUIET_S + random.uniform(0.0, CLUMSY_S)) * RATE_HZ)
        release = len(samples) - int((2 * QUIET_S + random.uniform(0.0, CLUMSY_S)) * RATE_HZ)
        ear = HeldEar(self.models, "always")
        found = ear.feed(samples[:press])
        ear.press()
        found += ear.feed(samples[press:release])
        ear.release()
        return [*found, *ear.feed(samples[release:]), *ear.flush()]

    def understood(
        self, told: Sequence[Utterance], when: str, moment: Moment | None, dialogue: Dialogue
    ) -> list[Understood]:
        """The calls in utterances, as they are understood at a moment of a game."""
        prior = (moment.prior(dialogue),) if moment else ()
        found = [each for one in told for each in understand(self.parsers[when], one, *prior)]
        return [each for each in found if each.sentence is not None]

    def call(self, line: Line) -> Item:
        """A line that is one call, with what it means."""
        parsed = self.parsers["always"].parse(line.text)
        assert isinstance(parsed, Parsed), line.text
        (sentence, *_) = parsed.sentences
        return Item(line, sentence.slots, sentence.name)

    def moment(self, item: Item, seed: int) -> Moment:
        """The moment of a game in which an item is heard."""
        # "Number five" is a call here, though it would be an answer while a question is open.
        results = [parser.parse(item.text) for parser in self.parsers.values()]
        calls = [call for each in results if isinstance(each, Parsed) for call in each.calls]
        return moment_for(calls[0] if calls else None, self.parsers["always"], seed)

    def outcome(
        self, item: Item, heard: Sequence[Understood], hall: Hall, moment: Moment | None
    ) -> Outcome:
        """The verdict on what was heard; if the table asks, an answer is spoken first."""
        choices = [choice for each in heard for choice in each.choices]
        if isinstance(item.source, Line) and item.call is None:
            # Talk: any call that is heard in it is a false accept.
            return Outcome("asked" if choices else "wrong" if heard else "lost")
        if not choices:
            booked = [each.sentence for each in heard if each.sentence]
            return _refused(Outcome(verdict(item, booked)), [each.call for each in booked], moment)
        if len(heard) > 1:
            return Outcome("lost", "heard as several calls")
        doubt = heard[0].doubt
        if doubt is None or not isinstance(item.source, Line):
            # There is no dialogue about another domain, and recordings of people cannot answer.
            offered = any(means(item, [choice.sentence]) for choice in choices)
            return Outcome("asked" if offered else "lost")
        return self._answered(item, doubt, hall, moment)

    def _answered(self, item: Item, doubt: Doubt, hall: Hall, moment: Moment | None) -> Outcome:
        """The verdict on a call in doubt, once the table's question about it is answered."""
        (said,) = self.parsers["always"].parse(item.text).calls  # type: ignore[union-attr]
        heard = Heard(doubt.calls[0], SPOKEN, At(0, 0), doubt)
        question = doubt_question(heard)[1]
        assert question is not None
        slot = number_alone(doubt)
        number = slot and getattr(said, slot)
        # A scorer who is asked for a whole call repeats it as the question words it.
        whole = " ".join(self.parsers["always"].by_digits(item.text.split()))
        words = " ".join(self._digits(number)) if number else "no" if slot else whole
        source = item.source
        assert isinstance(source, Line)
        for time in range(1, ANSWERS + 1):
            # A repeated answer is spoken into another part of the noise.
            later = replace(hall, seed=hall.seed + time * LATER)
            samples = later.with_sound(Item(replace(source, text=words), {}))
            answer = self._answer(samples, question, moment)
            if answer is None:
                return Outcome("lost", f"the answer {words!r} was not heard")
            again = asked_again(question, answer)
            if again is None:
                break
            question = again
        else:
            return Outcome("lost", f"the answer {words!r} stayed in doubt")
        why = f"the answer {words!r} was heard as {answer.call}"
        named = chosen(question, answer.call)
        # A lone "number seven" answers a question about whole calls: the table picks by its number.
        call = named[0] if len(named) == 1 else answer.call
        if slot is not None and isinstance(call, Answer | Number | No):
            right = getattr(call, "number", None) == number
        elif answer.doubt is not None and not named:
            return Outcome("lost", why + ", among others")
        else:
            right = call == said
        if not right:
            return _refused(Outcome("wrong", why), [call], moment)
        return Outcome("asked") if time == 1 else Outcome("later")

    def _answer(self, samples: Samples, question: Question, moment: Moment | None) -> Heard | None:
        """The call heard as the answer; None if no call is heard, or a second one after it."""
        ear = OpenEar(self.models, "any", FILE_PATIENCE_S)
        answer: Heard | None = None
        for start in range(0, len(samples) + CHUNK, CHUNK):
            told = ear.feed(samples[start : start + CHUNK]) if start < len(samples) else ear.flush()
            open_now = Dialogue(question if answer is None else None)
            for each in self.understood(told, ear.network, moment, open_now):
                if answer is not None or each.sentence is None or each.sentence.call is None:
                    return None
                answer = Heard(each.sentence.call, SPOKEN, At(0, 0), each.doubt)
                ear.hear_by("always")
        return answer

    def _digits(self, number: str) -> Sequence[str]:
        words = self.parsers["any"].grammar.words
        digits = words.file.digits
        return [digits[int(d)][0] for d in number] if len(number) == 2 else [words.shirt(number)]


def asked_for(item: Item, seed: int) -> Dialogue:
    """An open question that offers the number in the recording, and two others."""
    said = str(item.slots["number"])
    others = Random(seed).sample([digit for digit in map(str, range(10)) if digit != said], 2)
    numbers = (said, *others)
    choices, likely = tuple(map(Number, numbers)), (1.0,) * len(numbers)
    slots = {"numbers": numbers}
    return Dialogue(
        Question(question_kinds.NUMBER, 0, None, None, slots, "number", "", choices, likely)
    )


def _refused(outcome: Outcome, calls: Sequence[Call | None], moment: Moment | None) -> Outcome:
    """The outcome, changed to lost if the game refuses the wrong call: the scorer hears that."""
    if outcome.verdict != "wrong" or moment is None:
        return outcome
    if any(call is not None and moment.may(call) for call in calls):
        return outcome
    return Outcome("lost", "refused, and said so")


def unanswered(item: Item, heard: Sequence[Understood]) -> str:
    """The verdict where nobody answers: `right`, `asked`, `astray` if what was said is not among
    the choices, `silent` or `wrong`.
    """
    asked = [choice.sentence for each in heard for choice in each.choices]
    if asked:
        return "asked" if any(means(item, [each]) for each in asked) else "astray"
    booked = [each.sentence for each in heard if each.sentence]
    return "silent" if not booked else "right" if means(item, booked) else "wrong"


def verdict(item: Item, sentences: Sequence[Sentence]) -> Verdict:
    """The verdict on sentences that are booked without a question."""
    return ("right" if means(item, sentences) else "wrong") if sentences else "lost"


def means(item: Item, sentences: Sequence[Sentence]) -> bool:
    """Whether these sentences mean what was said."""
    slots = {k: v for each in sentences for k, v in each.slots.items()}
    name = "+".join(each.name for each in sentences)
    return slots == dict(item.slots) and (item.call is None or item.call == name)
