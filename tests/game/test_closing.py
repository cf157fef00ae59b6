"""A closed book: what a signed correction may hold, and that the clock calls nothing any more."""

from __future__ import annotations

from typing import Any

import pytest

from callout.errors import CalloutError
from callout.game import calls
from callout.game.calls import CALLS, Signed
from callout.game.decide import Refusal
from callout.game.due import due
from callout.game.profile.file import load_profile
from tests.game.play import GUEST, HOME, Play


def test_a_signed_correction_is_kept_whole() -> None:
    call = Signed(calls.SetScore(HOME, 31), "J. Miller", "counted again")
    plain = CALLS.dump(call)
    assert plain["call"] == {"call": "set_score", "team": "home", "points": 31}
    assert CALLS.load("signed", plain) == call
    assert CALLS.load("signed", {**plain, "call": call.call}) == call


@pytest.mark.parametrize(
    "inner",
    [
        None,
        "set_score",
        {"team": "home", "points": 31},
        {"call": "signed", "by": "J. Miller", "reason": "counted again"},
        {"call": "set_score", "team": "home", "points": -1},
        {"call": "none such"},
    ],
)
def test_what_is_no_correction_is_not_read(inner: Any) -> None:
    with pytest.raises(CalloutError):
        CALLS.load("signed", {"call": inner, "by": "J. Miller", "reason": "counted again"})


def test_a_closed_game_has_nothing_due() -> None:
    """An injured player of FIBA need not be replaced any more (FIBA 19.3.5 gives 30 seconds)."""
    play = Play(load_profile("fiba-2024")).start().take(calls.StopClock())
    play.take(calls.Hurt(GUEST, "5"), calls.EndGame(), calls.Approve())
    assert play.game.approval is not None
    assert due(play.game) == ()


def test_a_line_is_put_right_and_the_approval_stays() -> None:
    play = Play(load_profile("nfhs-2026")).start().take(calls.Score(HOME, 2, "4"))
    play.take(calls.EndGame(), calls.Approve())
    play.take(Signed(calls.SetScore(HOME, 3), "J. Miller", "counted again"))
    assert play.game.approval is not None
    assert (play.game.approval.home, play.game.approval.guest) == (2, 0)
    (signature,) = play.game.signatures
    assert (signature.by, signature.reason) == ("J. Miller", "counted again")


def test_a_signature_does_not_make_a_correction_possible() -> None:
    """No line lacks a number, so none can be given, and nothing is signed."""
    play = Play(load_profile("nfhs-2026")).start().take(calls.Score(HOME, 2, "4"))
    play.take(calls.EndGame(), calls.Approve())
    signed = play.call(Signed(calls.Number("7"), "J. Miller", "counted again"))
    assert isinstance(signed, Refusal)
    assert signed.kind == "nothing_open"
    assert play.game.signatures == ()


def test_who_says_that_the_score_is_approved_is_kept_where_it_is_known() -> None:
    """FIBA 2024 Appendix B: the crew chief approves; a spoken call names nobody."""
    for by, dumped in (("", {}), ("Ann Lee, crew chief", {"by": "Ann Lee, crew chief"})):
        play = Play(load_profile("fiba-2024")).start().take(calls.EndGame(), calls.Approve(by))
        assert play.game.approval is not None
        assert play.game.approval.by == by
        assert CALLS.dump(calls.Approve(by)) == dumped, "an older book has the same hash"
