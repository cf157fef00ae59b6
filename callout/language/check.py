"""The rules for a whole language, checked when a person's own is loaded; the tests of the program
check those that come with it.

- Each example makes its call, each refused text does not, each key makes the call of its file.
- No sentence belongs to two calls.
- Without an open question no call of a game is a single word, because the ear is weak at short
  lone words. Before a game there are few calls, and none of them is hard to take back.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import chain
from pathlib import Path
from typing import Final

from callout.errors import InputError
from callout.game.terms import Team
from callout.game.values import SHIRTS
from callout.language.call_file import CallFile
from callout.language.folder import load_grammar
from callout.language.grammar import CALLS_PART, Grammar, Scope
from callout.language.machine import Machine, follow
from callout.language.parser import Ambiguous, Parsed, Parser
from callout.language.pattern import PatternError, Patterns
from callout.language.scope import Sentences
from callout.language.shipped import is_shipped, kept_if_shipped
from callout.language.source import Source

MOST_GROUPS: Final = 20_000
"""Beginnings of sentences that can go on in different ways; English has 4,600."""

SOME_NUMBERS: Final = frozenset({"0", "00", "5", "11", "23", "30"})
"""Shirt numbers of every shape; those of the examples are added."""


def open_language(folder: Path, part: str = CALLS_PART) -> Grammar:
    """The language in a folder, or one part of it; all checks unless it comes with the program.

    Raises:
        InputError: a file is missing or wrong; `path:line: …`.
    """
    # The checks need 0.6 s of processor time, to read English needs 0.1 s. Of the languages of the
    # program they are made by `tests/language/test_shipped.py`, not at the start of each command.
    return load_grammar(folder, part) if is_shipped(folder) else load_language(folder, part)


def load_language(folder: Path, part: str = CALLS_PART) -> Grammar:
    """The language in a folder, or one part of it, with all checks.

    Raises:
        InputError: a file is missing or wrong; `path:line: …`.
    """
    return _load(folder, part)


@kept_if_shipped
def _load(folder: Path, part: str) -> Grammar:
    grammar = load_grammar(folder, part)
    scope = _scope(grammar)
    if part == CALLS_PART:
        check_long(grammar, scope)
    paths = [_path(grammar, index) for index in range(len(grammar.calls))]
    for which in (Sentences.CALLS, Sentences.ANSWERS):
        check_shared(grammar, scope, which)
        parser = Parser(grammar, scope, which)
        for file, path in zip(grammar.calls, paths, strict=True):
            if file.sentences is which:
                _check_call(parser, file, path)
    _check_keys(grammar, paths)
    return grammar


def _check_keys(grammar: Grammar, paths: Sequence[Path]) -> None:
    """Check that each key makes the call of its file, with only values left open."""
    patterns = Patterns(grammar)
    for file, path in zip(grammar.calls, paths, strict=True):
        for key, text in file.keys.items():
            try:
                name = grammar.calls[patterns.read(text).index].name
            except PatternError as error:
                raise Source(path).error(str(error), "keys", key) from None
            if name != file.name:
                what = f"expected {file.name!r}, got {name!r} from {text!r}"
                raise Source(path).error(what, "keys", key)


def _path(grammar: Grammar, index: int) -> Path:
    """The file of a call; each has a template."""
    return next(each.path for each in grammar.templates if each.call == index)


def _scope(grammar: Grammar) -> Scope:
    """A game in which every shirt number of the examples may be said."""
    named = {
        str(value)
        for file in grammar.calls
        for example in file.examples
        for value in example.slots.values()
        if value in SHIRTS
    }
    numbers = tuple(sorted(SOME_NUMBERS | named)) if grammar.slots.counts else ()
    return Scope(dict.fromkeys(Team, numbers))


def _check_call(parser: Parser, file: CallFile, path: Path) -> None:
    for at, example in enumerate(file.examples):
        result = parser.parse(example.say)
        place = ("examples", at)
        if isinstance(result, Ambiguous):
            what = f"expected one reading of {example.say!r}, got two"
            raise Source(path).error(what, *place)
        if not isinstance(result, Parsed) or len(result.sentences) != 1:
            what = f"expected one {file.name!r}, got {example.say!r}"
            raise Source(path).error(what, *place)
        (sentence,) = result.sentences
        if (sentence.name, dict(sentence.slots)) != (file.name, dict(example.slots)):
            got = f"{sentence.name!r} with {dict(sentence.slots)}"
            what = f"expected {file.name!r} with {dict(example.slots)}, got {got}"
            raise Source(path).error(what, *place)
    for at, text in enumerate(file.refused):
        result = parser.parse(text)
        if isinstance(result, Parsed) and any(s.name == file.name for s in result.sentences):
            what = f"expected no {file.name!r}, got one from {text!r}"
            raise Source(path).error(what, "refused", at)


def check_shared(grammar: Grammar, scope: Scope, which: Sentences) -> None:
    """Check that every sentence belongs to one call or decoy; a decoy may be a call once it is
    typed, where nobody else's talk is heard.

    Raises:
        InputError: one does not; the sentence and the calls are named.
    """
    for typed in (False, True):
        _check_alone(grammar, grammar.machine(scope, which, with_decoys=not typed, typed=typed))


def _check_alone(grammar: Grammar, machine: Machine) -> None:
    @cache
    def reached(state: int) -> tuple[int, ...]:
        """The states reached without a word, of these such as a sentence goes on or ends at."""
        after = follow(machine, (state,))
        return tuple(at for at in after if machine.words[at] or at in machine.finals)

    start = frozenset(reached(0))
    said: dict[frozenset[int], tuple[str, ...]] = {start: ()}
    todo = [start]
    for group in todo:
        if len(todo) > MOST_GROUPS:
            what = f"expected fewer ways to say all, got more than {MOST_GROUPS:,} beginnings"
            raise _at(grammar, 0, what)
        calls = sorted({machine.finals[state] for state in group & machine.finals.keys()})
        words = said[group]
        if len(calls) > 1:
            names = " and ".join(_name(grammar, call) for call in calls)
            raise _at(grammar, calls[-1], f"expected one call for each sentence, got {names} "
                      f"for {' '.join(words)!r}")  # fmt: skip
        targets: dict[str, set[int]] = {}
        for state in group:
            for word, to, _ in machine.words[state]:
                targets.setdefault(word, set()).add(to)
        for word, states in targets.items():
            after = frozenset(chain.from_iterable(map(reached, states)))
            if after not in said:
                said[after] = (*words, word)
                todo.append(after)


def check_long(grammar: Grammar, scope: Scope) -> None:
    """Check that every call that may be heard has two words or more.

    Raises:
        InputError: one has one word.
    """
    machine = grammar.machine(scope, with_decoys=True)
    for state in follow(machine, (0,)):
        for word, to, _ in machine.words[state]:
            for end in follow(machine, (to,)) & machine.finals.keys():
                what = f"expected two words or more, got {word!r}"
                raise _at(grammar, machine.finals[end], what)


def _name(grammar: Grammar, call: int) -> str:
    return (
        f"a decoy of {grammar.calls[~call].name!r}" if call < 0 else repr(grammar.calls[call].name)
    )


def _at(grammar: Grammar, call: int, what: str) -> InputError:
    some, place = (grammar.decoys, ~call) if call < 0 else (grammar.templates, call)
    template = next(each for each in some if each.call == place)
    return InputError(template.path, what, template.line)
