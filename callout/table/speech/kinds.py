"""What the table says of the talk and of its devices: one row for each kind. And all kinds.

A new kind is a row here, a line of each language's replies.yaml, and the code that makes it.
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import chain
from types import MappingProxyType
from typing import Final

from callout.game.kind import Kind, echo, lasting, listed, reason
from callout.game.notices.kinds import KINDS
from callout.game.terms import Manner, SayMuch, Team
from callout.table.talk.question_kinds import QUESTION_KINDS

# --- the book -------------------------------------------------------------------------------------

BOOKED: Final = echo("booked")
STILL_OPEN: Final = lasting("still_open", count=int, team=Team)
APPROVAL_DUE: Final = lasting("approval_due")
LAST_BOOKED: Final = echo("last_booked", text=str)
NOT_RECORDED: Final = reason("not_recorded", why=str)
COPY_FAILED: Final = echo("copy_failed", place=str)
LEAGUE_UNSENT: Final = echo("league_unsent")
LEAGUE_BACK: Final = echo("league_back")
NUMBERS_ALIKE: Final = echo("numbers_alike", team=Team, number=str, other=str)

# --- the talk -------------------------------------------------------------------------------------

UNHEARD: Final = echo("unheard")
UNREAD: Final = echo("unread")
NO_ANSWER: Final = echo("no_answer")
NOTHING_ASKED: Final = reason("nothing_asked")
NOT_AN_ANSWER: Final = reason("not_an_answer", wants=str)
NOTHING_FITS: Final = reason("nothing_fits")
NONE_EARLIER: Final = reason("none_earlier")
NONE_LATER: Final = reason("none_later")
HELP: Final = echo("help", text=str, more=int | None)
HELP_WORDS: Final = echo("help_words", text=str, more=int | None)
AGAIN: Final = echo("again", text=str)
NOTHING_SAID: Final = reason("nothing_said")
STILL_DEAD: Final = echo("still_dead", text=str)
HORN_FOR: Final = echo(
    "horn_for",
    timeout=Team | None,
    timeouts=tuple | None,
    sub=Team | None,
    subs=str | None,
)
TOLD: Final = echo("told")
NOTHING_TO_TELL: Final = reason("nothing_to_tell")
SAID_LESS: Final = echo("said_less")
SAID_MORE: Final = echo("said_more")
SAID_URGENT: Final = echo("said_urgent")
SAID_SAME: Final = reason("said_same")
SPOKE_SLOWER: Final = echo("spoke_slower")
SPOKE_FASTER: Final = echo("spoke_faster")
SPOKE_SOFTER: Final = echo("spoke_softer")
SPOKE_LOUDER: Final = echo("spoke_louder")
PAUSED: Final = echo("paused")
ALREADY_PAUSED: Final = reason("already_paused")
LISTENING: Final = echo("listening")
ALREADY_LISTENING: Final = reason("already_listening")

# --- practice -------------------------------------------------------------------------------------

COACHED: Final = lasting("coached", text=str)

# --- keys and pedals ------------------------------------------------------------------------------

KEY_WANTS: Final = echo("key_wants", wants=str)
KEY_UNKNOWN: Final = echo("key_unknown")
KEY_STUCK: Final = echo("key_stuck")
KEYS_LACKING: Final = echo("keys_lacking")
KEYS_GONE: Final = echo("keys_gone")
KEYS_BACK: Final = echo("keys_back")
PEDAL_GONE: Final = echo("pedal_gone")
PEDAL_BACK: Final = echo("pedal_back")
FOCUS_GONE: Final = echo("focus_gone")
FOCUS_BACK: Final = echo("focus_back")

# --- the ear and the voice ------------------------------------------------------------------------

RECOGNIZER_GONE: Final = echo("recognizer_gone")
RECOGNIZER_BACK: Final = echo("recognizer_back")
EAR_FROZEN: Final = echo("ear_frozen")
EAR_BACK: Final = echo("ear_back")
EAR_ZEROS: Final = echo("ear_zeros")
EAR_LOST: Final = echo("ear_lost")
EAR_CLIPPED: Final = echo("ear_clipped")
EAR_TELEPHONE: Final = echo("ear_telephone")
EAR_RATE: Final = echo("ear_rate")
EAR_ABSENT: Final = echo("ear_absent")
EAR_GONE: Final = echo("ear_gone")
VOICE_BACK: Final = echo("voice_back")
HEADSET_BACK: Final = echo("headset_back")

# --- the lists ------------------------------------------------------------------------------------

TALK_KINDS: Final = listed(globals())
"""Every kind above, by name."""

ALL_KINDS: Final[Mapping[str, Kind]] = MappingProxyType(
    {
        **KINDS,
        **TALK_KINDS,
        **{
            kind.name: kind
            for kind in chain.from_iterable((q.ask, q.kept, q.agreed) for q in QUESTION_KINDS)
            if kind is not None
        },
    }
)
"""Every kind there is: what a language's replies must have a text for."""

SAID: Final[Mapping[SayMuch, Kind]] = {
    SayMuch.LESS: SAID_LESS,
    SayMuch.MORE: SAID_MORE,
    SayMuch.URGENT: SAID_URGENT,
}
"""The echo of each step of how much is said."""

SPOKE: Final[Mapping[Manner, Kind]] = {
    Manner.SLOWER: SPOKE_SLOWER,
    Manner.FASTER: SPOKE_FASTER,
    Manner.SOFTER: SPOKE_SOFTER,
    Manner.LOUDER: SPOKE_LOUDER,
}
"""The echo of each step of speed and loudness."""
