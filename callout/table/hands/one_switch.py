"""All calls by one switch: choices are read aloud in turn, and a press takes the one just read.

Pure. A goal or a foul is booked as soon as it is chosen. Its number is chosen afterwards from the
team's list: first the tens, then the number. Calls that would be refused now are not read.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from callout.errors import CalloutError, InputError
from callout.game import calls
from callout.game.calls import Call
from callout.game.terms import Team
from callout.game.values import SHIRTS
from callout.language.grammar import BEFORE_PART, Grammar
from callout.language.pattern import Pattern, PatternError, Patterns, Place
from callout.language.replies import Replies
from callout.language.scope import Sentences
from callout.language.slots import listed
from callout.table.hands.composing import Keyed, value_of

# Source for all three: common practice, none published; to be judged with people at a table.
GRACE_NS: Final = 300 * 10**6
"""A press within 0.3 s after a choice began to be read means the choice before it, if that can
still be taken: nobody reacts to a word sooner."""
PAUSE_NS: Final = 900 * 10**6
"""The pause between one choice and the next."""
ROUNDS: Final = 2
"""All choices are read this many times; then reading ends."""

FIRST: Final = "first"
"""The group of the menu that is read at a press."""
ASKED: Final = "asked"
"""The group that is read while a question is open: its answers."""
TEAM: Final = "{team}"
"""The label of a row that is read once for each team."""

Group = Mapping[str, "Pattern | str"]
"""Choices that are read together: each label with its call or the name of another group."""


@dataclass(frozen=True)
class Offer:
    """One choice."""

    text: str
    """The words that are read."""
    group: str = ""
    """The group that it opens."""
    team: Team | None = None
    pattern: Pattern | None = None
    """The call that it makes, perhaps with places still open."""
    digits: str = ""
    """The digits that it adds to a number."""
    ends: bool = False
    """Whether the number is complete with these digits."""
    every: bool = False
    """Whether it opens all numbers, those on no list among them."""


@dataclass(frozen=True)
class Choosing:
    """What is being read, and what has been chosen so far."""

    offers: tuple[Offer, ...] = ()
    at: int = 0
    """Which offer is being read, counted through all rounds."""
    since_ns: int = 0
    """When its reading began."""
    group: str = ""
    """The group of calls that is read; empty while values are read."""
    team: Team | None = None
    pattern: Pattern | None = None
    place: Place | None = None
    """The place that is being filled; None for the number of a line that is booked already."""
    digits: str = ""
    every: bool = False
    """Whether all numbers are read, and not the team's list alone."""

    @property
    def reading(self) -> str:
        """The words that are read now; empty if nothing is."""
        return self.offers[self.at % len(self.offers)].text if self.offers else ""


@dataclass(frozen=True)
class ChoiceStep:
    """What follows from a press."""

    choosing: Choosing
    calls: tuple[Keyed, ...] = ()


