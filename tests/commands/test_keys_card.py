"""The card of calls and keys: complete, and as wide as a page."""

from __future__ import annotations

import pytest

from callout.commands.keys_card import HELPERS, card, keys, said, shown
from callout.game.profile.file import load_profile, profile_names
from callout.language.check import load_language
from callout.language.grammar import BEFORE_PART, language_folder
from callout.table.hands.key_card import league_keys
from callout.table.hands.keymap import HANDS
from callout.table.language import patterns_of
from tests.english import english_grammar

GRAMMAR = english_grammar()


def test_every_call_and_every_key_is_on_it(capsys: pytest.CaptureFixture[str]) -> None:
    assert card() == 0
    printed = capsys.readouterr().out
    for file in GRAMMAR.calls:
        assert all(line in printed for line in (*said(file).splitlines(), *keys(file.keys)))
    assert max(map(len, printed.splitlines())) <= 100


def test_the_calls_of_the_checklist_stand_apart(capsys: pytest.CaptureFixture[str]) -> None:
    assert card() == 0
    game, _, rest = capsys.readouterr().out.partition("Before the game, with 'callout before'")
    shown_there = rest.partition("Other keys")[0]
    before = load_language(language_folder(), BEFORE_PART)
    names = {path.stem for path in (language_folder() / BEFORE_PART).glob("*.yaml")}
    own = [file for file in before.calls if file.name in names]
    assert len(own) == len(names) > 5
    for file in own:
        for line in (*said(file).splitlines(), *keys(file.keys)):
            assert line in shown_there
    # In a game D is another key; what a game and its checklist share stands once.
    assert "D  done" not in game
    assert "U  undo that" in game
    assert "U  undo that" not in shown_there


def test_every_key_that_makes_no_call_by_itself_is_explained() -> None:
    assert set(HELPERS) == {target for target in HANDS.values() if not isinstance(target, str)}


def test_keys_are_named_as_on_a_keyboard() -> None:
    assert [shown(key) for key in ("p n", "left", "pagedown", "p pageup", "f2", "]")] == [
        "P N", "Left", "Page Down", "P Page Up", "F2", "]",
    ]  # fmt: skip


def test_its_legend_explains_every_brace() -> None:
    read = patterns_of(GRAMMAR).read
    places = [place for text in GRAMMAR.keys().values() for place in read(text).places]
    assert {place.slot for place in places if place.kind == "team"} == {"team", "to"}
    listed = {place.slot for place in places if place.kind == "listed"}
    assert listed == {"foul", "points", "made"}


# --- the examples of a league ---------------------------------------------------------------------


def examples(name: str) -> dict[str, str]:
    """What the card of a league has to say for each call, by the call's file."""
    profile = load_profile(name)
    return {file.name: text for file in GRAMMAR.calls if (text := said(file, profile))}


def test_3x3_has_the_examples_of_its_game() -> None:
    """3x3 rules table: three on court, one period, 21 points end the game."""
    shown = examples("fiba-3x3")
    assert shown["too_many_on"] == "guest too many players"
    assert shown["end_period"].splitlines()[0] == "end period"
    assert shown["set_score"] == "set home score nine"
    assert shown["check_score"] == "board shows guest nine"
    text = " ".join(shown.values())
    for never in ("quarter", "half", "six on court", "forty two", "hundred", "thirty one"):
        assert never not in text


@pytest.mark.parametrize(
    ("league", "said_there", "never"),
    [
        ("nfhs-2026", "end quarter", "half"),
        ("ncaa-men-2026", "end half", "quarter"),
        ("ncaa-women-2026", "end quarter", "half"),
        ("nfhs-halves", "end half", "quarter"),
    ],
)
def test_periods_are_called_as_the_league_calls_them(
    league: str, said_there: str, never: str
) -> None:
    """NFHS 5-5, NCAA men 5-7 and women 5-6: quarters, or halves."""
    text = "\n".join(examples(league).values())
    assert said_there in text.splitlines()
    assert never not in text


@pytest.mark.parametrize("league", profile_names())
def test_a_call_of_the_league_keeps_an_example_and_no_forbidden_shirt(league: str) -> None:
    """NFHS 3-4: shirts have no digit above 5."""
    profile, shown = load_profile(league), examples(league)
    for file in GRAMMAR.calls:
        if league_keys(file, patterns_of(GRAMMAR), profile):
            assert file.name in shown, file.name
    if league.startswith("nfhs"):
        numbers = [value for file in GRAMMAR.calls for example in file.examples
                   if example.say in shown.get(file.name, "").splitlines()
                   for value in example.slots.values() if isinstance(value, str)
                   and value.isdecimal()]  # fmt: skip
        assert len(numbers) > 10
        assert not [number for number in numbers if set(number) & set("6789")]
