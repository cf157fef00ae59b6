"""The card of calls and keys on paper: one page for a league, in small or in large print."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from callout.commands.keys_card import HELPERS, card, league, shown
from callout.commands.pages import check_paper, forms, write_pages
from callout.edges.typesetting import typeset
from callout.errors import CalloutError
from callout.game.profile.profile import Profile
from callout.language.check import open_language
from callout.language.grammar import language_folder
from callout.paper.box_page import PAPERS
from callout.paper.card import CARD
from callout.table.hands.key_card import KeyRow, key_card
from callout.table.hands.keymap import HANDS, Hand
from callout.table.language import patterns_of

PLACES: Final[Mapping[str, str]] = {
    "team": "home",
    "to": "guest",
    "left_tenths": "time",
    "tenths": "number",
    "home": "number",
    "guest": "number",
    "entering": "number",
    "leaving": "number",
    "new": "number",
    "count": "number",
    "to_number": "number",
    "made": "good or missed",
}
"""What stands on the card for an open place; any other is called by its name."""

REMARKS: Final = (
    "Say the words, or press the key; two keys one after the other. What is in italics changes: "
    "{team} or guest (with the keys F or J, before the call's key or after it); a {number}, {time} "
    "or {points} (with the keys as digits, then Enter). What is in brackets may be left out.",
)
LARGE_REMARKS: Final = (
    "In italics is what changes. {team} or guest: F or J. {number}, {time}: digits, then Enter.",
)

Parts = list[dict[str, Any]]


LEAGUE: Final = "nfhs-2026"
"""The league of a printed card if none is named: a page cannot hold the calls of all."""


def run(name: str, pdf: bool, png: bool, large: bool, paper: str, to: Path | None) -> int:
    """What was asked for on the command line: the card on the terminal or on paper.

    Raises:
        CalloutError: the league or the paper is unknown, or a file cannot be written.
    """
    if pdf or png:
        return printed_card(league(name or LEAGUE), pdf, png, large, paper, to)
    if large:
        raise CalloutError("expected --pdf or --png with --large")
    return card(league(name) if name else None)


def printed_card(
    profile: Profile, pdf: bool, png: bool, large: bool, paper: str, to: Path | None
) -> int:
    """Write the card; the exit status.

    In large print it has the calls of one plain key, without those that are rare or heavy.

    Raises:
        CalloutError: the paper is unknown, or the file cannot be written.
    """
    check_paper(paper)
    data = card_page(profile, large, paper)
    name = f"callout-keys-{profile.name}{'-large' if large else ''}"
    for form in forms(pdf, png):
        write_pages((to or Path()) / f"{name}.{form.value}", typeset(CARD, data, form, 0))
    return 0


def card_page(profile: Profile, large: bool, paper: str) -> dict[str, Any]:
    """What stands on the card, for the template."""
    grammar = open_language(language_folder())
    groups = key_card(grammar, patterns_of(grammar), profile)
    rows = {title: [row for row in of if not (large and row.heavy)] for title, of in groups.items()}
    return {
        "paper": PAPERS[paper],
        "league": profile.title,
        "columns": 2 if large else 3,
        "largest": 18 if large else 11,
        "remark_size": 12 if large else 8,
        "remarks": [_parts(text) for text in (LARGE_REMARKS if large else REMARKS)],
        "groups": [
            {"title": title, "rows": list(map(_row, of))} for title, of in rows.items() if of
        ]
        + [{"title": "Other keys", "rows": list(_helpers(large))}],
    }


def _row(row: KeyRow) -> dict[str, Any]:
    return {"keys": [shown(key) for key in row.keys], "words": _parts(row.words)}


def _helpers(large: bool) -> Iterator[dict[str, Any]]:
    for key, target in HANDS.items():
        rare = target in (Hand.CHOOSE, Hand.TAP, Hand.TYPE, Hand.POINT)
        if not isinstance(target, str) and not (large and rare):
            yield {"keys": [shown(key)], "words": _parts(HELPERS[target])}


def _parts(words: str) -> Parts:
    """The words in pieces, the open places apart from the rest."""
    pieces: Sequence[str] = re.split(r"(\{\w+\})", words.replace("[", "(").replace("]", ")"))
    return [
        {"text": PLACES.get(name, name) if name != piece else piece, "open": name != piece}
        for piece in pieces
        if (name := piece.strip("{}"))
    ]
