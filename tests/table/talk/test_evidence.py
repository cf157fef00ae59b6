"""What else a sound may have been is kept with its entry, and outlives a restart."""

from __future__ import annotations

from dataclasses import replace

from callout.game.calls import Mark, Score
from callout.game.fold import Entry
from callout.game.kind import Rank
from callout.game.state import At
from callout.game.terms import Team
from callout.table.speech.reply import Said, Sort
from callout.table.talk.evidence import HEARD_TOO, evidence_in, heard_too

TWO, THREE = Score(Team.HOME, 2, "5"), Score(Team.HOME, 3, "5")
AT = At(4800, 1_000)
ENTRY = Entry(7, TWO, "voice", AT, ())


def test_readings_are_kept_the_likeliest_first() -> None:
    others = ((TWO, 0.9), (Mark(), 0.003), (THREE, 0.02), (Score(Team.GUEST, 2), 0.0001))
    (said,) = heard_too(others, ENTRY, 2)
    assert (said.kind, said.period, said.wall_ms, said.entry) == (HEARD_TOO, 2, 1_000, None)
    assert evidence_in([said]).readings == {7: ((THREE, 0.02), (Mark(), 0.003))}
    assert heard_too((), ENTRY, 2) == ()


def test_a_damaged_one_is_left_out() -> None:
    (said,) = heard_too(((THREE, 0.02),), ENTRY, 2)
    for text in ("", "{}", "[]", '{"entry":7,"readings":[{"call":"none","fields":{},"share":1}]}'):
        assert evidence_in([replace(said, text=text)]).readings == {}


def test_the_moments_at_which_nothing_was_booked() -> None:
    said = Said(Sort.REFUSAL, "unheard", Rank.ECHO, "", "Say again?", 3, 2520, 9_000)
    booked = replace(said, kind="kept_which", entry=4)
    other = replace(said, kind="goal")
    assert evidence_in([said, booked, other]).unbooked == ((3, 2520, 9_000),)
