"""The report of a practice as plain text: what was right, how fast, and what to train next."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from callout.practice.levels import LEVELS
from callout.practice.report import READY, WEAK, Report, Tally, weakest

NAMES: Final = {
    "goal": "baskets",
    "throw": "free throws",
    "foul": "fouls",
    "shots": "throws awarded",
    "timeout": "time-outs",
    "timeout over": "ends of time-outs",
    "sub": "substitutes waiting",
    "subs in": "substitutes in",
    "held ball": "held balls",
    "tip": "tip",
    "start": "clock starts",
    "stop": "clock stops",
    "number": "numbers seen later",
    "undo": "undo",
    "score": "score check",
}
"""Each kind of call."""

ADVICE: Final = {
    "goal": "Say team and points as the ball drops; the number may follow: 'number five'.",
    "throw": "Say 'shot good' or 'shot missed' after each throw, at once.",
    "foul": "Wait for the official's hands, then say the team, 'foul' and the number.",
    "shots": "Two or three fingers after the number are throws: say 'shooting two'.",
    "timeout": "At a whistle without a foul look at the benches: 'home timeout'.",
    "timeout over": "When the horn ends it, say 'timeout over'.",
    "sub": "Say 'sub waiting' when somebody reports to you, before you look for the number.",
    "subs in": "When the official beckons, say 'subs in'.",
    "held ball": "Two thumbs up are a held ball; the arrow turns by itself.",
    "tip": "Watch who controls the ball first: 'tip home'.",
    "start": "Look at the official's hand: it chops, and you say 'start clock'.",
    "stop": "The clock first, at the whistle; who and what comes after it.",
    "number": "Say the number alone as soon as you see it: 'number five'.",
    "undo": "'undo that' takes the last call back, and may be said at once.",
    "score": "'score check' reads the score; it books nothing.",
}
"""What helps with each kind: common practice, no source."""

DIFFERED: Final = {"team": "team", "number": "number", "what": "points, kind or result"}
_ROW: Final = "{:<22}{:>7}{:>7}{:>7}{:>8}{:>8}"


def practice_text(done: Report) -> str:
    """The whole report."""
    if not done.whole.count:
        return "Nothing was played long enough to be called.\n"
    sections = (_head(done), list(_table(done)), list(_times(done)), list(_next(done)))
    return "\n".join("\n".join(section) + "\n" for section in sections)


def name_of(done: Report) -> str:
    """What was practised."""
    return f"level {done.level}" if done.level else "first lesson"


def _head(done: Report) -> list[str]:
    how = f"{done.spoken:.0%} by voice" if done.spoken else "by keys"
    return [f"Practice, {name_of(done)}, pace {done.pace}: {done.whole.count} calls, {how}."]


def _table(done: Report) -> Iterator[str]:
    yield _ROW.format("", "right", "late", "wrong", "missed", "asked").rstrip()
    for kind, tally in done.kinds.items():
        yield _row(NAMES.get(kind, "others").capitalize(), tally)
    yield _row("All", done.whole)


def _row(name: str, tally: Tally) -> str:
    figures = (tally.right, tally.late, tally.wrong, tally.missed, tally.asked)
    return _ROW.format(name, *figures)


def _times(done: Report) -> Iterator[str]:
    if done.median_ms is not None and done.p90_ms is not None:
        median, p90 = (f"{ms / 1000:.1f} s" for ms in (done.median_ms, done.p90_ms))
        yield f"Reaction: median {median}, nine of ten within {p90}."
        yield "It is counted from the end of what was told to the beginning of your call."
    if done.extra:
        yield f"Called though nobody saw it: {done.extra}."
    if done.misheard:
        told = "; ".join(_misheard(done, kind, count) for kind, count in done.misheard)
        yield f"Misheard, asked about or wrong, most often first: {told}."


def _misheard(done: Report, kind: str, count: int) -> str:
    differed = (done.differed or {}).get(kind, {})
    parts = ", ".join(f"{DIFFERED.get(name, name)} {n}" for name, n in differed.items())
    return f"{NAMES.get(kind, 'others')} {count}" + (f" ({parts})" if parts else "")


def _next(done: Report) -> Iterator[str]:
    weak = weakest(done)
    for kind in weak:
        yield f"Train {NAMES.get(kind, 'others')}: {ADVICE.get(kind, '')}".rstrip()
    share = done.whole.share
    if share >= READY and done.level < max(LEVELS):
        yield f"Next: callout practice --level {done.level + 1}"
    elif share < WEAK and done.level > 1:
        yield f"Next: callout practice --level {done.level - 1}, or --pace slow"
    elif share < WEAK and done.level == 1:
        yield "Next: callout practice --lesson, or --pace slow"
    else:
        yield "Next: the same once more." if weak or share < 1 else "Nothing is left to train here."
