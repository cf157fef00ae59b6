"""Hands that play a game script by keys alone, or by one switch, as a person would."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, replace
from pathlib import Path
from typing import Any

from callout.game import calls
from callout.game.calls import Call
from callout.game.terms import Team
from callout.language.parser import Parsed, Sentence
from callout.language.pattern import Pattern
from callout.table.book.journal import Journal
from callout.table.hands.keymap import Hand
from callout.table.hands.one_switch import Choosing, Offer, Switch
from callout.table.language import menu_of, parsers_of, patterns_of, replies_of, scope_of
from callout.table.scripts.script import Line, Runner, read_script
from callout.table.speech.reply import Reply
from callout.table.view import view
from tests.english import english_grammar

GRAMMAR = english_grammar()


class Pieces(Runner):
    """Plays a script's calls in their smallest pieces: `home two`, then `number five`."""

    def __init__(self, path: Path) -> None:
        script = read_script(path)
        super().__init__(script, GRAMMAR, Journal.in_memory(script.setup))
        self._readers = parsers_of(GRAMMAR, scope_of(script.setup))
        self.done = 0
        """How many pieces were made."""
        self._held: list[Call] = []
        """The rest of a call that is asked about: a number is given once the call is booked."""
        self._entries: list[int] = []
        """How many entries each sentence has made that was not taken back."""

    def result(self) -> dict[str, Any]:
        """The game at its end, as `replay --json` prints it."""
        for line in self.script.lines:
            if not line.mark:
                self.play(line)
        session = self.session
        return view(session.game, session.now().left_tenths, session.journal.replies())

    def _say(self, line: Line) -> Reply:
        asked = self.session.dialogue.question is not None
        parsed = self._readers.now(asked).parse(line.words)
        assert isinstance(parsed, Parsed)
        reply = Reply()
        for sentence in parsed.sentences:
            held, self._held, before = self._held, [], self.session.game.entry
            asked = self.session.dialogue.question is not None
            first, *rest = pieces(sentence.call)
            if isinstance(first, calls.Undo | calls.Cancel) and not asked and self._entries:
                # What was called in pieces is taken back in as many.
                rest = [calls.Undo()] * (self._entries.pop() - 1)
                for call in (first, *rest):
                    reply += self._piece(call)
                continue
            reply += self._piece(first)
            booked = self.session.game.entry > before
            if self.session.dialogue.question and not booked:
                self._held = rest
                continue
            for call in (*(held if booked else ()), *rest):
                reply += self._piece(call)
            if made := self.session.game.entry - before:
                self._entries.append(made)
        return reply

    def _piece(self, call: Call) -> Reply:
        self.done += 1
        reply = self.make(call)
        # What was taken back call by call there is taken back piece by piece here, so that the
        # scores may differ, and an overtime be asked about.
        question = self.session.dialogue.question
        if question and question.kind == "overtime":
            reply += self.make(calls.Yes())
        return reply

    def make(self, call: Call) -> Reply:
        """Make one call."""
        return self.session.take(call, "key")


def pieces(call: Call | None) -> Iterator[Call]:
    """A call without what may follow, and what follows."""
    assert call is not None
    parts: list[Call] = []
    for name, make in [("number", calls.Number), ("award", calls.SetAward)]:
        optional = any(f.name == name and f.default is None for f in fields(call))  # type: ignore[arg-type]
        # Without a number it is the coach who is sent off.
        optional = optional and not isinstance(call, calls.SendOff)
        if optional and getattr(call, name) is not None and not isinstance(call, calls.TALK):
            parts.append(make(getattr(call, name)))
            call = replace(call, **{name: None})  # type: ignore[type-var]
    yield call
    yield from parts


def sentence_of(call: Call) -> list[Sentence]:
    """The call files and slots that make a call; more than one, where words differ alone."""
    return [
        Sentence(file.name, slots, call, 0)
        for index, file in enumerate(GRAMMAR.calls)
        for slots in _slots(index, call)
    ]


def _slots(index: int, call: Call) -> Iterator[dict[str, Any]]:
    """The slots with which the file of that index makes the call, if it can."""
    does = GRAMMAR.calls[index].does
    assert does is not None
    ((name, given),) = does.items()
    if calls.CALLS.members()[name] is not type(call):
        return
    slots = {}
    for key, value in given.items():
        got = getattr(call, key)
        if isinstance(value, str) and value.startswith("$") and got is not None:
            slots[value[1:]] = getattr(got, "value", got)
    try:
        made = GRAMMAR.call(index, slots)
    except Exception:
        return
    if made == call:
        yield slots


