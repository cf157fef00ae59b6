"""Registries of small frozen dataclasses by name, which convert them to and from plain values."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping
from enum import Enum
from functools import cache
from typing import Any, Final, Generic, TypeVar

from pydantic import TypeAdapter, ValidationError

from callout.errors import CalloutError
from callout.game.fault import first_fault

T = TypeVar("T")


class Registry(Generic[T]):
    """The classes of one family by name; converts instances to and from plain values."""

    def __init__(self, family: str) -> None:
        self.family = family
        self._by_name: dict[str, type[T]] = {}
        self._names: dict[type[T], str] = {}
        self._fields: dict[str, frozenset[str]] = {}

    def add(self, name: str, cls: type[T]) -> type[T]:
        """Make `cls` a frozen dataclass, and register it as `name`."""
        made = dataclasses.dataclass(frozen=True, slots=True)(cls)
        self._by_name[name] = made
        self._names[made] = name
        self._fields[name] = frozenset(field.name for field in dataclasses.fields(made))  # type: ignore[arg-type]
        return made

    def members(self) -> Mapping[str, type[T]]:
        """Every class by its name."""
        return self._by_name

    def name(self, item: T) -> str:
        """The name of the item's class."""
        return self._names[type(item)]

    def fields(self, name: str) -> frozenset[str]:
        """The names of the fields of a class.

        Raises:
            CalloutError: no class has that name.
        """
        self._member(name)
        return self._fields[name]

    def load(self, name: str, fields: Mapping[str, Any]) -> T:
        """An instance of the class of that name, made from plain values.

        Raises:
            CalloutError: no class has that name, a field is unknown or missing, or a value is out
                of range.
        """
        unknown = sorted(fields.keys() - self.fields(name))
        if unknown:
            raise CalloutError(f"{self.family} {name!r} has no field {unknown[0]!r}")
        try:
            made: T = _adapter(self._member(name)).validate_python(dict(fields))
        except ValidationError as error:
            raise CalloutError(f"{self.family} {name!r}: {first_fault(error)}") from None
        return made

    def dump(self, item: T) -> dict[str, Any]:
        """The inverse of `load`: the fields as plain values, without those at their defaults."""
        return {
            field.name: self._plain(value)
            for field in dataclasses.fields(item)  # type: ignore[arg-type]
            if (value := getattr(item, field.name)) != field.default
        }

    def _plain(self, value: Any) -> Any:
        if isinstance(value, Enum):
            return value.value
        if isinstance(value, tuple):
            return [self._plain(item) for item in value]
        if type(value) in self._names:
            return {self.family: self.name(value), **self.dump(value)}
        return value

    def _member(self, name: str) -> type[T]:
        if name not in self._by_name:
            raise CalloutError(f"expected the name of a known {self.family}, got {name!r}")
        return self._by_name[name]


_adapter: Final[Callable[[Any], TypeAdapter[Any]]] = cache(TypeAdapter)
