"""What practice tells the user to say is what the table understands."""

from __future__ import annotations

import random
import re
from itertools import islice
from pathlib import Path

import pytest

from callout.commands.practice import INVENTED, practice_words
from callout.game.calls import Call
from callout.game.fold import new_game
from callout.game.profile.file import load_profile, profile_names
from callout.language.check import open_language
from callout.language.grammar import Grammar, language_folder
from callout.language.parser import Parsed
from callout.language.replies import Replies
from callout.language.shipped import languages
from callout.practice import kinds
from callout.practice.drawing import Drawing
from callout.practice.facts import fact_of
from callout.practice.kinds import PRACTICE_KINDS
from callout.practice.lesson import lesson
from callout.practice.levels import LEVELS
from callout.practice.words import said
from callout.table.language import parsers_of, scope_of
from tests.conftest import GUEST, HOME

START = new_game(load_profile("youth-6-minute"), HOME, GUEST)
ASKED = {"en": r"say(?: only)?: (.+)\.$", "es": r"di(?: solo)?: (.+)\.$"}
"""How a lesson asks for words, by language."""


@pytest.fixture(params=languages())
def language(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture
def grammar(language: str) -> Grammar:
    return open_language(language_folder(language))


@pytest.fixture
def words(grammar: Grammar) -> Replies:
    return practice_words(grammar)


def words_for(words: Replies, call: Call) -> str:
    notice = said(fact_of(call))
    return words.say(notice.kind, notice.slots).lower()


def games() -> list[Call]:
    found: list[Call] = [call for play in lesson(START) for call in play.calls]
    for seed in range(20):
        drawing = Drawing(START, LEVELS[3], random.Random(seed))
        found += [call for play in islice(drawing.plays(), 80) for call in play.calls]
    return list(dict.fromkeys(found))


def test_the_words_of_each_call_make_a_call_of_the_same_fact(
    grammar: Grammar, words: Replies
) -> None:
    parser = parsers_of(grammar, scope_of(INVENTED)).calls
    found = games()
    assert len({type(call) for call in found}) >= 13
    for call in found:
        parsed = parser.parse(words_for(words, call).split())
        assert isinstance(parsed, Parsed), words_for(words, call)
        (made,) = parsed.calls
        fact, wanted = fact_of(made), fact_of(call)
        assert wanted.differs_in(fact) in ((), ("team",) if wanted.kind == "throw" else ())


@pytest.mark.parametrize("league", profile_names())
def test_every_play_of_every_league_has_words(league: str, words: Replies) -> None:
    start = new_game(load_profile(league), HOME, GUEST)
    for level in LEVELS.values():
        drawing = Drawing(start, level, random.Random(1))
        told = [*lesson(start), *islice(drawing.plays(), 60)]
        assert all(words.say(play.told.kind, play.told.slots).endswith(".") for play in told)


def test_a_lesson_says_the_words_that_it_waits_for(language: str, words: Replies) -> None:
    for play in lesson(START):
        if play.calls:
            told = words.say(play.told.kind, play.told.slots).lower()
            (asked,) = re.findall(ASKED[language], told)
            assert asked == words_for(words, play.calls[0])


def test_every_row_is_made_by_some_code() -> None:
    folder = Path(kinds.__file__).parent
    folders = (folder, folder.parent / "edges" / "practice")
    files = [path for each in folders for path in each.glob("*.py") if path.name != "kinds.py"]
    code = "".join(path.read_text(encoding="utf-8") for path in files)
    rows = {name for name, value in vars(kinds).items() if value in PRACTICE_KINDS.values()}
    assert {name for name in rows if f"kinds.{name}" not in code} == set()
