"""A game that is begun or taken up again: what sounds alike is told, and what the journal cannot
know is asked.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final

from callout.game import calls
from callout.game.figures.score import period_slots, score_slots
from callout.game.fold import Entry, advance, fold
from callout.game.notices.after_entry import Notice
from callout.game.state import At, Game, Owner, Phase
from callout.game.terms import SayMuch, Team
from callout.table.speech.kinds import ALL_KINDS, LAST_BOOKED, NUMBERS_ALIKE, SAID, TOLD
from callout.table.speech.reply import Said
from callout.table.speech.speaker import Speaker
from callout.table.speech.wording import due_of, words_of
from callout.table.talk import question_kinds as kinds
from callout.table.talk.questions import CLOCK, Heard, Question

RESUME_MS: Final = 30_000
"""How long the question waits: whoever has just restarted the program is busy.

Common practice, no source.
"""

_LEVELS: Final[Mapping[str, SayMuch]] = {kind: much for much, kind in SAID.items()}

_WAIT: Final = frozenset(name for name, kind in ALL_KINDS.items() if kind.again or kind.told)
"""Kinds that wait until somebody has acted on them, or was told."""


def remember(speaker: Speaker, start: Game, entries: Sequence[Entry], said: Iterable[Said]) -> None:
    """Restores the notices that wait to be acted on, and how much is said.

    A pause of the ear is not restored: a program that does not listen after its start would look
    broken.
    """
    said = list(said)
    loud = {each.entry for each in said if each.kind in _WAIT}
    # An entry is written before its words, so a program that was killed may lack the words.
    loud |= {entry.id for entry in entries} - {each.entry for each in said}
    game, at = start, 0
    before: list[Entry] = []
    for each in said:
        while at < len(entries) and each.entry is not None and entries[at].id <= each.entry:
            game = _enter(speaker, start, before, game, entries[at], loud)
            before.append(entries[at])
            at += 1
        if each.kind == TOLD:
            speaker.told()
        elif each.kind in _LEVELS:
            speaker.say_much(_LEVELS[each.kind])
    for entry in entries[at:]:
        game = _enter(speaker, start, before, game, entry, loud)
        before.append(entry)


def _enter(
    speaker: Speaker,
    start: Game,
    before: Sequence[Entry],
    game: Game,
    entry: Entry,
    loud: Iterable[int | None],
) -> Game:
    after = advance(start, before, game, entry)
    speaker.remember(entry, due_of(game, entry, after) if entry.id in loud else (), game, after)
    return after


def last_booked(
    start: Game, entries: Sequence[Entry], said: Sequence[Said], speaker: Speaker
) -> Notice | None:
    """The words of the last entry that a person made: its confirmation may not have been heard."""
    nth = next((n for n in reversed(range(len(entries))) if entries[n].source != CLOCK), None)
    if nth is None:
        return None
    entry = entries[nth]
    texts = [each.text for each in said if each.entry == entry.id]
    if not texts:
        before = fold(start, entries[:nth])
        found = due_of(before, entry, advance(start, entries[:nth], before, entry))
        texts = [words_of(speaker.replies, each, speaker.level) for each in found]
    text = " ".join(filter(None, texts))
    return Notice(LAST_BOOKED, slots={"text": text}) if text else None


def numbers_alike(team: Team, numbers: Sequence[str], speaker: Speaker) -> Iterator[Notice]:
    """A notice for each pair of a team's numbers that an ear takes for each other."""
    for number, other in speaker.replies.words.pairs_alike(numbers):
        yield Notice(NUMBERS_ALIKE, slots={"team": team, "number": number, "other": other})


def ran_out(game: Game, now_ms: int) -> bool:
    """Whether the clock would have reached zero while the program was not running."""
    return game.clock.running and _shown(game) and game.clock.left_at(now_ms) == 0


def stopped(game: Game, last_ms: int) -> Heard:
    """A call that stops the clock where it was last seen."""
    return Heard(calls.StopClock(), CLOCK, At(game.clock.left_at(last_ms), last_ms))


def carry_on(game: Game, last_ms: int, now_ms: int) -> Question | None:
    """The question whether the game stands as the journal has it; None before and after the game.

    If the clock was running, yes stops it where it was last seen; no, or silence, lets it run on
    as if the program had never ended.
    """
    if not game.phase.under_way:
        return None
    slots = {**period_slots(game, game.period), **score_slots(game), "team": game.arrow}
    until = now_ms + RESUME_MS
    if game.phase is Phase.INTERVAL:
        return Question(kinds.CARRY_ON_BETWEEN, until, slots=slots)
    left = game.clock.left_at(last_ms)
    if not (game.clock.running and _shown(game)):
        return Question(kinds.CARRY_ON, until, slots={**slots, "left_tenths": left})
    clock = {"left_tenths": left, "now_tenths": game.clock.left_at(now_ms)}
    return Question(kinds.CARRY_ON_RUNNING, until, stopped(game, last_ms), slots={**slots, **clock})


def _shown(game: Game) -> bool:
    return game.owner is not Owner.NONE
