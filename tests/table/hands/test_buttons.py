"""The words of buttons; each must be understood as its call, in every language."""

from __future__ import annotations

import dataclasses
import json
import re
from pathlib import Path

import pytest

import callout
from callout.edges.live.page import PAUSES, period_name
from callout.edges.live.screen import next_foul, number_missing
from callout.edges.page.answers import TOLD
from callout.game import calls
from callout.game.terms import Award, Team
from callout.language.check import load_language
from callout.language.grammar import Scope, language_folder
from callout.language.parser import Parsed, Parser
from callout.language.scope import Sentences
from callout.language.typed import typed_words
from callout.table.hands.buttons import BUTTONS, PageFile, button_words, page_texts

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


def stands_on(page: str, *scripts: str) -> tuple[set[str], str]:
    """The texts of a page that are marked for translation, and what its scripts are."""
    html = (STATIC / f"{page}.html").read_text()
    texts = re.findall(r"data-text>([^<]+)<", html)
    labels = re.findall(r'aria-label="([^"]+)" data-described', html)
    assert len(labels) == html.count("aria-label="), "one is not translated"
    return {*texts, *labels}, "".join((STATIC / f"{name}.js").read_text() for name in scripts)


def of_the_game() -> set[str]:
    """What the table tells the pages in English, with {n} for its numbers."""
    told = {period_name(period, 4) for period in range(1, 7)}
    told |= {*PAUSES.values(), "running", "stopped"}
    told |= {next_foul({"penalty": {"home": award.value}}, "home") for award in Award}
    return {re.sub(r"\d+", "{n}", each) for each in told}


def of_the_partner() -> set[str]:
    """What the table tells the partner of lines that lack a number."""
    told = (number_missing({"open": {"home": {"points": n, "fouls": n}}}, "home") for n in (1, 2))
    return {re.sub(r"\d+", "{n}", each) for both in told for each in both.split(", ")}


@pytest.mark.parametrize("language", sorted(set(LANGUAGES) - {"en"}))
def test_the_pages_have_all_their_words(language: str) -> None:
    """Each English text of a page is translated, and nothing that does not stand there."""
    texts = page_texts(language_folder(language))
    told = (of_the_game(), {*of_the_partner(), *TOLD}, set[str]())
    of_pages = (
        (texts.hall, "hall", ("hall", "page")),
        (texts.partner, "partner", ("partner", "page", "calls")),
        (texts.after, "after", ("after", "approval", "page", "calls")),
    )
    known: set[str] = set()
    for (new, page, names), also in zip(of_pages, told, strict=True):
        marked, scripts = stands_on(page, *names)
        assert known.isdisjoint(new), "it is translated already"
        known |= set(new)
        said = r'(?:said|made|tell|put|write)\((?:"[a-z-]+", )?("[A-Z](?:[^"\\]|\\.)*")'
        called = {json.loads(each) for each in re.findall(said, scripts)}
        assert {*marked, *called, *also} <= known
        for english in set(new) - marked - also:
            # What has a number begins a text of the script.
            begins = english.partition("{n}")[0]
            stands = f"`{begins}" if begins != english else json.dumps(english)
            assert stands in scripts, english
    assert page_texts(language_folder("en")) == PageFile()
