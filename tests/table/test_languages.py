"""Every language that comes with the program, and one game called in two of them.

That Spanish speech is recognized could not be tried: its recognizer is not among the models here.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from callout.game.kind import Rank
from callout.language.check import load_language
from callout.language.grammar import Grammar, language_folder
from callout.language.replies import Level, Replies
from callout.language.slots import Words
from callout.table.book.journal import Journal
from callout.table.language import keys_of, menu_of, replies_of
from callout.table.scripts.script import Runner, read_script
from callout.table.speech.kinds import ALL_KINDS
from callout.table.view import view

LANGUAGES = sorted(path.name for path in language_folder().parent.iterdir() if path.is_dir())
TESTS = Path(__file__).parents[1]
DEMO = {"en": TESTS / "games/demo.game", "es": TESTS / "language/es/demo.game"}


@pytest.fixture(params=LANGUAGES)
def spoken(request: pytest.FixtureRequest) -> Grammar:
    """Each language in turn, wholly checked."""
    return load_language(language_folder(request.param))


def test_there_is_more_than_one() -> None:
    assert {"en", "es"} <= set(LANGUAGES)


def test_each_says_all_that_is_said_and_what_is_urgent_at_every_level(spoken: Grammar) -> None:
    texts = replies_of(spoken).file.kinds
    assert texts.keys() == ALL_KINDS.keys()
    loud = {name for name, kind in ALL_KINDS.items() if kind.rank is not Rank.ECHO}
    loud |= {kind for kind in ALL_KINDS if kind.startswith("kept_")}
    assert [(k, at) for k in sorted(loud) for at in Level if not texts[k].at(at)] == []


def test_each_has_keys_and_a_menu_for_one_switch(spoken: Grammar) -> None:
    assert {"first", "asked"} <= menu_of(spoken).keys()
    assert {"space", "tab", "f", "j", "y", "n"} <= keys_of(spoken).keys.keys()


def played(language: str) -> Runner:
    grammar = load_language(language_folder(language))
    script = read_script(DEMO[language])
    runner = Runner(script, grammar, Journal.in_memory(script.setup))
    for line in script.lines:
        if line.mark:
            runner.expect(line)
        else:
            runner.play(line)
    return runner


def book(runner: Runner) -> dict[str, object]:
    """All that the game came to, but for the words of what was said."""
    game = runner.session.game
    return view(game, runner.session.now().left_tenths)


def test_the_same_game_in_another_language_is_the_same_book() -> None:
    one, other = played("en"), played("es")
    calls = [[(e.call, e.at, e.events) for e in each.session.entries] for each in (one, other)]
    assert calls[0] == calls[1]
    assert len(calls[0]) > 150
    assert one.differences == other.differences == []
    assert book(one) == book(other)


def words_in(replies: Replies, words: Words) -> set[str]:
    """Every word that a language has for what it says back."""
    file = replies.file
    texts = [text for kind in file.kinds.values() for text in kind.model_dump().values() if text]
    texts += [text for role in file.terms.values() for text in role.values()]
    texts += [words.count(n) for n in range(200)] + [words.ordinal(n) for n in range(1, 13)]
    texts += [words.clock(tenths) for tenths in (*range(600), *range(600, 12_000, 10))]
    texts += [words.digits(str(n)) for n in range(100)] + [
        file.nothing,
        *replies.team_names.values(),
    ]
    return {word for text in texts for word in split(text)}


def split(text: str) -> list[str]:
    return re.findall(r"\w+", re.sub(r"\{[^}]*\}", " ", text.lower()))


def test_nothing_is_said_in_english_where_spanish_is_spoken() -> None:
    runner = played("es")
    known = words_in(runner.session.speaker.replies, load_language(language_folder("es")).words)
    said = [each.text for each in runner.session.journal.replies() if each.text]
    assert len(said) > 150
    assert {word for text in said for word in split(text)} <= known
    english = words_in(
        replies_of(load_language(language_folder())), load_language(language_folder()).words
    )
    # What both languages write alike is only this.
    assert known & english <= {"a", "bonus", "control", "legal", "no", "pedal", "personal"}


@pytest.mark.parametrize(
    ("number", "said"),
    # Real Academia Española, Ortografía: one word to thirty, then with "y"; cien alone, ciento
    # before others.
    [(0, "cero"), (16, "dieciséis"), (22, "veintidós"), (30, "treinta"), (31, "treinta y uno"),
     (99, "noventa y nueve"), (100, "cien"), (101, "ciento uno"), (123, "ciento veintitrés"),
     (200, "doscientos")],
)  # fmt: skip
def test_spanish_numbers(number: int, said: str) -> None:
    assert load_language(language_folder("es")).words.count(number) == said


def test_a_spanish_question_begins_with_its_mark_and_a_capital() -> None:
    replies = replies_of(load_language(language_folder("es")))
    asked = replies.say("ask_number", {"numbers": ("15", "50")})
    assert asked == "¿Quince, o cincuenta?"


def test_each_counts_as_far_as_a_game_may_come(spoken: Grammar) -> None:
    """Source: 999 is more than any game brings, common practice; 300 ended a game once."""
    said = {spoken.words.count(number) for number in range(1000)}
    assert len(said) == 1000
    assert not any(re.search(r"[\d-]", words) for words in said)
