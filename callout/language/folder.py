"""A language's folder, read: its calls and its slots."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from callout.errors import InputError
from callout.language.call_file import CallFile, check_call
from callout.language.grammar import CALLS_PART, Grammar, Template
from callout.language.machine import TemplateError, parse_template, slots_of
from callout.language.scope import PRICES
from callout.language.shipped import kept_if_shipped
from callout.language.slots import SlotsFile
from callout.language.slots_file import read_slots
from callout.language.source import Keys, Source
from callout.reading import paths_in


def load_grammar(folder: Path, part: str = CALLS_PART) -> Grammar:
    """The language in a folder, or one part of it, without the checks of `check.py`.

    Raises:
        InputError: a file is missing or wrong; `path:line: …`.
    """
    return _load(folder, part)


@kept_if_shipped
def _load(folder: Path, part: str) -> Grammar:
    slots = read_slots(Source(folder / "slots.yaml"))
    calls: list[CallFile] = []
    templates: list[Template] = []
    decoys: list[Template] = []
    for index, (source, file) in enumerate(_files(folder, part)):
        for other in calls:
            _check_own(source, file, other)
        calls.append(file)
        made = partial(_template, source, index, slots)
        templates += [made(keys, text) for keys, text in file.ways()]
        decoys += [made(("decoys", at), text) for at, text in enumerate(file.decoys)]
        check_call(source, file, [t.tree for t in templates if t.call == index])
    return Grammar(folder, tuple(calls), tuple(templates), slots, tuple(decoys), part)


def _files(folder: Path, part: str) -> list[tuple[Source, CallFile]]:
    """The call files of a part, in the order of their names, those of its own folder last.

    Raises:
        InputError: the folder has no call file, or one that is wrong.
    """
    found: list[tuple[Source, CallFile]] = []
    for name in dict.fromkeys((CALLS_PART, part)):
        paths = paths_in(folder / name, ".yaml")
        if not paths:
            raise InputError(folder / name, "expected at least one call file (*.yaml), got none")
        for path in paths:
            source = Source(path)
            file = source.as_model(CallFile)
            if name == part or file.before:
                found.append((source, file))
    return found


def _check_own(source: Source, file: CallFile, other: CallFile) -> None:
    if file.name == other.name:
        raise source.error(f"expected a name of its own, got {file.name!r} again", "name")
    for key in file.keys.keys() & other.keys.keys():
        what = f"expected a key of its own, got {key!r} of {other.name!r}"
        raise source.error(what, "keys", key)


def _template(source: Source, call: int, slots: SlotsFile, at: Keys, text: str) -> Template:
    try:
        tree = parse_template(text)
    except TemplateError as error:
        raise source.error(str(error), *at) from None
    for name, _ in slots_of(tree):
        if name not in slots.slots:
            known = ", ".join(sorted(slots.slots))
            raise source.error(f"expected a slot of slots.yaml ({known}), got {name!r}", *at)
    price = PRICES.get(str(at[0]), 0.0)
    return Template(call, text, tree, source.path, source.line(*at), price, at[0] == "typed")
