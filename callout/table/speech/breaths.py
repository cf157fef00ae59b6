"""What is said in one breath: the echoes of one entry, and all that waits for the horn."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Final, TypeAlias

from callout.game.kind import Kind, Rank
from callout.game.notices.kinds import (
    SUB_DUE,
    SUB_REPORTED,
    TIMEOUT_ASKED,
    TIMEOUT_DUE,
    TIMEOUT_IN_PLAY,
    Notice,
)
from callout.game.terms import Team
from callout.language.replies import Level, Replies
from callout.table.speech.announcer import Utterance, speech_ms
from callout.table.speech.kinds import HORN_FOR
from callout.table.speech.reply import Said
from callout.table.speech.wording import words_of

LONGEST_MS: Final = 4_000
"""The longest stretch of speech that echoes are joined to. Source: the design of this table."""

ECHOED: Final[Mapping[Kind, tuple[Kind, ...]]] = {
    SUB_REPORTED: (SUB_DUE,),
    TIMEOUT_ASKED: (TIMEOUT_DUE, TIMEOUT_IN_PLAY),
}
"""Echoes, each with the notices that say the same and what to do now."""

Words: TypeAlias = Callable[[Sequence[Notice]], str]
"""The words for what waits for the horn, all together."""


def each_once(said: Sequence[Said], found: Sequence[Notice]) -> tuple[Said, ...]:
    """The same without the words of an echo where a notice beside it says them, too.

    While that notice waits for the referee's report, the echo is what confirms the call.
    """
    now = [(notice.kind, notice.slots.get("team")) for notice in found]
    again = [
        any((kind, notice.slots.get("team")) in now for kind in ECHOED.get(notice.kind, ()))
        for notice in found
    ]
    pairs = zip(said, again, strict=True)
    return tuple(replace(each, text="") if told else each for each, told in pairs)


def breaths(utterances: Sequence[Utterance]) -> list[Utterance]:
    """Joins the echoes of one entry while they stay short; urgent things are said one by one."""
    made: list[Utterance] = []
    for one in utterances:
        last = made[-1] if made and one.text else None
        if last is not None and _plain(last) and _plain(one):
            text = f"{last.text} {one.text}"
            if speech_ms(text) <= LONGEST_MS:
                made[-1] = replace(last, text=text)
                continue
        made += [one] if one.text else []
    return made


def _plain(utterance: Utterance) -> bool:
    return utterance.rank is Rank.ECHO and not utterance.lasts


def horn_words(replies: Replies, level: Level, waiting: Sequence[Notice]) -> str:
    """One sentence for all that waits; for a single notice its own."""
    if len(waiting) == 1:
        return words_of(replies, waiting[0], level)
    timeouts = _teams(waiting, TIMEOUT_DUE)
    subs = _teams(waiting, SUB_DUE)
    both = set(Team) <= set(subs)
    slots = {
        "timeout": timeouts[0] if len(timeouts) == 1 else None,
        "timeouts": tuple(timeouts) if len(timeouts) > 1 else None,
        "sub": next((team for team in subs if team is not None and not both), None),
        "subs": "both" if both else "some" if subs == [None] else None,
    }
    return words_of(replies, Notice(HORN_FOR, slots), level)


def _teams(waiting: Iterable[Notice], kind: str) -> list[Team | None]:
    """The teams of the notices of a kind, in their order, each once."""
    found = [notice.slots["team"] for notice in waiting if notice.kind == kind]
    return [team for team in dict.fromkeys(found) if team is None or isinstance(team, Team)]


def in_one(utterances: Sequence[Utterance], words: Words) -> tuple[Utterance, ...]:
    """The utterances with all that waits for the horn in one of them, in the place of the first."""
    horns = [each for each in utterances if each.of is not None and each.of.kind.horn]
    if len(horns) < 2:
        return tuple(utterances)
    first, *others = list(dict.fromkeys(notice for each in horns for notice in each.notices))
    whole = replace(horns[0], text=words([first, *others]), of=first, also=tuple(others))
    rest = [each for each in utterances if each is horns[0] or each not in horns]
    return tuple(whole if each is horns[0] else each for each in rest)


def shown_in_one(said: Sequence[Said], found: Sequence[Notice], words: Words) -> tuple[Said, ...]:
    """The same for the screen, at once: the first of them has the words for all, the others none,
    and an echo has none where they say the same.
    """
    said = each_once(said, found)
    horns = [notice for notice in found if notice.kind.horn]
    if len(horns) < 2:
        return said
    pairs = zip(said, found, strict=True)
    return tuple(
        each if not of.kind.horn else replace(each, text=words(horns) if of is horns[0] else "")
        for each, of in pairs
    )


def reworded(utterances: Iterable[Utterance], words: Words) -> tuple[Utterance, ...]:
    """Those that have lost a part of what they said, in words for the rest."""
    return tuple(
        replace(each, text=words(each.notices)) if each.notices and not each.text else each
        for each in utterances
    )
