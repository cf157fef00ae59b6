"""The session before a game: the same one path for calls, and the checklist read item by item.

It books nothing of its own but what the program sees to be done. The next item is read whenever
another one has become the next, so that a call, an undo and a list that arrives all lead on.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from callout.game import calls
from callout.game.calls import Call
from callout.game.figures import checklist
from callout.game.notices.kinds import Notice
from callout.game.notices.pregame import deadline, item_told, items_left, to_tip, to_tip_s
from callout.game.notices.pregame_kinds import ITEM_FAILS, ITEM_WORKS
from callout.game.profile.before import Look
from callout.game.state import At, Phase
from callout.game.terms import Team
from callout.language.replies import Replies
from callout.table.book.journal import Journal
from callout.table.clock import Time, day_time_ms
from callout.table.resume import numbers_alike
from callout.table.session import Session
from callout.table.speech.reply import Reply, Sort
from callout.table.speech.wording import words_of
from callout.table.talk.questions import CLOCK, KEY, Doubt, Readings


@dataclass(frozen=True, slots=True)
class Tried:
    """What came of trying a device."""

    works: bool
    told: str
    """How it works; or why it does not, and what to do."""


Tries = Mapping[Look, Callable[[], Tried]]
"""How each device of the table is tried."""


class BeforeSession(Session):
    """A game at the table before its first period."""

    def __init__(
        self,
        journal: Journal,
        replies: Replies,
        time: Time,
        tries: Tries | None = None,
        show: Callable[[str], None] = lambda told: None,
    ) -> None:
        """`show` gets what was found of a device, to be read on a screen."""
        super().__init__(journal, replies, time)
        self._tries, self._show, self._taken_up = tries or {}, show, bool(self.entries)
        self._read: tuple[str | None, int] | None = None
        self._read_back: set[tuple[Team, int]] = set()

    @property
    def shown_tenths(self) -> int:
        """How long it is to the start; without one, what the game clock shows."""
        game, now_ms = self.game, self.time.wall_ms()
        if game.tip_ms is None or game.phase is not Phase.BEFORE:
            return super().shown_tenths
        return 10 * to_tip_s(game, now_ms)

    def opening(self, heard: bool = False) -> Reply:
        """What is said first: how long it is to the start and what is late, where the checklist is
        taken up again; then the item that is next.
        """
        reply, game, now_ms = Reply(), self.game, self.time.wall_ms()
        if self._taken_up:
            reply += super().opening(heard)
        if game.tip_ms is not None:
            reply += self._say(Sort.NOTICE, to_tip(game, now_ms))
        for item in checklist.late(game, now_ms):
            reply += self._say(Sort.NOTICE, deadline(game, item, None))
        return reply + self._go_on()

    def take(
        self,
        call: Call,
        source: str,
        moment: At | None = None,
        doubt: Doubt | None = None,
        others: Readings = (),
    ) -> Reply:
        """What comes of a call, and the item that is next after it."""
        return super().take(self._dated(call), source, moment, doubt, others) + self._go_on()

    def _dated(self, call: Call) -> Call:
        """A time of day as a moment; any other call as it is."""
        if not isinstance(call, calls.TipAt):
            return call
        return calls.SetTip(day_time_ms(call.hour, call.shown, self.time.wall_ms()))

    def tick(self, by_ms: int | None = None, called: bool = False) -> Reply:
        """What falls due until now, and the item that is next after it."""
        reply = super().tick(by_ms, called)
        return reply if called else reply + self._go_on()

    def foresee(self) -> Iterator[str]:
        """What may have to be said next: the items that are left."""
        for item in checklist.left(self.game):
            for notice in item_told(self.game, item, self.time.wall_ms()):
                if text := words_of(self.speaker.replies, notice, self.speaker.level):
                    yield text

    # --- the checklist ------------------------------------------------------------------------

    def _go_on(self) -> Reply:
        """Books what the program sees, reads starters back, and reads the item that is next."""
        if self.game.phase is not Phase.BEFORE or self.dialogue.question is not None:
            return Reply()
        reply = self._see()
        if (team := self._to_read_back()) is not None:
            return reply + super().take(calls.ConfirmStarters(team), KEY)
        item = checklist.current(self.game)
        place = (item, sum(each.item == item for each in self.game.checks))
        if place == self._read:
            return reply
        self._read = place
        return reply + self._tell(item)

    def _see(self) -> Reply:
        """Books each item that is done, as far as the program sees, once it is its turn."""
        reply, game = Reply(), self.game
        touched = {each.item for each in game.checks} | {checklist.current(game)}
        for item in checklist.left(game):
            if item in touched and checklist.is_seen(game, item):
                made = super().take(calls.CheckSeen(item), CLOCK)
                # On a disk that fails nothing more is tried.
                return reply + made + (self._see() if made.entries else Reply())
        return reply

    def _to_read_back(self) -> Team | None:
        """A team whose starters are complete, and were not read back since they were named."""
        game, item = self.game, checklist.current(self.game)
        asked = item is not None and checklist.look_of(game.profile, item) is Look.STARTERS
        last = self.entries[-1].id if self.entries else 0
        for team in Team:
            whole = len(game.side(team).starters) == game.profile.roster.on_court
            named = self._named(team)
            fresh = (team, named) not in self._read_back and team not in game.starters_read
            if whole and fresh and (asked or named == last > 0):
                self._read_back.add((team, named))
                return team
        return None

    def _named(self, team: Team) -> int:
        """The newest entry that named a starter of a team, or took one off; 0 for none."""
        naming = calls.Starter | calls.DropStarter
        of_team = (e.id for e in self.entries if isinstance(e.call, naming) and e.call.team is team)
        return max(of_team, default=0)

    def _tell(self, item: str | None) -> Reply:
        """Reads an item with what the program finds of it; or that nothing is left."""
        if item is None:
            return self._say(Sort.NOTICE, items_left(self.game))
        notices = [*item_told(self.game, item, self.time.wall_ms())]
        look = checklist.look_of(self.game.profile, item)
        if look is Look.NUMBERS:
            for team in Team:
                notices += numbers_alike(team, self.game.side(team).numbers, self.speaker)
        if try_it := self._tries.get(look):
            tried = try_it()
            self._show(tried.told)
            notices.append(Notice(ITEM_WORKS if tried.works else ITEM_FAILS))
        return self._say(Sort.NOTICE, *notices)
