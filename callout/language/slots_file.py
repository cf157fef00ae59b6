"""slots.yaml, read and checked; each mistake is reported with its line."""

from __future__ import annotations

from collections.abc import Iterator
from enum import Enum
from typing import Final

from callout.game.terms import FoulKind, Team
from callout.game.values import SHIRTS
from callout.language.slots import Slot, SlotsFile, Words, listed, most_count
from callout.language.source import Keys, Source

COUNTS: Final = 100
"""Figures that have a phrase of their own, 0 to 99."""
KINDS: Final = ("values", "like", "numbers")
"""Each says what may stand for a slot; a slot has one of them."""
SCOPED: Final[dict[str, type[Enum]]] = {"team": Team, "foul": FoulKind}
"""The values that a game knows for each scope."""


def read_slots(source: Source) -> SlotsFile:
    """The slots of a language, each with values of its own, and the words for numbers.

    Every slot can be said, no phrase has two meanings, and no words are missing.

    Raises:
        InputError: at the first mistake.
    """
    file = source.as_model(SlotsFile)
    for keys, what in _kinds(file):
        raise source.error(what, *keys)
    file = _with_own_values(file)
    for keys, what in _mistakes(file):
        raise source.error(what, *keys)
    return file


def _kinds(file: SlotsFile) -> Iterator[tuple[Keys, str]]:
    """Mistakes in what says where a slot's values come from."""
    for name, slot in file.slots.items():
        keys = ("slots", name)
        given = [kind for kind in KINDS if getattr(slot, kind) is not None]
        if len(given) != 1:
            got = " and ".join(map(repr, given)) or "none"
            yield keys, f"expected one of 'values', 'like' and 'numbers', got {got}"
        if slot.like is None:
            if slot.without:
                yield keys, "expected 'without' with 'like' only"
            continue
        other = file.slots.get(slot.like, Slot())
        if other.values is None:
            yield keys, f"expected 'like' with a slot that lists its values, got {slot.like!r}"
        known = {phrase for phrases in listed(other).values() for phrase in phrases}
        for at, phrase in enumerate(slot.without):
            if phrase not in known:
                what = f"expected a phrase of the slot {slot.like!r}, got {phrase!r}"
                yield (*keys, "without", at), what


def _with_own_values(file: SlotsFile) -> SlotsFile:
    """The same file, in which a slot that was like another lists its values itself."""
    slots = {
        name: _as_listed(slot, file.slots[slot.like]) if slot.like else slot
        for name, slot in file.slots.items()
    }
    return file.model_copy(update={"slots": slots})


def _as_listed(slot: Slot, other: Slot) -> Slot:
    left = {
        value: tuple(phrase for phrase in phrases if phrase not in slot.without)
        for value, phrases in listed(other).items()
    }
    update = {
        "values": {value: phrases for value, phrases in left.items() if phrases},
        "scope": slot.scope or other.scope,
        "like": None,
        "without": (),
    }
    return slot.model_copy(update=update)


def _mistakes(file: SlotsFile) -> Iterator[tuple[Keys, str]]:
    if file.counts and len(file.counts) != COUNTS:
        yield ("counts",), f"expected {COUNTS} phrases, for 0 to 99, got {len(file.counts)}"
    if file.digits and len(file.digits) != 10:
        yield ("digits",), f"expected words for 10 digits, got {len(file.digits)}"
    for name, slot in file.slots.items():
        keys = ("slots", name)
        for what in (*_form(slot, file), *_values(slot), *_numbers(slot, file)):
            yield keys, what
    if any(slot.numbers == "shirt" for slot in file.slots.values()):
        yield from _shirts(file)


def _form(slot: Slot, file: SlotsFile) -> Iterator[str]:
    if slot.other and slot.scope != "team":
        yield "expected 'other' with the scope 'team' only"
    if slot.scope and slot.values is None:
        yield f"expected values with the scope {slot.scope!r}"
    if slot.of and slot.numbers != "shirt":
        yield f"expected 'of' with shirt numbers only, got {slot.of!r}"
    for what, other in (("before", slot.before), ("apart_from", slot.apart_from)):
        if other is not None and (
            slot.numbers != "shirt" or not listed(file.slots.get(other, Slot()))
        ):
            yield f"expected {what!r} with shirt numbers and a slot of values, got {other!r}"


def _values(slot: Slot) -> Iterator[str]:
    if slot.values is not None and not slot.values:
        yield "expected at least one value, got none"
    owners: dict[str, object] = {}
    for value, phrases in listed(slot).items():
        if slot.scope in SCOPED:
            known = [member.value for member in SCOPED[slot.scope]]
            if value not in known:
                yield f"expected one of {', '.join(known)}, got {value!r}"
        for phrase in phrases:
            if phrase in owners:
                yield f"expected each phrase once, got {phrase!r} again"
            owners[phrase] = value


def _numbers(slot: Slot, file: SlotsFile) -> Iterator[str]:
    if slot.numbers and not file.counts:
        yield f"expected 'counts' in this file for the numbers {slot.numbers!r}, got none"
    if slot.numbers == "shirt" and not file.digits:
        yield "expected 'digits' in this file for shirt numbers, got none"
    if slot.numbers == "clock" and file.clock is None:
        yield "expected 'clock' in this file for clock times, got none"
    if slot.numbers == "count":
        most = most_count(file)
        if not 0 <= slot.first <= slot.last <= most:
            yield f"expected 0 <= first <= last <= {most}, got {slot.first} and {slot.last}"
        if not slot.unit:
            yield "expected a unit other than 0"


def _shirts(file: SlotsFile) -> Iterator[tuple[Keys, str]]:
    """Mistakes in shirt numbers: a phrase that two of them share, a number without a phrase."""
    for number in file.shirts:
        if number not in SHIRTS:
            yield ("shirts", number), f"expected a shirt number, 0, 00 or 1 to 99, got {number!r}"
    for number in (number for group in file.alike for number in group):
        if number not in SHIRTS:
            yield ("alike",), f"expected a shirt number, 0, 00 or 1 to 99, got {number!r}"
    words = Words(file)
    said = {word for number in SHIRTS for phrase in words.shirt_phrases(number) for word in phrase}
    for word in file.too_easily.keys() - said:
        yield ("too_easily", word), f"expected a word of a shirt number, got {word!r}"
    owners: dict[tuple[str, ...], str] = {}
    for number in SHIRTS:
        phrases = words.shirt_phrases(number)
        if not phrases:
            yield ("shirts",), f"expected a phrase for the shirt number {number!r}, got none"
        for phrase in phrases:
            if phrase in owners:
                both = f"{owners[phrase]!r} and {number!r}"
                yield ("shirts",), f"expected each phrase once, got {' '.join(phrase)!r} for {both}"
            owners[phrase] = number
