"""The words for people in one language, by their keys: papers, and questions at the terminal. Pure.

They stand in `words.yaml` of the language's folder; `language.words` reads it. What draws a paper
gets them from whoever asks for it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

_OPEN: Final = re.compile(r"""\B'[^']*'\B|"[^"]*"|U\+[0-9A-F]+|0x[0-9a-f]+|\d+(?:,\d{3})*""")
"""What differs in a text from time to time: what is quoted, and numbers; as texts.js has it."""
_NUMERAL: Final = re.compile(r"\d[\d,]*")


@dataclass(frozen=True)
class Words:
    """What is printed and asked in one language."""

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
    pages: Mapping[str, str] = field(default_factory=dict)
    """What the set-up page says of lists, by what it says in English; see `page_texts`."""
    yes: tuple[str, ...] = ()
    """The answers that mean yes, in lower case."""

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

    def said(self, english: str) -> str:
        """What the set-up page says for an English text about a list; without words the text."""
        given: dict[str, list[str]] = {"{n}": [], "{q}": []}

        def opened(part: re.Match[str]) -> str:
            place = "{n}" if _NUMERAL.fullmatch(part[0]) else "{q}"
            given[place].append(part[0])
            return place

        key = _OPEN.sub(opened, english)
        if key not in self.pages:
            return english
        return re.sub(r"\{[nq]\}", lambda place: given[place[0]].pop(0), self.pages[key])

    def agrees(self, answer: str) -> bool:
        """Whether an answer to a question is a yes."""
        return answer.strip().lower() in self.yes
