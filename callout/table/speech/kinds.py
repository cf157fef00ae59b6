"""Every kind of thing that the table says, with its slots: the game's, and those of the talk."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from callout.game.notices.after_entry import KINDS
from callout.game.terms import Manner
from callout.table.talk.questions import ASKED

EAR_TROUBLES: Final = (
    "frozen", "back", "zeros", "lost", "clipped", "telephone", "rate", "absent", "gone",
)  # fmt: skip
"""What may happen to the microphone or the recognizer, and is said aloud."""

KEY_TROUBLES: Final = (
    "keys_lacking", "keys_gone", "keys_back", "pedal_gone", "pedal_back", "focus_gone",
    "focus_back",
)  # fmt: skip
"""What may happen to the keys of other windows, to a pedal, and to the window of the game."""

TALK_KINDS: Final[Mapping[str, frozenset[str]]] = {
    **{f"ask_{kind}": slots for kind, slots in ASKED.items()},
    **{f"kept_{kind}": slots for kind, slots in ASKED.items()},
    "agreed_carry_on": frozenset(),
    "agreed_carry_on_between": frozenset(),
    "still_open": frozenset({"count", "team"}),
    "last_booked": frozenset({"text"}),
    "booked": frozenset(),
    "no_answer": frozenset(),
    "copy_failed": frozenset({"place"}),
    "recognizer_gone": frozenset(),
    "recognizer_back": frozenset(),
    "voice_back": frozenset(),
    "headset_back": frozenset(),
    "nothing_asked": frozenset(),
    "not_an_answer": frozenset({"wants"}),
    "unheard": frozenset(),
    "key_wants": frozenset({"wants"}),
    "key_unknown": frozenset(),
    "key_stuck": frozenset(),
    "help": frozenset({"text"}),
    "not_recorded": frozenset({"why"}),
    "again": frozenset({"text"}),
    "nothing_said": frozenset(),
    "still_dead": frozenset({"text"}),
    "told": frozenset(),
    "nothing_to_tell": frozenset(),
    "said_less": frozenset(),
    "said_more": frozenset(),
    "said_urgent": frozenset(),
    "said_same": frozenset(),
    **{f"spoke_{manner.value}": frozenset[str]() for manner in Manner},
    "paused": frozenset(),
    "already_paused": frozenset(),
    "listening": frozenset(),
    "already_listening": frozenset(),
    **dict.fromkeys(KEY_TROUBLES, frozenset[str]()),
    **{f"ear_{sort}": frozenset[str]() for sort in EAR_TROUBLES},
}

ALL_KINDS: Final[Mapping[str, frozenset[str]]] = {**KINDS, **TALK_KINDS}
"""What a language's replies must have a text for."""
