"""The words of a page in any language: of calls that stand on buttons, and of its own texts."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from callout.game.terms import Team
from callout.language.grammar import Grammar
from callout.language.slots import Strict, listed
from callout.language.source import Source
from callout.reading import exists

BUTTONS: Final[Mapping[str, tuple[str, Mapping[str, object]]]] = {
    "undo": ("undo", {}), "was team": ("make_team", {}), "start clock": ("start_clock", {}),
    "stop clock": ("stop_clock", {}), "timeout": ("timeout", {}), "subs in": ("subs_in", {}),
    "score check": ("score_check", {}), "end game": ("end_game", {}), "yes": ("yes", {}),
    "no": ("no", {}), "two": ("score", {"points": 2}), "three": ("score", {"points": 3}),
    "foul": ("foul", {}), "number": ("number", {}), "was number": ("make_number", {}),
}  # fmt: skip
"""Each button with the file of its call, and the slots that it fills itself."""

NUMBERED: Final = frozenset({"two", "three", "foul", "number", "was number"})
"""The buttons of a player."""

_OPTION: Final = re.compile(r"\[([^\[\]]*)\]")
_CHOICE: Final = re.compile(r"\(([^()|]*)[^()]*\)")


def page_texts(folder: Path) -> PageFile:
    """The words of the pages, by the English ones; none for English itself.

    Raises:
        InputError: page.yaml of the language is wrong.
    """
    path = folder / "page.yaml"
    return Source(path).as_model(PageFile) if exists(path) else PageFile()


class PageFile(Strict):
    """page.yaml: what stands on a page, by what stands there in English.

    There {n} is a number, and {q} is what stands in quotation marks.
    """

    hall: Mapping[str, str] = {}
    """What the hall's page has; the other two have it, too."""
    partner: Mapping[str, str] = {}
    """What the partner's page has besides; so has the page after the game."""
    after: Mapping[str, str] = {}
    """What only the page after the game has."""
    setup: Mapping[str, str] = {}
    """What only the page has that sets a game up; it has what the others have, too."""

    def of_setup(self) -> dict[str, str]:
        """What stands on the page that sets a game up."""
        return {**self.hall, **self.partner, **self.after, **self.setup}


def button_words(grammar: Grammar) -> dict[str, str]:
    """For each button what it says, with {team} and {number} left open; and the teams' words.

    A call that a language lacks has no words.
    """
    files = {file.name: file for file in grammar.calls}
    made = {
        button: _words(grammar, files[name].say[0], slots, button in NUMBERED)
        for button, (name, slots) in BUTTONS.items()
        if name in files
    }
    teams = listed(grammar.slots.slots["team"])
    return {**made, **{team.value: teams[team.value][0] for team in Team}}


def _words(grammar: Grammar, template: str, slots: Mapping[str, object], numbered: bool) -> str:
    """The shortest sentence of a template that has the number, where it is one of a player's."""

    def kept(option: re.Match[str]) -> str:
        return option[1] if numbered and "{number}" in option[1] else " "

    while (shorter := _CHOICE.sub(r"\1", _OPTION.sub(kept, template))) != template:
        template = shorter
    for slot, value in slots.items():
        words = listed(grammar.slots.slots[slot])
        template = template.replace(f"{{{slot}}}", words[value][0])  # type: ignore[index]
    return " ".join(template.split())
