"""The calls and keys of a league, in groups, as they stand on a card of paper.

Everything comes from the grammar: a key with the words that it says, and how a call without a key
is said. A call that means nothing in the league is left out: a foul it does not have, a goal for
three, an arrow.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from callout.game.choices import Opening
from callout.game.profile.profile import Profile
from callout.game.terms import Award, FoulKind
from callout.game.values import SHIRTS
from callout.language.call_file import CallFile, Example, slot_named
from callout.language.grammar import Grammar
from callout.language.pattern import Pattern, Patterns

GROUPS: Final[Mapping[str, tuple[str, ...]]] = {
    "Score": ("score", "shot", "number", "no_basket", "count_it", "set_score", "check_score",
              "compare_book"),
    "Fouls": ("foul", "award", "double_foul", "lane_violation", "delay_warning"),
    "Clock and periods": (
        "start_clock", "stop_clock", "dead_ball", "start_period", "end_period", "end_game",
        "set_clock", "check_clock", "adjust_clock", "suspend", "forfeit",
        "hand_over", "approve",
    ),
    "Time-outs and substitutes": (
        "timeout", "timeout_over", "timeout_waiting", "timeout_withdrawn", "official_timeout",
        "sub_waiting", "subs_in", "sub_withdrawn", "substitution", "sub_of",
    ),
    "Possession": ("tip", "held_ball", "set_arrow", "switch_arrow", "throw_in_violation"),
    "Mistakes": (
        "undo", "put_back", "make_number", "make_team", "make_points", "put_right", "correct",
        "last_number", "last_team", "cancel", "mark",
        "signed",
    ),
    "Questions to you": ("yes", "no", "earlier", "later", "answer", "pick", "referee_told"),
    "Your questions": ("ask",),
    "Players": ("add_player", "starter", "change_shirt", "hurt", "send_off", "too_many_on"),
    "Voice and ear": (),
}  # fmt: skip
"""The kinds of calls in each group; those of no group stand in the last one."""

Values = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class KeyRow:
    """A call on the card."""

    words: str
    """What is said, with the names of open places in braces: `{team} two [{number}]`."""
    keys: tuple[str, ...] = ()
    """The key, or the two keys one after the other; empty for a call that has none."""
    heavy: bool = False
    """Whether it takes two keys, or Shift: a call that is rare or must not happen by mistake."""


def key_card(grammar: Grammar, patterns: Patterns, profile: Profile) -> dict[str, list[KeyRow]]:
    """The rows of each group that has any, in the order of `GROUPS`."""
    groups: dict[str, list[KeyRow]] = {title: [] for title in GROUPS}
    order = [name for names in GROUPS.values() for name in names]
    kinds = {file.name: _kind(file) for file in grammar.calls}
    known = sorted(
        (file for file in grammar.calls if kinds[file.name]),
        key=lambda file: order.index(kinds[file.name]) if kinds[file.name] in order else len(order),
    )
    last = list(GROUPS)[-1]
    for file in known:
        title = next((each for each, of in GROUPS.items() if kinds[file.name] in of), last)
        groups[title] += _rows(file, patterns, profile)
    # What is rare or heavy stands below the rest of its group.
    return {
        title: sorted(rows, key=lambda row: row.heavy) for title, rows in groups.items() if rows
    }


def _kind(file: CallFile) -> str:
    """The kind of call that a file makes; empty in a grammar without calls."""
    return next(iter(file.does), "") if file.does else ""


def _rows(file: CallFile, patterns: Patterns, profile: Profile) -> Iterator[KeyRow]:
    for key, text in league_keys(file, patterns, profile).items():
        pressed = tuple(key.split())
        heavy = len(pressed) > 1 or _shifted(pressed[0])
        # A number that describes a line of a book never follows the call.
        describes = _kind(file) in ("put_right", "compare_book")
        words = text if describes else _words(patterns.read(text))
        yield KeyRow(words, pressed, heavy)
    if not file.keys:
        yield from (KeyRow(example) for example in league_examples(file, profile)[:1])


def league_keys(file: CallFile, patterns: Patterns, profile: Profile) -> dict[str, str]:
    """The keys of a call that mean something in a league, each with its words."""
    return {
        key: text
        for key, text in file.keys.items()
        if league_has(profile, _kind(file), _values(file, patterns.read(text).slots))
    }


def league_examples(file: CallFile, profile: Profile) -> list[str]:
    """The examples of a call that may be said in a game of a league."""
    return [example.say for example in file.examples if _possible(profile, file, example)]


def _possible(profile: Profile, file: CallFile, example: Example) -> bool:
    """Whether an example means something in a league, and names no shirt that it forbids."""
    shirts = [value for value in example.slots.values() if value in SHIRTS]
    same = (
        example.only.periods in (None, profile.periods.count)
        and example.only.on_court in (None, profile.roster.on_court)
        and set(shirts) <= set(profile.legal_numbers())
    )
    return same and league_has(profile, _kind(file), _values(file, example.slots))


def _words(pattern: Pattern) -> str:
    """The words of a key, with a shirt number that may follow."""
    number = any(place.kind == "shirt" for place in pattern.options)
    return f"{pattern.text} [{{number}}]" if number else pattern.text


def _shifted(key: str) -> bool:
    """Whether a key needs Shift on a keyboard of the United States."""
    return re.fullmatch(r'[!@#$%^&*()_+{}|:"<>?~]', key) is not None


def _values(file: CallFile, slots: Values) -> Values:
    """The fields of a call: those that its file fixes, and those that the slots give."""
    does = file.does or {}
    fields = next(iter(does.values()), {})
    named = {key: slot_named(value) for key, value in fields.items()}
    return {
        key: slots.get(slot) if (slot := named[key]) else value for key, value in fields.items()
    }


def league_has(profile: Profile, kind: str, values: Values) -> bool:
    """Whether a call means something in a league; `values` are its fields as far as known."""
    if kind in ("score", "make_points"):
        goals = (*profile.goals.field, profile.goals.throw)
        return values.get("points") is None or values["points"] in goals
    if kind == "foul":
        given = values.get("foul")
        return given is None or FoulKind(given) in profile.fouls.kinds
    if kind == "award":
        given = values.get("award")
        return given is None or Award(given) in _awards(profile)
    if kind == "timeout":
        # Where there is one kind, nobody says which.
        kinds = profile.timeouts.kinds
        return values.get("length") is None or (values["length"] in kinds and len(kinds) > 1)
    if kind in ("set_score", "check_score", "compare_book"):
        score = None if values.get("figure") else values.get("points", values.get("count"))
        return (
            _can_be_score(profile, score) and (values.get("period") or 1) <= profile.periods.count
        )
    arrow = kind in ("set_arrow", "switch_arrow", "throw_in_violation")
    # Without an arrow a held ball is nobody's.
    held = kind == "put_right" and values.get("entry") == "held" and not values.get("off")
    if arrow or held or (kind == "ask" and values.get("topic") == "arrow"):
        return profile.arrow.used
    tip = kind == "tip" or (kind == "put_right" and values.get("entry") == "tip")
    return not tip or Opening.JUMP in (*profile.arrow.openings, profile.arrow.overtime)


def _can_be_score(profile: Profile, points: int | None) -> bool:
    """Whether a team can have that score: a target ends the game with the goal that reaches it.

    The last goal may count more than what was missing.
    """
    target = profile.goals.target
    return not target or points is None or points < target + max(profile.goals.field)


def _awards(profile: Profile) -> frozenset[Award]:
    """The awards that a league knows.

    For a foul on a shot that missed there are as many throws as the goal would have counted, and
    one where it was made.
    """
    tiers = (*profile.penalty.tiers, *profile.penalty.overtime_tiers)
    shots = {Award.ONE, Award.TWO} | ({Award.THREE} if 3 in profile.goals.field else set())
    kinds = {rule.award for rule in profile.fouls.kinds.values()}
    return frozenset({Award.NONE, *shots, *kinds, *(tier.award for tier in tiers)})
