"""The words for people in one language, by their keys: what stands on papers. Pure.

They stand in `words.yaml` of the language's folder; `language.words` reads it. What draws a paper
gets them from whoever asks for it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Words:
    """What is printed in one language."""

    language: str
    """Its code."""
    texts: Mapping[str, str]
    """Each text by its key; what is open in it stands in braces: `number {number}`."""
    roles: Mapping[str, str] = field(default_factory=dict)
    """The officials' roles, by the words of a league's profile; none in the profiles' language."""
    calls: Mapping[str, str] = field(default_factory=dict)
    """The calls, by the names of their files; a call without words has that name."""
    items: Mapping[str, str] = field(default_factory=dict)
    """The items of the checklist before a game; one without words has its name."""

    def __call__(self, key: str, **given: object) -> str:
        """The text of a key, with what is given in its open places.

        Raises:
            KeyError: there is no such text, or nothing is given for one of its places.
        """
        return self.texts[key].format_map(given)

    def count(self, key: str, count: int, **given: object) -> str:
        """The text for a number of things: that of `key_one` for one of them."""
        return self(f"{key}_one" if count == 1 else key, count=count, **given)

    def role(self, role: str) -> str:
        """An official's role; one that a league of somebody's own has is shown as it is."""
        return self.roles.get(role, role)

    def call(self, name: str) -> str:
        """What a call is named."""
        return self.calls.get(name, name.replace("_", " "))
