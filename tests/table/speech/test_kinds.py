"""The list of all that may be said, held against the language that must say it."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

import callout
from callout.game.notices.kinds import KINDS
from callout.game.notices.urgency import URGENCIES
from callout.language.grammar import language_folder
from callout.language.replies import Level
from callout.table.speech.kinds import ALL_KINDS, TALK_KINDS
from callout.table.talk.questions import ASKED
from tests.table.play import language

PACKAGE = Path(callout.__file__).parent


def test_the_talk_has_no_kind_of_the_game_s() -> None:
    assert not TALK_KINDS.keys() & KINDS.keys()


@pytest.mark.parametrize("code", ["en", "es"])
def test_a_language_says_these_kinds_and_no_others(code: str) -> None:
    """Against the file itself: a kind that is never made would never be missed."""
    source = (language_folder(code) / "replies.yaml").read_text(encoding="utf-8")
    written = yaml.safe_load(source)["kinds"]
    assert written.keys() == ALL_KINDS.keys()


def test_every_kind_is_made_somewhere() -> None:
    """A row that nothing makes is dead; whole names stand in the code, or a family's first part."""
    code = "".join(path.read_text(encoding="utf-8") for path in PACKAGE.rglob("*.py")
                   if path.name not in ("notice.py", "kinds.py", "urgency.py"))  # fmt: skip
    families = ("ask_", "kept_", "ear_", "said_", "spoke_", "agreed_")
    unmade = [k for k in ALL_KINDS if f'"{k}"' not in code and not k.startswith(families)]
    assert unmade == []


def test_every_kind_that_has_an_urgency_is_one() -> None:
    assert URGENCIES.keys() <= ALL_KINDS.keys()


def test_every_question_is_asked_and_has_an_end() -> None:
    for kind, slots in ASKED.items():
        assert ALL_KINDS[f"ask_{kind}"] == ALL_KINDS[f"kept_{kind}"] == slots


def test_nothing_is_longer_where_less_is_said() -> None:
    longer = []
    for kind, texts in language("nfhs-2026")[0].file.kinds.items():
        said = [texts.at(level) for level in Level]
        # A part in brackets may be left out, so only texts without any are compared.
        plain = [len(text) for text in said if "[" not in text]
        longer += [kind] if plain != sorted(plain) else []
    assert longer == []
