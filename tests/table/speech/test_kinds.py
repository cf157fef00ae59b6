"""The rows of all that may be said, held against the languages that must say it and the code."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest
import yaml

import callout
from callout.game.decisions.refusals import REFUSAL_KINDS
from callout.game.kind import Kind, Rank
from callout.game.notices.kinds import BOARD_ARROW, KINDS
from callout.game.terms import Manner, SayMuch
from callout.language.grammar import language_folder
from callout.language.replies import Level
from callout.table.speech import kinds
from callout.table.speech.kinds import ALL_KINDS, SAID, SPOKE, TALK_KINDS
from callout.table.talk import question_kinds
from callout.table.talk.question_kinds import QUESTION_KINDS, TAKEN_UP, QuestionKind
from tests.table.play import language

PACKAGE = Path(callout.__file__).parent
ROWS = ("kinds.py", "refusals.py", "question_kinds.py")
"""The files of the rows, which make nothing."""
LANGUAGES = sorted(path.name for path in language_folder().parent.iterdir() if path.is_dir())


def test_nothing_is_on_two_lists() -> None:
    asked = [kind for q in QUESTION_KINDS for kind in (q.ask, q.kept, q.agreed) if kind]
    assert len(ALL_KINDS) == len(KINDS) + len(TALK_KINDS) + len(asked)


@pytest.mark.parametrize("code", LANGUAGES)
def test_a_language_says_these_kinds_and_no_others(code: str) -> None:
    """Against the file itself: a kind that is never made would never be missed."""
    source = (language_folder(code) / "replies.yaml").read_text(encoding="utf-8")
    written = yaml.safe_load(source)["kinds"]
    assert written.keys() == ALL_KINDS.keys()


def named() -> set[str]:
    """Every name in the code beside the rows."""
    found: set[str] = set()
    for path in sorted(PACKAGE.rglob("*.py")):
        if path.name in ROWS:
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            match node:
                case ast.Attribute(attr=name) | ast.Name(id=name):
                    found.add(name)
    return found


def test_every_kind_is_made_somewhere() -> None:
    """A row that nothing makes is dead."""
    code = named()
    steps = {*SAID.values(), *SPOKE.values()}
    rows = [kind for kind in (*KINDS, *TALK_KINDS, *QUESTION_KINDS) if kind not in steps]
    assert [kind for kind in rows if kind.upper() not in code] == []


def test_every_step_has_its_echo() -> None:
    assert set(SAID) == set(SayMuch)
    assert set(SPOKE) == set(Manner)
    assert all(kind == f"said_{much.value}" for much, kind in SAID.items())
    assert all(kind == f"spoke_{manner.value}" for manner, kind in SPOKE.items())


@pytest.mark.parametrize("module", [kinds, question_kinds])
def test_every_row_stands_under_its_own_name(module: object) -> None:
    rows = vars(module).items()
    named = {name: row for name, row in rows if isinstance(row, Kind | QuestionKind)}
    assert len(named) > 20
    assert all(row == name.lower() for name, row in named.items())


def test_every_question_is_asked_and_has_an_end() -> None:
    for kind in QUESTION_KINDS:
        assert (kind.ask, kind.kept) == (f"ask_{kind}", f"kept_{kind}")
        assert (kind.ask.rank, kind.kept.rank) == (Rank.ASK, Rank.ECHO)
        assert kind.ask.slots == kind.kept.slots


def test_what_a_game_is_taken_up_with_is_every_question_of_that_name() -> None:
    assert set(TAKEN_UP) == {kind for kind in QUESTION_KINDS if kind.startswith("carry_on")}


def test_open_numbers_are_told_after_the_board() -> None:
    assert (kinds.STILL_OPEN.lasts, kinds.STILL_OPEN.place > BOARD_ARROW.place) == (True, True)


def test_refusals_of_the_talk_are_not_those_of_the_book() -> None:
    assert not REFUSAL_KINDS.keys() & TALK_KINDS.keys()


def test_nothing_is_longer_where_less_is_said() -> None:
    longer = []
    for kind, texts in language()[0].file.kinds.items():
        said = [texts.at(level) for level in Level]
        # A part in brackets may be left out, so only texts without any are compared.
        plain = [len(text) for text in said if "[" not in text]
        longer += [kind] if plain != sorted(plain) else []
    assert longer == []
