"""Which stretches of what was heard are calls, how sure that is, and what else they may be."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

import numpy as np

from callout.edges.ear.callers import Callers
from callout.edges.ear.grammar_fst import UNKNOWN
from callout.edges.ear.hypotheses import Reading, Word, readings_of
from callout.edges.ear.messages import HeardCall, OtherWords, Utterance
from callout.edges.ear.nearby_speech import Span, Surroundings
from callout.edges.ear.recognizer import Models
from callout.edges.ear.sound import RATE_HZ, Samples

NEVER: Final = -1000.0
"""Margin of a call not confirmed when its own sound is decoded alone: no prior can outweigh it."""

NEARLY: Final = -14.0
"""A call that is all that was said, and whose margin by the whole sound is less, is not decoded
again. Units: nats; the second decoding was measured down to here."""

EDGE_S: Final = 0.15
"""Context kept around a call that is decoded alone: the model's look-ahead."""


@dataclass(frozen=True)
class Judge:
    """Judges the calls of one utterance."""

    models: Models
    name: str
    sound: Samples
    speech: Reading
    """The sound decoded as open speech."""
    pause_s: float
    """A longer pause separates two calls."""
    meant: bool = False
    """Whether a key to talk is down: then all that is said is meant for the table."""
    callers: Callers | None = None
    """Who calls in this game; None where voices are not told apart."""

    def judge(self, readings: Sequence[Reading], offset_s: float) -> Utterance:
        """The utterance, whose sure calls the callers remember.

        `readings` are the acceptor's, the best first; the sound begins `offset_s` into the whole.
        """
        best = readings[0]
        parts = self.parts(best.words)
        found = [part for part in parts if part[0].word != UNKNOWN]
        unknown = [_span_s(part) for part in parts if part[0].word == UNKNOWN]
        words = [_span_s((word,)) for word in self.speech.words]
        spans = [_span_s(part) for part in found]
        if len(parts) == 1:
            around = Surroundings(self.sound, spans, unknown, words)
            scores = [self._score_of_one(part, best, around) for part in found]
        else:
            scores = [self._score_alone(part) for part in found]
            # The rest of a sentence may be heard as a call, and is talk beside those that are.
            options = self.models.options
            least = options.least_when_meant if self.meant else options.talk_below
            calls = [span for span, score in zip(spans, scores, strict=True) if score >= least]
            talk = [span for span in spans if span not in calls]
            around = Surroundings(self.sound, calls, [*unknown, *talk], words)
        heard = [
            self._call(part, readings, score, self._least(part, around))
            for part, score in zip(found, scores, strict=True)
        ]
        return Utterance(
            start_s=round(best.words[0].start_s + offset_s, 2),
            end_s=round(best.words[-1].end_s + offset_s, 2),
            text=" ".join(word.word for word in best.words),
            calls=tuple(_shifted(call, offset_s) for call in heard),
        )

    def parts(self, words: Sequence[Word]) -> list[tuple[Word, ...]]:
        """The whole calls and the stretches of other speech, in order."""
        found: list[tuple[Word, ...]] = []
        run: list[Word] = []
        for word in words:
            if word.word == UNKNOWN:
                found += [*self._calls(run), (word,)]
                run = []
            elif run and word.start_s - run[-1].end_s > self.pause_s:
                found += self._calls(run)
                run = [word]
            else:
                run.append(word)
        return [*found, *self._calls(run)]

    def _calls(self, run: Sequence[Word]) -> list[tuple[Word, ...]]:
        ends = self.models.networks[self.name].split([word.word for word in run]) or ()
        return [tuple(run[start:end]) for start, end in pairwise((0, *ends))]

    def _call(
        self, part: tuple[Word, ...], readings: Sequence[Reading], score: float, least: float
    ) -> HeardCall:
        long = max(word.end_s - word.start_s for word in part) > self.models.options.longest_word_s
        margin = score - least
        return HeardCall(
            words=part,
            score=round(score, 2),
            margin=NEVER if long else round(margin + self._by_voice(part, margin), 2),
            others=self._others(part, readings),
        )

    def _by_voice(self, part: tuple[Word, ...], margin: float) -> float:
        """What a call gains or loses by whose voice it is; the callers remember a sure one.

        A single word is too short to tell, and with a key to talk all is meant.

        Units: nats.
        """
        if self.callers is None or self.meant or len(part) == 1 or margin < NEARLY:
            return 0.0
        return self.callers.hear(self._own_sound(part), margin)

    def _own_sound(self, part: Sequence[Word]) -> Samples:
        """The sound of one call, with little around it."""
        start = max(0, int((part[0].start_s - EDGE_S) * RATE_HZ))
        return self.sound[start : int((part[-1].end_s + EDGE_S) * RATE_HZ)]

    def _score_of_one(self, part: tuple[Word, ...], best: Reading, around: Surroundings) -> float:
        """The score of a call that is all that was said: by the whole sound, or by its own.

        Open speech hears words in the noise before and after it, and scores so badly there that
        whatever is said seems to be a call; so a call of several words that is in doubt is scored
        by its own sound. Of digits that answer a question, 4 of 456 would be lost by that.
        """
        score = best.score - self.speech.score - self._surprise(part)
        margin = score - self._least(part, around)
        doubtful = NEARLY < margin < self.models.options.sure_margin
        return self._score_alone(part) if doubtful and len(part) > 1 and not self.meant else score

    def _surprise(self, part: Sequence[Word]) -> float:
        """What is subtracted from the log-likelihood ratio of a call.

        The more calls are possible, the easier one of them is found in any sound.
        """
        return self.models.networks[self.name].surprise([word.word for word in part])

    def _least(self, part: Sequence[Word], around: Surroundings) -> float:
        """The lowest score at which a call is taken, in nats.

        It depends on how many words the call has, and on the sound around it.
        """
        options, call = self.models.options, _span_s(part)
        if self.meant:
            return options.least_beside if around.are_unknown(call) else options.least_when_meant
        if around.is_of_hall(call):
            return options.least_cut
        by_words = options.beside_by_words
        beside = by_words[min(len(part), len(by_words)) - 1]
        if around.lead_over(call):
            return options.least_cut + beside
        if around.are_loud(call):
            return options.least_beside + beside
        if len(part) == 1:
            return options.least_word_score
        if around.are_unknown(call):
            return options.least_beside + beside
        clear = (0.0, options.more_when_clear)
        more = float(np.interp(around.clear_db(call), options.clear_db, clear))
        for_two_words, for_more = options.by_words
        return options.least_score + (for_two_words if len(part) == 2 else for_more) + more

    def _others(
        self, part: tuple[Word, ...], readings: Sequence[Reading]
    ) -> tuple[OtherWords, ...]:
        """Other whole calls that the same sound may be, the likeliest first.

        Hypotheses of the utterance that have the same call here add up.
        """
        said = tuple(word.word for word in part)
        weights: dict[tuple[str, ...], float] = {}
        for reading in readings:
            weight = math.exp(reading.score - readings[0].score)
            for other in self.parts(reading.words):
                words = tuple(word.word for word in other)
                same_place = other[0].start_s < part[-1].end_s and part[0].start_s < other[-1].end_s
                if same_place and other[0].word != UNKNOWN:
                    weights[words] = weights.get(words, 0.0) + weight
        own = weights.pop(said, 1.0)
        least = own * math.exp(-self.models.options.widest_gap)
        near = [(math.log(own / w), words) for words, w in weights.items() if w > least]
        return tuple(OtherWords(words, round(gap, 2)) for gap, words in sorted(near))

    def _score_alone(self, part: tuple[Word, ...]) -> float:
        """The score of one call when only its own sound is decoded; `NEVER` if it is not in that.

        Over the whole utterance a true call would raise the score of a false one.
        """
        data = self._own_sound(part).tobytes()
        calls = self.models.recognizer(self.name)
        # The scorer waits for both: the recognizer lets another thread run while it decodes.
        with ThreadPoolExecutor(1) as beside:
            speech = beside.submit(self.models.as_english, data)
            calls.AcceptWaveform(data)
            readings = readings_of(json.loads(calls.FinalResult()))
            against = speech.result().score
        # The best hypothesis may be other speech, or nothing: only one with this call counts.
        said = [word.word for word in part]
        for reading in readings:
            if said in [[word.word for word in each] for each in self.parts(reading.words)]:
                return reading.score - against - self._surprise(part)
        return NEVER


def _span_s(part: Sequence[Word]) -> Span:
    return part[0].start_s, part[-1].end_s


def _shifted(call: HeardCall, offset_s: float) -> HeardCall:
    words = tuple(
        Word(each.word, round(each.start_s + offset_s, 2), round(each.end_s + offset_s, 2))
        for each in call.words
    )
    return replace(call, words=words)
