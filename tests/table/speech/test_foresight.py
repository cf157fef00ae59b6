"""What will probably be said, against what then was said."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from callout.game import calls
from callout.game.state import At, Game
from callout.game.terms import Team
from callout.language.replies import Level
from callout.table.book.journal import Journal
from callout.table.language import replies_of
from callout.table.scripts.script import Runner, read_script
from callout.table.speech.foresight import foreseen, likely
from tests.english import english_grammar
from tests.quick import thorough_but
from tests.table.play import Table

DEMO = Path(__file__).parents[2] / "games" / "demo.game"


def sentences(text: str) -> list[str]:
    return re.split(r"(?<=[.?!]) ", text) if text else []


@pytest.mark.parametrize(
    ("lines", "least"), [(60, 40), pytest.param(None, 200, marks=pytest.mark.thorough)]
)
def test_most_of_what_a_game_says_was_foreseen_before_it_was_called(
    lines: int | None, least: int
) -> None:
    script = read_script(DEMO)
    said = foretold = 0
    known: set[str] = set()
    with Journal.in_memory(script.setup) as journal:
        runner = Runner(script, english_grammar(), journal)
        for line in script.lines[:lines]:
            if line.mark:
                continue
            known.update(part for text in runner.session.foresee() for part in sentences(text))
            for sentence in sentences(runner.play(line).text):
                # What the clock shows when it is stopped cannot be known before.
                if not sentence.startswith("Stopped, "):
                    said += 1
                    foretold += sentence in known
                known.add(sentence)
    assert said > least
    # The share is a measurement, no rule: the replies of one invented game, 2026.
    assert foretold / said > 0.9


def test_the_next_echo_with_its_score_is_foreseen(table: Table) -> None:
    table.say("start clock", "tip home")
    foretold = set(table.session.foresee())
    reply = table.say("home two number five")
    assert reply.text in foretold


def test_looking_ahead_changes_nothing(table: Table) -> None:
    table.say("start clock", "tip home", "guest foul number five")
    session = table.session
    before = (session.game, tuple(session.entries), session.dialogue, session.announcer)
    assert list(session.foresee())
    assert (session.game, tuple(session.entries), session.dialogue, session.announcer) == before


@pytest.mark.parametrize(
    "level",
    thorough_but(Level, {Level.NORMAL}),
)
def test_every_league_can_be_looked_ahead_in_from_its_first_call_on(
    game: Game, level: Level
) -> None:
    replies = replies_of(english_grammar())
    texts = list(foreseen(game, (), game, At(game.clock.left_tenths, 0), replies, level))
    assert all(texts)


def test_who_is_on_court_is_foreseen_to_act() -> None:
    game = Table().session.game
    assert scorers(game, Team.HOME) == set(game.home.numbers)
    five = game.home.numbers[:5]
    playing = replace(game, on_court=((Team.HOME, five),))
    assert scorers(playing, Team.HOME) == set(five)
    assert scorers(playing, Team.GUEST) == set(game.guest.numbers)


def scorers(game: Game, team: Team) -> set[str]:
    scores = [call for call in likely(game) if isinstance(call, calls.Score)]
    return {each.number for each in scores if each.team is team and each.number}
