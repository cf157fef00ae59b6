"""A game played by hand in a test: calls go in, notices come out, time passes when told to."""

from __future__ import annotations

from callout.game.calls import Call, EndPeriod, StartClock, StopClock
from callout.game.decide import Decision, Refusal, decide
from callout.game.events import Event
from callout.game.figures.score import both_scores
from callout.game.fold import Entry, advance, new_game
from callout.game.notices.after_entry import Notice, notices
from callout.game.profile.profile import Profile
from callout.game.state import At, Game, Owner, Side
from callout.game.terms import Team

HOME, GUEST = Team.HOME, Team.GUEST
KITES = ("4", "5", "7", "10", "11", "12", "23")
FOXES = ("3", "5", "8", "14", "15", "20", "33")


def well_formed(said: Notice | Refusal) -> None:
    """The values are those of the kind's row, each of its type."""
    types = said.kind.slots
    assert said.slots.keys() == types.keys(), said
    assert all(isinstance(value, types[name]) for name, value in said.slots.items()), said


class Play:
    """A game, the entries that made it, and the notices of the newest."""

    def __init__(
        self,
        profile: Profile,
        owner: Owner = Owner.OURS,
        home: tuple[str, ...] = KITES,
        guest: tuple[str, ...] = FOXES,
    ) -> None:
        sides = Side("Harbour Kites", home), Side("Quarry Foxes", guest)
        self.begin = new_game(profile, *sides, owner)
        self.game: Game = self.begin
        self.entries: list[Entry] = []
        self.now_ms = 1_000_000
        self.notices: tuple[Notice, ...] = ()

    def at(self) -> At:
        """This moment."""
        return At(self.game.clock.left_at(self.now_ms), self.now_ms)

    def wait(self, seconds: float) -> Play:
        """Let time pass, with nothing falling due in it."""
        self.now_ms += round(1000 * seconds)
        return self

    def call(self, call: Call) -> Decision:
        """Book the call if it can be, and give what was decided."""
        decision = decide(self.game, call, self.at())
        if isinstance(decision, Refusal):
            well_formed(decision)
        else:
            self.book(call, decision)
        return decision

    def book(self, call: Call, events: tuple[Event, ...]) -> None:
        """Enter events as if the call had brought them."""
        before = self.game
        entry = Entry(before.entry + 1, call, "script", self.at(), events)
        self.game = advance(self.begin, self.entries, before, entry)
        self.entries.append(entry)
        self.notices = notices(before, entry, self.game)
        for notice in self.notices:
            well_formed(notice)

    def take(self, *calls: Call) -> Play:
        """Book calls, none of which may be refused."""
        for call in calls:
            decision = self.call(call)
            assert not isinstance(decision, Refusal), (call, decision)
        return self

    def refusal(self, call: Call) -> str:
        """The kind of the refusal of a call, which must be refused and leave the game alone."""
        before = self.game
        decision = self.call(call)
        assert isinstance(decision, Refusal), (call, decision)
        assert self.game == before
        return decision.kind

    def start(self) -> Play:
        """Start the clock; between periods this begins the next."""
        return self.take(StartClock())

    def stop(self) -> Play:
        """Stop the clock."""
        return self.take(StopClock())

    def to_period(self, period: int) -> Play:
        """Play on until that period's clock runs."""
        while self.game.period < period:
            if self.game.phase.value in ("running", "stopped"):
                self.take(EndPeriod())
            self.start()
        return self

    def to_left(self, period: int, left_s: float) -> Play:
        """Play on until so many seconds are left in that period, its clock running."""
        length = self.to_period(period).game.clock.left_tenths / 10
        return self.wait(max(0.0, length - left_s))

    @property
    def score(self) -> tuple[int, int]:
        """Home's points and guest's."""
        return both_scores(self.game)

    def said(self) -> list[str]:
        """The kinds of the newest notices."""
        return [notice.kind for notice in self.notices]

    def told(self, kind: str) -> Notice:
        """The one notice of that kind among the newest."""
        found = [notice for notice in self.notices if notice.kind == kind]
        assert len(found) == 1, (kind, self.notices)
        return found[0]
