"""One call of a language, calls/NAME.yaml: its form, and the rules for a single file."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Literal, get_type_hints

from hassil.expression import Expression
from pydantic import Field, TypeAdapter, ValidationError

from callout.errors import CalloutError
from callout.game.calls import CALLS
from callout.game.fault import first_fault
from callout.language.machine import slot_sets
from callout.language.scope import Sentences
from callout.language.slots import Strict, Value
from callout.language.source import Keys, Source


class Only(Strict):
    """The leagues in which somebody would say a sentence; None where it is the same."""

    periods: int | None = None
    """How many periods a game has, for a sentence that names one: quarters or halves."""
    on_court: int | None = None
    """How many players of a team are on court, for a sentence that counts them."""


class Example(Strict):
    """A sentence with the slots that it gives."""

    say: str
    slots: Mapping[str, Value] = {}
    only: Only = Only()


class CallFile(Strict):
    """One call of a language: calls/NAME.yaml."""

    name: str = Field(min_length=1)
    say: tuple[str, ...] = ()
    """Templates: `(one|two)`, `[optional]`, `{slot}` or `{list:slot}`. None for a call that is
    never heard."""
    seldom: tuple[str, ...] = ()
    """Templates that few people use: they have a cost (`scope.SELDOM`)."""
    rarely: tuple[str, ...] = ()
    """Templates that hardly anybody uses: they cost more (`scope.RARELY`)."""
    typed: tuple[str, ...] = ()
    """Templates that are read where they are typed and never heard: too short or too common in
    talk, or too near to another call by sound."""
    does: Mapping[str, Mapping[str, Value]] | None = None
    """The call it makes; a field has `$slot` or a plain value. None in a grammar without calls."""
    asks: tuple[str, ...] = ()
    """Slots that are asked for when they are left out."""
    keys: Mapping[str, str] = {}
    """The keys that make it, each with its words: `{team} two` leaves the team open."""
    when: Literal["always", "question"] = "always"
    """Whether it may be said at any time, or only while a question is open."""
    before: bool = False
    """Whether it may be called before the game, too, at the checklist."""
    examples: tuple[Example, ...] = Field(min_length=1)
    refused: tuple[str, ...] = ()
    decoys: tuple[str, ...] = ()
    """Templates of what sounds like a call and is none: the ear recognizes it and drops it.

    Without them, it would be heard as the nearest call.
    """

    @property
    def sentences(self) -> Sentences:
        """Which sentences of the language these are."""
        return Sentences.CALLS if self.when == "always" else Sentences.ANSWERS

    def ways(self) -> Iterator[tuple[Keys, str]]:
        """Every template of the call, with its keys in the file."""
        for part in ("say", "seldom", "rarely", "typed"):
            for at, text in enumerate(getattr(self, part)):
                yield (part, at), text


def check_call(source: Source, file: CallFile, trees: Sequence[Expression]) -> None:
    """Check that every template makes the call, and that no slot is named which none gives.

    Raises:
        InputError: at the first mistake.
    """
    for keys, what in (*_slots(file, trees), *_does(file, trees)):
        raise source.error(what, *keys)


def _slots(file: CallFile, trees: Sequence[Expression]) -> Iterator[tuple[Keys, str]]:
    if not trees:
        yield ("name",), "expected a template under 'say' or 'typed', got none"
    for (keys, _), tree in zip(file.ways(), trees, strict=True):
        for given in slot_sets(tree):
            twice = [slot for slot in given if given.count(slot) > 1]
            if twice:
                error = f"expected each slot once in a sentence, got {twice[0]!r} twice"
                yield keys, error
    for at, slot in enumerate(file.asks):
        if slot not in _given(trees):
            yield ("asks", at), f"no template gives the slot {slot!r}"


def _given(trees: Sequence[Expression]) -> set[str]:
    return {slot for tree in trees for given in slot_sets(tree) for slot in given}


def _does(file: CallFile, trees: Sequence[Expression]) -> Iterator[tuple[Keys, str]]:
    if file.does is None:
        if file.keys:
            yield ("keys",), "expected 'does' for a key, got none"
        return
    if len(file.does) != 1:
        yield ("does",), f"expected one call, got {sorted(file.does)}"
    name, fields = next(iter(file.does.items()))
    try:
        known = CALLS.fields(name)
    except CalloutError as error:
        yield ("does",), str(error)
        return
    given = _given(trees)
    for key, value in fields.items():
        place = ("does", name, key)
        if key not in known:
            yield place, f"expected a field of {name!r} ({', '.join(sorted(known))}), got {key!r}"
        elif slot := slot_named(value):
            if slot not in given:
                yield place, f"no template gives the slot {value!r}"
        elif wrong := _wrong(name, key, value):
            yield place, wrong
    yield from _missing(file, name, fields, trees)


def slot_named(value: Value) -> str:
    """The slot that gives a field its value; empty for a plain value."""
    return value[1:] if isinstance(value, str) and value[:1] == "$" else ""


def _wrong(name: str, key: str, value: Value) -> str:
    """What is wrong with a plain value of a field; empty if it is valid."""
    hint = get_type_hints(CALLS.members()[name], include_extras=True)[key]
    try:
        TypeAdapter(hint).validate_python(value)
    except ValidationError as error:
        return f"{key}: {first_fault(error).what}"
    return ""


def _missing(
    file: CallFile, name: str, fields: Mapping[str, Value], trees: Sequence[Expression]
) -> Iterator[tuple[Keys, str]]:
    """Fields that the call needs and that no slot, or not every sentence, gives."""
    whole: Any = CALLS.members()[name]
    for field in dataclasses.fields(whole):
        if field.default is not dataclasses.MISSING:
            continue
        what = f"expected a value for the field {field.name!r} of {name!r}"
        if field.name not in fields:
            yield ("does", name), f"{what}, got none"
            continue
        slot = slot_named(fields[field.name])
        for (keys, _), tree in zip(file.ways(), trees, strict=True):
            if slot and any(slot not in given for given in slot_sets(tree)):
                yield keys, f"{what}, got a way to leave out {slot!r}"
