"""`callout keys` without a file: a card of all calls, how each is said, and its keys."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Final

from rich.console import Console
from rich.table import Table
from rich.text import Text

from callout.errors import CalloutError
from callout.game.profile.file import load_profile, profile_names, unlisted
from callout.game.profile.profile import Profile
from callout.game.terms import Team
from callout.language.call_file import CallFile
from callout.language.check import open_language
from callout.language.grammar import BEFORE_PART, Grammar, language_folder
from callout.table.hands.key_card import league_examples, league_keys
from callout.table.hands.key_help import shown as shown
from callout.table.hands.keymap import HANDS, Hand, Target
from callout.table.language import patterns_of

MOST_EXAMPLES: Final = 2
"""Ways to say a call that fit beside its keys; the rest stand in its file of `grammars/en`."""

HELPERS: Final[Mapping[Target, str]] = {
    Team.HOME: "home",
    Team.GUEST: "guest",
    Hand.DONE: "ends a number or a time",
    Hand.POINT: "stands before the tenths of a time",
    Hand.CLEAR: "forgets what was begun",
    Hand.TAP: "opens the ear, and closes it: with --ear hold or tap",
    Hand.CHOOSE: "one switch: reads the choices, and takes the one just read",
    Hand.TYPE: "lets you type a call in words",
    Hand.HELP: "says what may be pressed or said now",
}
"""What the keys do that make no call by themselves."""

LEGEND: Final = """\
{team}, {to}: F or J, before the key or after it. {foul}, {points}, {made}: the key of that foul,
goal or shot, such as I, S or W.
Other braces: digits, then Enter. P N: two keys, one after the other."""


def card(profile: Profile | None = None) -> int:
    """Print the card, of a league if one is given; the exit status."""
    game = open_language(language_folder())
    before = open_language(language_folder(), BEFORE_PART)
    known = {file.name for file in game.calls}
    checklist = [file for file in before.calls if file.name not in known]
    tables = (
        _calls("Calls", game, game.calls, profile),
        _calls("Before the game, with 'callout before'", before, checklist, profile),
    )
    helpers = Table("Key", "Does", title="Other keys", title_justify="left")
    for key, target in HANDS.items():
        if not isinstance(target, str):  # Digits stand for themselves.
            helpers.add_row(Text(shown(key)), Text(HELPERS[target]))
    console = Console(width=100, highlight=False)
    console.print(*tables, helpers)
    console.print(LEGEND, markup=False)
    return 0


def _calls(
    title: str, grammar: Grammar, files: Iterable[CallFile], profile: Profile | None
) -> Table:
    # Without room at its edges the longest rows fit the page.
    table = Table("Say, for example", "Press", title=title, title_justify="left", pad_edge=False)
    for file in files:
        found = league_keys(file, patterns_of(grammar), profile) if profile else file.keys
        if examples := said(file, profile):
            table.add_row(Text(examples), Text("\n".join(keys(found))))
    return table


def said(file: CallFile, profile: Profile | None = None) -> str:
    """The first examples of a call."""
    every = [example.say for example in file.examples]
    return "\n".join((league_examples(file, profile) if profile else every)[:MOST_EXAMPLES])


def keys(found: Mapping[str, str]) -> Iterator[str]:
    """Each key of a call, with what it says."""
    for key, text in found.items():
        yield f"{shown(key)}  {text}"


def league(name: str) -> Profile:
    """The league of that name.

    Raises:
        CalloutError: there is none.
    """
    if name not in profile_names():
        raise CalloutError(f"--league: {unlisted(name)}")
    return load_profile(name)