@dataclass(frozen=True)
class Switch:
    """The rules by which one switch makes calls at one table."""

    menu: Mapping[str, Group]
    """The groups by name; `FIRST` and `ASKED` are among them."""
    patterns: Patterns
    replies: Replies
    numbers: Callable[[Team | None], Sequence[str]]
    """The shirt numbers of a team; without a team, of both."""
    may: Callable[[Call], bool] = field(default=lambda call: True)
    """Whether the game would accept a call now."""

    def press(self, choosing: Choosing, at_ns: int, asked: bool = False) -> ChoiceStep:
        """What follows from a press: reading begins, or the choice just read is taken."""
        if not choosing.offers:
            return self._open(Choosing(group=ASKED if asked else FIRST), at_ns)
        offer = self._meant(choosing, at_ns)
        if offer.group:
            team = offer.team or choosing.team
            return self._open(replace(choosing, team=team, group=offer.group), at_ns)
        if offer.pattern is not None:
            return self._go_on(choosing, offer.pattern, at_ns)
        return self._digits(choosing, offer, at_ns)

    def _meant(self, choosing: Choosing, at_ns: int) -> Offer:
        """The choice that a press takes: the one being read, or the one just before it."""
        now = choosing.offers[choosing.at % len(choosing.offers)]
        if choosing.at == 0 or at_ns - choosing.since_ns >= GRACE_NS:
            return now
        before = choosing.offers[(choosing.at - 1) % len(choosing.offers)]
        possible = before.pattern is None or self.possible(before.pattern, None)
        return before if possible else now

    def again(self, choosing: Choosing, at_ns: int) -> Choosing:
        """The choices are read from the first one, since something else cut into them.

        What has become possible meanwhile is among them, and what is not possible any more is not.
        """
        if choosing.group:
            return self._open(choosing, at_ns).choosing
        return replace(choosing, at=0, since_ns=at_ns)

    def next(self, choosing: Choosing, at_ns: int) -> Choosing:
        """The next choice is read; after the last round reading ends."""
        if choosing.at + 1 >= ROUNDS * len(choosing.offers):
            return Choosing()
        return replace(choosing, at=choosing.at + 1, since_ns=at_ns)

    def possible(self, pattern: Pattern, team: Team | None) -> bool:
        """Whether a call may be made now, of that team if it takes one; open places stay open."""
        mine = _of_team(pattern, team)
        if not mine.places:
            return self._allowed(mine)
        # An answer is a number or none, whichever number it is.
        (place, *more), file = mine.places, self.patterns.grammar.calls[mine.index]
        if more or place.kind != "shirt" or file.sentences is Sentences.CALLS:
            return True
        return any(self._allowed(mine.given(place.slot, number)) for number in SHIRTS)

    # --- what is read --------------------------------------------------------------------------

    def _open(self, choosing: Choosing, at_ns: int) -> ChoiceStep:
        offers = self._group(choosing.group, choosing.team)
        return ChoiceStep(replace(choosing, offers=offers, at=0, since_ns=at_ns))

    def _read(self, choosing: Choosing, offers: tuple[Offer, ...], at_ns: int) -> ChoiceStep:
        return ChoiceStep(replace(choosing, group="", offers=offers, at=0, since_ns=at_ns))

    def _group(self, name: str, team: Team | None) -> tuple[Offer, ...]:
        offers: list[Offer] = []
        for label, leads in self.menu[name].items():
            if isinstance(leads, Pattern):
                if self.possible(leads, team):
                    offers.append(Offer(label, pattern=_of_team(leads, team)))
            elif label == TEAM:
                offers += [Offer(self.replies.team_names[each], leads, each) for each in Team]
            else:
                offers.append(Offer(label, leads))
        return tuple(offers)

    def _allowed(self, pattern: Pattern) -> bool:
        try:
            return self.may(self.patterns.call(pattern))
        except CalloutError:
            return False

    def _values(self, place: Place, team: Team | None, pattern: Pattern) -> tuple[Offer, ...]:
        """The choices for a place: both teams, the values of a list, or a number's first digits."""
        match place.kind:
            case "team":
                values = [(self.replies.team_names[each], each.value) for each in Team]
                return tuple(
                    Offer(text, pattern=pattern.given(place.slot, value)) for text, value in values
                )
            case "listed":
                slot = self.patterns.grammar.slots.slots[place.list]
                return tuple(
                    Offer(phrases[0], pattern=pattern.given(place.slot, value))
                    for value, phrases in listed(slot).items()
                )
            case "shirt":
                return self._tens(team)
            case _:
                minutes = place.kind == "clock"
                most = 20 if minutes else place.last // 100
                return self._counts(most) if most else self._counts(9)

    def _tens(self, team: Team | None, every: bool = False) -> tuple[Offer, ...]:
        """The tens in which the team has numbers, then the way to all others."""
        tens = sorted({int(number) // 10 for number in (SHIRTS if every else self.numbers(team))})
        words, file = self.replies.words, self.replies.file
        offers = tuple(
            Offer(words.count(10 * ten) if ten else file.below_ten, digits=str(ten)) for ten in tens
        )
        return offers if every else (*offers, Offer(file.other_number, every=True))

    def _units(self, ten: int, choosing: Choosing) -> tuple[Offer, ...]:
        numbers = SHIRTS if choosing.every else self.numbers(choosing.team)
        return tuple(
            Offer(self.replies.words.shirt(number), digits=number, ends=True)
            for number in sorted(numbers, key=int)
            if int(number) // 10 == ten
        )

    def _counts(self, most: int, ends: bool = False) -> tuple[Offer, ...]:
        return tuple(
            Offer(self.replies.words.count(n), digits=str(n), ends=ends) for n in range(most + 1)
        )

    # --- what is taken -------------------------------------------------------------------------

    def _go_on(self, choosing: Choosing, pattern: Pattern, at_ns: int) -> ChoiceStep:
        """Makes a complete call, then reads numbers for it; else reads the next open place."""
        if pattern.places:
            place = pattern.places[0]
            waiting = replace(choosing, pattern=pattern, place=place, digits="", every=False)
            return self._read(waiting, self._values(place, choosing.team, pattern), at_ns)
        call = self.patterns.call(pattern)
        made = (Keyed(call, at_ns, pattern.filled),)
        # What is for the table itself books no line that a number could be added to.
        if isinstance(call, calls.TALK) or not any(p.kind == "shirt" for p in pattern.options):
            return ChoiceStep(Choosing(), made)
        step = self._read(Choosing(team=choosing.team), self._tens(choosing.team), at_ns)
        return replace(step, calls=made)

    def _digits(self, choosing: Choosing, offer: Offer, at_ns: int) -> ChoiceStep:
        place, digits = choosing.place, choosing.digits + offer.digits
        if offer.every:
            everyone = replace(choosing, every=True)
            return self._read(everyone, self._tens(choosing.team, every=True), at_ns)
        if place is None or place.kind == "shirt":
            if not offer.ends:
                return self._read(choosing, self._units(int(offer.digits), choosing), at_ns)
            return self._number_complete(choosing, offer.digits, at_ns)
        if offer.ends:
            return self._number_complete(choosing, digits, at_ns)
        further = replace(choosing, digits=digits)
        if place.kind == "clock":
            # After the minutes: the tens of seconds, then the seconds.
            most, ends = (5, False) if not choosing.digits else (9, True)
        else:
            last = 2 if place.last >= 100 else 1
            most, ends = 9, len(digits) == last
        return self._read(further, self._counts(most, ends), at_ns)

    def _number_complete(self, choosing: Choosing, digits: str, at_ns: int) -> ChoiceStep:
        """A number is complete: it goes to the line just booked, or to the place that waits."""
        if choosing.pattern is None or choosing.place is None:
            return ChoiceStep(Choosing(), (Keyed(calls.Number(digits), at_ns, digits),))
        value = value_of(choosing.place, digits if digits == "00" else str(int(digits)))
        if choosing.place.kind == "clock":
            value = value_of(choosing.place, digits)
        if value is None:
            return ChoiceStep(Choosing())
        return self._go_on(choosing, choosing.pattern.given(choosing.place.slot, value), at_ns)


def _of_team(pattern: Pattern, team: Team | None) -> Pattern:
    """The pattern with the team that was chosen before it."""
    place = pattern.wants("team") if team else None
    return pattern.given(place.slot, team.value) if team and place else pattern


def read_menu(grammar: Grammar, replies: Replies, patterns: Patterns) -> dict[str, Group]:
    """The groups in a language's replies.yaml, with the calls that their rows name.

    Raises:
        InputError: a row names neither a group nor a call.
    """
    groups = replies.file.before if grammar.part == BEFORE_PART else replies.file.choices
    menu: dict[str, Group] = {}
    for name, rows in groups.items():
        menu[name] = {}
        for label, text in rows.items():
            try:
                leads = text if text in groups else patterns.read(text)
            except PatternError as error:
                path = grammar.folder / "replies.yaml"
                raise InputError(path, f"choices.{name}.{label}: {error}") from None
            menu[name] = {**menu[name], label: leads}
    return menu
