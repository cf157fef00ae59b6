"""The report of a practice as plain text: what was right, how fast, and what to train next."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from callout.practice.levels import LEVELS
from callout.practice.report import READY, WEAK, Report, Tally, weakest
from callout.words import Words

_ROW: Final = "{:<22}{:>7}{:>7}{:>7}{:>8}{:>8}"


def practice_text(words: Words, done: Report) -> str:
    """The whole report."""
    if not done.whole.count:
        return f"{words('nothing_played')}\n"
    head, table = _head(words, done), list(_table(words, done))
    sections = (head, table, list(_times(words, done)), list(_next(words, done)))
    return "\n".join("\n".join(section) + "\n" for section in sections)


def kind_name(words: Words, kind: str) -> str:
    """The calls of a kind; those of one that is not known are others."""
    return words.texts.get(f"calls_{kind.replace(' ', '_')}") or words("calls_others")


def advice(words: Words, kind: str) -> str:
    """What helps with a kind of call; empty where nothing is known. Common practice, no source."""
    return words.texts.get(f"advice_{kind.replace(' ', '_')}", "")


def _head(words: Words, done: Report) -> list[str]:
    name = words("at_level", level=done.level) if done.level else words("first_lesson")
    how = words("share_spoken", share=f"{done.spoken:.0%}") if done.spoken else words("all_by_keys")
    pace = words(f"pace_{done.pace}")
    return [words.count("practised", done.whole.count, name=name, pace=pace, how=how)]


def _table(words: Words, done: Report) -> Iterator[str]:
    heads = (words(f"outcome_{part}") for part in ("right", "late", "wrong", "missed", "asked"))
    yield _ROW.format("", *heads).rstrip()
    for kind, tally in done.kinds.items():
        yield _row(kind_name(words, kind).capitalize(), tally)
    yield _row(words("all_calls"), done.whole)


def _row(name: str, tally: Tally) -> str:
    figures = (tally.right, tally.late, tally.wrong, tally.missed, tally.asked)
    return _ROW.format(name, *figures)


def _times(words: Words, done: Report) -> Iterator[str]:
    if done.median_ms is not None and done.p90_ms is not None:
        median, p90 = (f"{ms / 1000:.1f} s" for ms in (done.median_ms, done.p90_ms))
        yield words("reaction", median=median, p90=p90)
        yield words("reaction_counted")
    if done.extra:
        yield words("extra_calls", count=done.extra)
    if done.misheard:
        told = "; ".join(_misheard(words, done, kind, count) for kind, count in done.misheard)
        yield words("misheard", told=told)


def _misheard(words: Words, done: Report, kind: str, count: int) -> str:
    differed = (done.differed or {}).get(kind, {})
    parts = ", ".join(f"{words(f'differed_{name}')} {n}" for name, n in differed.items())
    return f"{kind_name(words, kind)} {count}" + (f" ({parts})" if parts else "")


def _next(words: Words, done: Report) -> Iterator[str]:
    weak = weakest(done)
    for kind in weak:
        yield words("train", kind=kind_name(words, kind), advice=advice(words, kind)).rstrip()
    share = done.whole.share
    if share >= READY and done.level < max(LEVELS):
        yield words("next_level", level=done.level + 1)
    elif share < WEAK and done.level > 1:
        yield words("next_or_slow", level=done.level - 1)
    elif share < WEAK and done.level == 1:
        yield words("next_lesson")
    else:
        yield words("next_same" if weak or share < 1 else "nothing_to_train")