class ByKeys(Pieces):
    """Finds the keys of each piece, and presses them."""

    def make(self, call: Call) -> Reply:
        if isinstance(call, calls.Number | calls.Answer):
            return self._type(call.number, done=True)
        sentences = sentence_of(call)
        best = max(
            (
                (len(target[0].slots), key, sentence)
                for key, target in self.keys.keys.items()
                if isinstance(target, tuple)
                for sentence in sentences
                if _fits(target[0], sentence)
            ),
            key=lambda each: each[0],
        )
        return self._press_for(best[1], best[2])

    def _press_for(self, key: str, sentence: Sentence) -> Reply:
        target = self.keys.keys[key]
        assert isinstance(target, tuple)
        (pattern,) = target
        rest = {k: v for k, v in sentence.slots.items() if k not in pattern.slots}
        reply = Reply()
        if "team" in rest and (pattern.wants("team") is not None):
            reply += self.press(Team(rest.pop("team")))
        reply += self._key(key)
        for place in pattern.places:
            if place.slot in rest:
                reply += self._give(place.kind, place.unit, place.slot, rest[place.slot])
        return reply

    def _give(self, kind: str, unit: int, slot: str, value: Any) -> Reply:
        if kind == "team":
            return self.press(Team(value))
        if kind == "clock":
            minutes, tenths = divmod(value, 600)
            text = f"{minutes}{tenths // 10:02}" if minutes else f"{tenths // 10}"
            return self._type(f"{text}.{tenths % 10}" if tenths % 10 else text, done=True)
        if kind == "listed":
            return self._key(
                next(
                    key
                    for key, target in self.keys.keys.items()
                    if isinstance(target, tuple) and target[0].slots.get(slot) == value
                )
            )
        return self._type(str(value // unit) if kind == "count" else value, done=True)

    def _type(self, digits: str, done: bool) -> Reply:
        reply = Reply()
        for digit in digits:
            reply += self.press(Hand.POINT if digit == "." else digit)
        return reply + self.press(Hand.DONE)

    def _key(self, key: str) -> Reply:
        return self.press(self.keys.keys[key])


def _fits(pattern: Pattern, sentence: Sentence) -> bool:
    """Whether a key can make a sentence, with its places filled."""
    slots = sentence.slots
    same = all(slots.get(slot) == value for slot, value in pattern.slots.items())
    counts = [place for place in pattern.places if place.kind == "count" and place.slot in slots]
    within = all(p.first <= int(slots[p.slot]) // p.unit <= p.last for p in counts)
    filled = {place.slot for place in (*pattern.places, *pattern.options)} | set(pattern.slots)
    needed = {place.slot for place in pattern.places}
    named = GRAMMAR.calls[pattern.index].name == sentence.name
    return named and same and within and needed <= set(slots) <= filled


class BySwitch(Pieces):
    """Waits until what is wanted is read, and presses the one switch; all choices are read."""

    def __init__(self, path: Path) -> None:
        super().__init__(path)
        setup = self.script.setup
        self.choosing = Choosing()
        self.presses = 0
        self.reads = 0
        self.unread: list[Call] = []
        self.switch = Switch(
            menu_of(GRAMMAR),
            patterns_of(GRAMMAR),
            replies_of(GRAMMAR),
            lambda team: sorted(
                {
                    player.number
                    for each in ((team,) if team else tuple(Team))
                    for player in setup.team(each).players
                }
            ),
            self.session.may,
        )
        self._now_ns = 0

    def make(self, call: Call) -> Reply:
        if isinstance(call, calls.Cancel) and self.session.dialogue.question is None:
            # With nothing asked both mean the same, and "undo" is what is read then.
            return self.make(calls.Undo())
        if not self.session.may(call):
            # What would be refused is not read, so it cannot be chosen.
            self.unread.append(call)
            return Reply()
        path = next(iter(self._paths(call)), None)
        assert path is not None, call
        reply = Reply()
        for step in path:
            reply += self._choose(step)
        return reply

    def _choose(self, wanted: str) -> Reply:
        """Wait for a choice, and take it."""
        if self.choosing.offers:
            while self.choosing.reading != wanted:
                before = self.choosing
                self._now_ns += 2 * 10**9
                self.choosing = self.switch.next(self.choosing, self._now_ns)
                self.reads += 1
                assert self.choosing.offers, (wanted, [o.text for o in before.offers])
        self._now_ns += 10**9
        self.presses += 1
        asked = self.session.dialogue.question is not None
        step = self.switch.press(self.choosing, self._now_ns, asked)
        self.choosing = step.choosing
        reply = Reply()
        for keyed in step.calls:
            reply += self.session.take(keyed.call, "key")
        return reply

    def _paths(self, call: Call) -> Iterator[list[str]]:
        """Ways to a call through the choices, found by trying, with nothing booked."""
        asked = self.session.dialogue.question is not None
        todo: list[tuple[Choosing, list[str]]] = [(self.choosing, [])]
        if not self.choosing.offers:
            todo = [(self.switch.press(Choosing(), 0, asked).choosing, [""])]
        for choosing, path in todo:
            for at, offer in enumerate(choosing.offers):
                if _leads_astray(offer, call) or _another_number(choosing, offer, call):
                    continue
                step = self.switch.press(replace(choosing, at=at), choosing.since_ns + 10**9)
                way = [*path, offer.text]
                if [keyed.call for keyed in step.calls] == [call]:
                    yield way
                elif not step.calls and step.choosing.offers and len(way) < 12:
                    todo.append((step.choosing, way))
        if self.choosing.offers:
            # What it offers leads nowhere: let it be read to its end, and begin anew.
            self.choosing = Choosing()
            yield from self._paths(call)


def _leads_astray(offer: Offer, call: Call) -> bool:
    """Whether a choice is of another team than the call, to try fewer of them."""
    team = getattr(call, "team", None)
    return offer.team is not None and offer.team is not team


def _another_number(choosing: Choosing, offer: Offer, call: Call) -> bool:
    """Whether a choice of a shirt leads to other numbers than those in the call."""
    if not offer.digits or (choosing.place is not None and choosing.place.kind != "shirt"):
        return False
    numbers = [v for v in (getattr(call, f.name) for f in fields(call)) if isinstance(v, str)]  # type: ignore[arg-type]
    shirts = [number for number in numbers if number.isdigit()]
    if offer.ends:
        return offer.digits not in shirts
    return int(offer.digits) not in {int(number) // 10 for number in shirts}
