"""YAML files, read with the line of every value, so that each mistake is reported with its line."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any, Final, TypeVar

import yaml
from pydantic import BaseModel, ValidationError
from yaml.constructor import SafeConstructor

from callout.errors import InputError
from callout.game.fault import first_fault
from callout.reading import DEEPEST, read_text

LOADER: Final = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
"""The one in C, if it is installed: it reads a language several times as fast."""

Keys = tuple[str | int, ...]
M = TypeVar("M", bound=BaseModel)


class Source:
    """One YAML file: its plain data and the line on which each part of it stands."""

    def __init__(self, path: Path) -> None:
        """Read the file.

        Raises:
            InputError: it is missing, not UTF-8 or not YAML; a key occurs twice, there is an alias,
                or parts are nested too deeply.
        """
        self.path = path
        self._lines: dict[Keys, int] = {(): 1}
        self.words: dict[str, int] = {}
        """Every word of a value, with the line of its first occurrence."""
        text = read_text(path)
        try:
            # A few short aliases can expand to more than fits into memory.
            _check_parts(path, yaml.parse(text, Loader=LOADER))
            node = yaml.compose(text, Loader=LOADER)
        except yaml.YAMLError as error:
            mark = getattr(error, "problem_mark", None)
            what = getattr(error, "problem", None) or "cannot be read"
            line = mark.line + 1 if mark else None
            raise InputError(path, f"expected YAML, got {what}", line) from None
        self.data: Any = None if node is None else self._plain(node, ())

    def line(self, *keys: str | int) -> int:
        """The line of the value at those keys, or of the nearest part around it."""
        while keys not in self._lines:
            keys = keys[:-1]
        return self._lines[keys]

    def error(self, what: str, *keys: str | int) -> InputError:
        """An error with the line of the value at those keys."""
        return InputError(self.path, what, self.line(*keys))

    def as_model(self, model: type[M]) -> M:
        """The data, validated by a model.

        Raises:
            InputError: at the first value that does not fit.
        """
        try:
            return model.model_validate(self.data)
        except ValidationError as error:
            fault = first_fault(error)
            raise self.error(str(fault), *fault.keys) from None

    def _plain(self, node: yaml.Node, keys: Keys) -> Any:
        self._lines[keys] = node.start_mark.line + 1
        if isinstance(node, yaml.SequenceNode):
            return [self._plain(item, (*keys, at)) for at, item in enumerate(node.value)]
        if isinstance(node, yaml.MappingNode):
            return self._mapping(node, keys)
        for word in node.value.lower().split():
            self.words.setdefault(word, node.start_mark.line + 1)
        return self._scalar(node)

    def _mapping(self, node: yaml.MappingNode, keys: Keys) -> dict[Any, Any]:
        plain: dict[Any, Any] = {}
        for key_node, value_node in node.value:
            key = self._scalar(key_node)
            if key in plain:
                line = key_node.start_mark.line + 1
                raise InputError(self.path, f"expected each key once, got {key!r} again", line)
            plain[key] = self._plain(value_node, (*keys, key))
            self._lines[(*keys, key)] = key_node.start_mark.line + 1
        return plain

    def _scalar(self, node: yaml.Node) -> Any:
        what = node.value if isinstance(node, yaml.ScalarNode) else "a list or a mapping"
        if isinstance(node, yaml.ScalarNode):
            # PyYAML raises all kinds of errors for a value that does not fit its tag.
            with suppress(ValueError, AttributeError, LookupError, ArithmeticError, yaml.YAMLError):
                return _scalar(node)
        line = node.start_mark.line + 1
        raise InputError(self.path, f"expected a plain value, got {what!r}", line)


def _check_parts(path: Path, events: Iterator[yaml.Event]) -> None:
    """Refuse aliases, and parts that are nested too deeply."""
    depth = 0
    for event in events:
        line = event.start_mark.line + 1 if event.start_mark else None
        if isinstance(event, yaml.AliasEvent):
            raise InputError(path, "expected each part written out, got an alias", line)
        depth += isinstance(event, yaml.CollectionStartEvent)
        depth -= isinstance(event, yaml.CollectionEndEvent)
        if depth > DEEPEST:
            raise InputError(path, f"expected parts at most {DEEPEST} deep, got deeper", line)


def _scalar(node: yaml.ScalarNode) -> Any:
    """The value of a scalar; of the words that YAML reads as booleans, only true and false are."""
    plain = node.tag == "tag:yaml.org,2002:str"
    if plain or (node.tag == "tag:yaml.org,2002:bool" and node.value not in ("true", "false")):
        return node.value
    return SafeConstructor().construct_object(node, deep=True)
