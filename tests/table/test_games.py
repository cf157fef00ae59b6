"""Every game script: the book must be as the script says, line by line."""

from __future__ import annotations

from pathlib import Path

import pytest

from callout.game.fold import fold
from callout.language.grammar import Grammar
from callout.table.book.audit import differences
from callout.table.book.journal import Journal
from callout.table.scripts.script import Runner, read_script
from callout.table.view import view
from tests.english import english_grammar

GAMES = Path(__file__).parent.parent / "games"
SCRIPTS = sorted(GAMES.rglob("*.game"))


@pytest.fixture(scope="module")
def grammar() -> Grammar:
    return english_grammar()


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: str(path.relative_to(GAMES)))
def test_the_game_is_as_its_script_says(grammar: Grammar, path: Path) -> None:
    script = read_script(path)
    runner = Runner(script, grammar, Journal.in_memory(script.setup))
    runner.run()
    assert runner.differences == []
    # A refusal that the script does not speak of is a slip of its writer.
    assert runner.unmentioned == []
    session = runner.session
    assert fold(session.book.start, session.journal.entries()) == session.game
    assert list(differences(session.game, view(session.game, session.now().left_tenths))) == []


def test_each_script_names_its_source_and_expects_something() -> None:
    scripts = {path: read_script(path) for path in SCRIPTS}
    assert [path for path, script in scripts.items() if not script.setup.source] == []
    unchecked = [p for p, script in scripts.items() if not any(line.mark for line in script.lines)]
    assert unchecked == []
    assert len(scripts) > 200
