"""Every word of a language that may be heard, with the place where it is written."""

from __future__ import annotations

from pathlib import Path

from callout.language.grammar import GameLists, Grammar, Scope
from callout.language.machine import Builder, Machine, words_of_text
from callout.language.source import Source


def words_of(grammar: Grammar, scope: Scope) -> dict[str, tuple[Path, int]]:
    """Every word that may be heard, with the file and line where it is written.

    A word that the game adds is in no file of the language: it has the line of a template.
    """
    places: dict[str, tuple[Path, int]] = {}
    heard = [each for each in (*grammar.templates, *grammar.decoys) if not each.typed]
    for template in heard:
        for word in words_of_text(template.tree):
            places.setdefault(word, (template.path, template.line))
    of_slots, lists = Source(grammar.folder / "slots.yaml"), GameLists(grammar, scope, None)
    for template in heard:
        machine = Machine()
        Builder(machine).add(0, template.tree, lists)
        words = {word for arcs in machine.words for word, _, _ in arcs}
        for word in words - places.keys():
            line = of_slots.words.get(word)
            places[word] = (of_slots.path, line) if line else (template.path, template.line)
    return places
