"""What the table says at a game: to the scorer's ear, and to all where there is a loudspeaker."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Final

from callout.edges.live.inbox import Put, Sounded
from callout.edges.voice.device import Happening
from callout.edges.voice.synthesizer import LIMIT_S
from callout.edges.voice.voice import PrintVoice, Voice, open_voice
from callout.game.notices.kinds import Notice
from callout.table.speech.announcer import Command, Hush
from callout.table.speech.delivery import Delivery
from callout.table.speech.kinds import TALK_KINDS

STUCK_S: Final = 2 * LIMIT_S + 15.0
"""A sound not over after this time has lost its end: a synthesizer may hang over a sentence twice,
and the longest reply takes some 5 s."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlets:
    """The devices through which the table speaks."""

    voice: str = "auto"
    """As `open_voice` takes it."""
    headset: str | None = None
    """A part of its name; None for the usual output."""
    ears: str
    """left, right or both; with one, the other hears the hall."""
    loudspeaker: str | None = None
    """For the horn and what is said to the officials; None: the headset has them."""
    talk_over: bool = False
    """Whether a call may be spoken over a reply: the microphone does not hear the headset."""


class LiveVoice:
    """The headset and the loudspeaker, and whether either sounds.

    Each beginning and end is put on the table's queue, and comes back by `count`, so that the one
    thread that owns the game knows of it. Those of the loudspeaker are `aloud`: what it says is no
    part of the talk with the scorer, and yet the ear must not hear it.
    """

    def __init__(
        self,
        outlets: Outlets,
        put: Put,
        time_s: Callable[[], float],
        otherwise: Path,
        language: str,
        opener: Callable[..., Voice] = open_voice,
    ) -> None:
        """`otherwise` is the file to speak into where there is no sound device; `language`, the
        code of what is said; `opener` opens a voice as `open_voice` does.

        Raises:
            CalloutError: what was chosen by name cannot be had.
        """
        self._put = put
        opened = partial(opener, outlets.voice, time_s, language=language)
        self._headset = opened(
            ears=outlets.ears, device=outlets.headset, told=self._told, otherwise=otherwise
        )
        self._loudspeaker: Voice | None = None
        if name := outlets.loudspeaker:
            self._loudspeaker = opened(ears="both", device=name, told=self._told_aloud)
        self._talk_over = outlets.talk_over
        self._sounding = {False: 0, True: 0}
        self._time_s = time_s
        self._counted_s = time_s()

    def _told(self, what: Happening, text: str) -> None:
        self._put(Notice(TALK_KINDS[text]) if what == "notice" else Sounded(what, text))

    def _told_aloud(self, what: Happening, text: str) -> None:
        if what != "notice":
            self._put(Sounded(what, text, aloud=True))

    @property
    def tells(self) -> bool:
        """Whether the headset's voice reports when it has said something."""
        return self._headset.tells

    @property
    def sounds(self) -> bool:
        """Whether anything sounds; one sound may begin before another ends."""
        return any(self._sounding.values())

    @property
    def reaches_the_ear(self) -> bool:
        """Whether anything sounds that the microphone may hear."""
        return self._sounding[True] > 0 or (self.sounds and not self._talk_over)

    def count(self, sounded: Sounded) -> None:
        """One more sound began, or one ended."""
        self._counted_s = self._time_s()
        self._sounding[sounded.aloud] += 1 if sounded.what == "started" else -1

    def settle(self) -> bool:
        """Forget sounds whose end was never reported; whether there were any.

        Otherwise the ear would stay closed for the rest of the game.
        """
        if not self.sounds or self._time_s() - self._counted_s <= STUCK_S:
            return False
        self._sounding = {False: 0, True: 0}
        return True

    def do(self, commands: Sequence[Command]) -> bool:
        """Carries out commands; whether they changed the speed or the volume."""
        changed = False
        for command in commands:
            if isinstance(command, Hush):
                self.hush()
            elif isinstance(command, Delivery):
                self._headset.deliver(command)
                changed = True
            else:
                voice = self._loudspeaker if command.aloud else self._headset
                (voice or self._headset).speak(command.text, command.tone)
        return changed

    def shown(self, text: str) -> None:
        """What the same terminal shows already; a voice in print does not print that again."""
        if isinstance(self._headset, PrintVoice):
            self._headset.shown(text)

    def hush(self) -> None:
        """Stops what is said to the scorer."""
        self._headset.hush()

    def prepare(self, texts: Iterable[str]) -> None:
        """Renders what may have to be said soon."""
        self._headset.prepare(texts)

    def close(self) -> None:
        """Ends when all has been said."""
        self._headset.close()
        if self._loudspeaker is not None:
            self._loudspeaker.close()
