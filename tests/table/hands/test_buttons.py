"""The words of buttons; each must be understood as its call, in every language."""

from __future__ import annotations

import dataclasses
import json
import re
from pathlib import Path

import pytest

import callout
from callout.game import calls
from callout.game.terms import Team
from callout.language.check import load_language
from callout.language.grammar import Scope, language_folder
from callout.language.parser import Parsed, Parser
from callout.language.scope import Sentences
from callout.language.typed import typed_words
from callout.table.hands.buttons import BUTTONS, button_words, page_texts

LANGUAGES = sorted(path.name for path in language_folder("en").parent.iterdir() if path.is_dir())
STATIC = Path(callout.__file__).parent / "edges" / "page" / "static"
MEANT = {
    "undo": calls.Undo(), "was team": calls.MakeTeam(Team.GUEST),
    "start clock": calls.StartClock(), "stop clock": calls.StopClock(),
    "timeout": calls.Timeout(Team.GUEST), "subs in": calls.SubsIn(), "end game": calls.EndGame(),
    "two": calls.Score(Team.GUEST, 2, "15"), "three": calls.Score(Team.GUEST, 3, "15"),
    "number": calls.Number("15"), "was number": calls.MakeNumber("15"),
}  # fmt: skip


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_button_s_words_are_its_call(language: str) -> None:
    grammar = load_language(language_folder(language))
    scope = Scope({Team.GUEST: ("15",)})
    parser, both = Parser(grammar, scope), Parser(grammar, scope, Sentences.BOTH)
    words = button_words(grammar)
    assert set(words) == {*BUTTONS, "home", "guest"}
    for button, meant in MEANT.items():
        said = words[button].replace("{team}", words["guest"]).replace("{number}", "15")
        parsed = parser.parse(typed_words(said, grammar.words))
        assert isinstance(parsed, Parsed), (button, said)
        assert parsed.calls == (meant,), (button, said)
    for button in set(BUTTONS) - set(MEANT):
        said = words[button].replace("{team}", words["guest"]).replace("{number}", "15")
        parsed = both.parse(typed_words(said, grammar.words))
        assert isinstance(parsed, Parsed), (button, said)
        assert "{" not in said


def test_a_language_that_lacks_a_call_has_no_words_for_it() -> None:
    grammar = load_language(language_folder("en"))
    less = dataclasses.replace(
        grammar, calls=tuple(file for file in grammar.calls if file.name != "undo")
    )
    assert set(button_words(grammar)) - set(button_words(less)) == {"undo"}


def test_the_first_of_several_ways_is_taken() -> None:
    grammar = load_language(language_folder("en"))
    undo = next(file for file in grammar.calls if file.name == "undo")
    other = undo.model_copy(update={"say": ("[oh [no]] (take|put) that back",)})
    assert button_words(dataclasses.replace(grammar, calls=(other,)))["undo"] == "take that back"


@pytest.mark.parametrize("language", sorted(set(LANGUAGES) - {"en"}))
def test_the_page_after_a_game_has_all_its_words(language: str) -> None:
    """Each English text of the page is translated, and nothing that does not stand there."""
    page, scripts = (STATIC / "after.html").read_text(), ""
    for name in ("after.js", "approval.js", "calls.js"):
        scripts += (STATIC / name).read_text()
    shown = set(re.findall(r"data-text>([^<]+)<", page))
    texts = page_texts(language_folder(language))
    assert shown <= set(texts)
    for english in set(texts) - shown:
        assert json.dumps(english) in scripts, english
    called = re.findall(
        r'(?:said|made|tell|put)\((?:"[a-z-]+", )?("[A-Z](?:[^"\\]|\\.)*")', scripts
    )
    assert {json.loads(each) for each in called} <= set(texts)
    assert page_texts(language_folder("en")) == {}
