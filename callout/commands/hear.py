"""`callout hear`: prints the calls that the ear hears in sound files."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final

from callout.edges.ear.file import FileEar
from callout.edges.ear.spoken_calls import WHOLE, Understood, understand
from callout.edges.models.catalogue import RECOGNIZER, find_model
from callout.errors import CalloutError
from callout.game.profile.file import load_profile
from callout.game.terms import Team
from callout.language.check import open_language
from callout.language.grammar import Grammar, Scope, language_folder
from callout.language.parser import Parser
from callout.plain import plain
from callout.table.setup.roster import RosterError, check_number

PROFILE: Final = "youth-6-minute"
"""The league whose numbers and kinds of foul are heard: it allows the most."""


def hear(
    files: Sequence[Path],
    grammar: Path | None = None,
    roster: str | None = None,
    as_json: bool = False,
    model: Path | None = None,
) -> int:
    """Print what is heard in each file; returns the exit status.

    Raises:
        InputError, ModelError: a file, the language or the model is wrong.
    """
    language = open_language(grammar or language_folder())
    parser = Parser(language, scope_of(language, roster))
    ear = FileEar(find_model(RECOGNIZER, model), parser.network)
    try:
        for path in files:
            heard = list(_in_file(ear, parser, path))
            for understood in heard:
                _show(path, understood, as_json)
            if not as_json and not any(each.sentence for each in heard):
                print(plain(f"{path}: no call"))
    finally:
        ear.close()
    return 0


def scope_of(language: Grammar, roster: str | None) -> Scope:
    """What can be said of a game when only the players' numbers are known.

    Raises:
        CalloutError: one of them is not a shirt number.
    """
    numbers = tuple(part.strip() for part in roster.split(",")) if roster else ()
    for number in numbers:
        try:
            check_number(number)
        except RosterError as error:
            raise CalloutError(f"--roster: {error}") from None
    profile = load_profile(PROFILE)
    legal = profile.legal_numbers() if language.slots.counts else ()
    return Scope(dict.fromkeys(Team, numbers), legal, frozenset(profile.fouls.kinds))


def _in_file(ear: FileEar, parser: Parser, path: Path) -> Iterator[Understood]:
    for utterance in ear.hear(path):
        yield from understand(parser, utterance)


def _show(path: Path, understood: Understood, as_json: bool) -> None:
    if as_json:
        print(json.dumps({"file": str(path), **understood.to_dict()}, ensure_ascii=False))
    elif understood.sentence is not None:
        told = understood.to_dict()
        slots = ", ".join(f"{slot} {value}" for slot, value in told["slots"].items())
        doubt = " or ".join(
            f"{c['text'] if c['slot'] == WHOLE else c['value']} ({c['p']:.0%})"
            for c in told["choices"]
        )
        parts = [told["call"], slots, f"{understood.slot}: {doubt}?" if doubt else ""]
        what = "  ".join(part for part in parts if part)
        print(f"{plain(str(path))}  {understood.start_s:7.2f} s  {understood.text!r}: {what}")
    sys.stdout.flush()
