"""What a language file may hold, and what is refused."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from callout.data import data_folder
from callout.errors import CalloutError, InputError
from callout.game import calls
from callout.game.profile.file import load_profile
from callout.game.terms import FoulKind, Team
from callout.language.check import load_language
from callout.language.folder import load_grammar
from callout.language.grammar import BEFORE_PART, Grammar, Scope
from callout.language.parser import Parsed, Parser, Unparsed
from callout.language.scope import RARE
from callout.language.vocabulary import words_of
from tests.language.conftest import PAINT, cost_of

Write = Callable[..., Path]

SCORE = """
name: score
say:
  - "{colour} scores"
does: {score: {team: home, points: 2}}
examples:
  - {say: red scores, slots: {colour: red}}
"""


def test_a_small_language_loads(language: Write) -> None:
    grammar = load_language(language(paint=PAINT, score=SCORE))
    parser = Parser(grammar, Scope())
    result = parser.parse("paint it blue")
    assert isinstance(result, Parsed)
    assert (result.sentences[0].name, result.sentences[0].slots) == ("paint", {"colour": "blue"})
    assert result.calls == ()
    scored = parser.parse("scarlet scores")
    assert isinstance(scored, Parsed)
    assert scored.calls == (calls.Score(Team.HOME, 2),)


@pytest.mark.parametrize(
    ("old", "new", "line", "says"),
    [
        ("examples:", "sample: 1\nexamples:", 5, "sample: extra inputs are not permitted, got 1"),
        ("{colour}", "{color}", 4, "expected a slot of slots.yaml (colour), got 'color'"),
        ("{colour}", "{colour", 4, "expected a template, got 'paint it {colour'"),
        ("it scarlet", "it green", 6, "expected one 'paint', got 'paint it green'"),
        ("colour: red", "colour: blue", 6, "expected 'paint' with {'colour': 'blue'}"),
        ("examples:", "refused: [paint it red]\nexamples:", 5, "expected no 'paint', got one"),
        ("paint it {colour}", "{colour}", 4, "expected two words or more, got 'red'"),
        ("examples:", "does: {scores: {}}\nexamples:", 5, "name of a known call, got 'scores'"),
        ("examples:", "does: {undo: {}, mark: {}}\nexamples:", 5, "expected one call"),
        ("examples:", "does: {tip: {time: 1}}\nexamples:", 5, "a field of 'tip' (team)"),
        ("examples:", "does: {tip: {team: $team}}\nexamples:", 5, "no template gives the slot"),
    ],
)
def test_a_mistake_is_refused_with_its_line(
    language: Write, old: str, new: str, line: int, says: str
) -> None:
    folder = language(paint=PAINT.replace(old, new, 1))
    with pytest.raises(InputError) as caught:
        load_language(folder)
    assert str(caught.value).startswith(f"{folder / 'calls' / 'paint.yaml'}:{line}: ")
    assert says in str(caught.value)


def test_a_sentence_that_two_calls_share_is_refused(language: Write) -> None:
    other = PAINT.replace("name: paint", "name: coat").replace(
        "paint it {colour}", "(paint|coat) it {colour}"
    )
    folder = language(paint=PAINT, other=other)
    with pytest.raises(
        InputError, match=r"got 'coat' and 'paint' for 'paint it (red|scarlet|blue)'"
    ):
        load_language(folder)


@pytest.mark.parametrize(
    ("decoy", "says"),
    [
        ("paint it (red|green)", "got a decoy of 'paint' and 'paint' for 'paint it red'"),
        ("green", "expected two words or more, got 'green'"),
        ("paint {green}", "expected a slot of slots.yaml (colour), got 'green'"),
    ],
)
def test_a_decoy_is_no_call_and_no_lone_word(language: Write, decoy: str, says: str) -> None:
    folder = language(paint=PAINT + f'decoys: ["{decoy}"]\n')
    with pytest.raises(InputError) as caught:
        load_language(folder)
    assert str(caught.value).startswith(f"{folder / 'calls' / 'paint.yaml'}:")
    assert says in str(caught.value)


def test_a_decoy_is_heard_and_makes_nothing(language: Write) -> None:
    grammar = load_language(language(paint=PAINT + 'decoys: ["paint it green"]\n'))
    parser = Parser(grammar, Scope())
    said = ("paint", "it", "green")
    assert parser.network.accepts(said)
    assert parser.parse(said) == Unparsed(said)
    assert parser.is_decoy(said)
    assert not parser.is_decoy(("paint", "it", "red"))
    assert not parser.is_decoy(("green",))
    assert words_of(grammar, Scope())["green"][0].name == "paint.yaml"


def test_an_example_with_two_readings_is_refused(language: Write) -> None:
    slots = "slots: {one: {values: {a: [x], b: [y]}}, two: {values: {c: [x], d: [y]}}}\n"
    text = 'name: pick\nsay: ["pick ({one}|{two})"]\nexamples: [{say: pick x, slots: {one: a}}]\n'
    with pytest.raises(InputError, match="expected one reading of 'pick x', got two"):
        load_language(language(slots, pick=text))


def test_each_word_has_the_place_where_it_is_written(language: Write) -> None:
    grammar = load_grammar(language(paint=PAINT))
    assert {
        word: (path.name, line) for word, (path, line) in words_of(grammar, Scope()).items()
    } == {
        "paint": ("paint.yaml", 4),
        "it": ("paint.yaml", 4),
        "red": ("slots.yaml", 4),
        "scarlet": ("slots.yaml", 4),
        "blue": ("slots.yaml", 4),
    }


def test_a_word_that_the_game_adds_is_among_those_to_be_known(grammar: Grammar) -> None:
    scope = Scope(team_words={Team.HOME: ("Puce",)})
    assert "puce" in words_of(grammar, scope)
    assert "puce" not in words_of(grammar, Scope())


@pytest.mark.parametrize(
    ("said", "kind"),
    [
        ("home charge", FoulKind.OFFENSIVE),
        ("guest coach technical", FoulKind.TECHNICAL),
        ("home bench technical", FoulKind.TECHNICAL),
        ("guest team technical", FoulKind.TECHNICAL),
        ("home number five flagrant", FoulKind.FLAGRANT),
    ],
)
def test_a_foul_that_the_league_lacks_is_dearer_and_is_never_a_plain_foul(
    grammar: Grammar, said: str, kind: FoulKind
) -> None:
    with_it = Scope({Team.HOME: ("5",)}, foul_kinds=frozenset({FoulKind.PERSONAL, kind}))
    without = Scope({Team.HOME: ("5",)}, foul_kinds=frozenset(FoulKind) - {kind})
    cheap, dear = Parser(grammar, with_it), Parser(grammar, without)
    assert cheap.parse(said) == dear.parse(said)
    assert isinstance(dear.parse(said), Parsed)
    assert cost_of(dear.network, said) == cost_of(cheap.network, said) + RARE


@pytest.mark.parametrize("league", ["ncaa-men-2026", "ncaa-women-2026", "nba-2026"])
@pytest.mark.parametrize(
    ("said", "found"),
    [
        ("home flagrant one", calls.Foul(Team.HOME, None, FoulKind.FLAGRANT)),
        ("home flagrant two", calls.Foul(Team.HOME, None, FoulKind.DISQUALIFYING)),
        ("home flagrant penalty two", calls.Foul(Team.HOME, None, FoulKind.DISQUALIFYING)),
        ("home flagrant one foul on eleven", calls.Foul(Team.HOME, "11", FoulKind.FLAGRANT)),
        ("flagrant two on home number two", calls.Foul(Team.HOME, "2", FoulKind.DISQUALIFYING)),
        ("home number one flagrant two", calls.Foul(Team.HOME, "1", FoulKind.DISQUALIFYING)),
        ("home flagrant foul number one", calls.Foul(Team.HOME, "1", FoulKind.FLAGRANT)),
        # Fifteen digit by digit, or a flagrant one by five; nothing is guessed.
        ("home flagrant one five", None),
        ("home flagrant foul one", None),
        ("home player flagrant two", None),
        ("home bench flagrant two", None),
    ],
)
def test_the_grade_of_a_flagrant_foul_is_no_shirt(
    grammar: Grammar, league: str, said: str, found: calls.Foul | None
) -> None:
    """Source: NCAA 4-15 and NBA 12B-IV, from memory: flagrant 1 and 2, penalty one and two."""
    worn = dict.fromkeys(Team, ("1", "2", "5", "11", "15"))
    kinds = frozenset(load_profile(league).fouls.kinds)
    result = Parser(grammar, Scope(worn, foul_kinds=kinds)).parse(said)
    assert (result.calls if isinstance(result, Parsed) else ()) == ((found,) if found else ())
    assert {FoulKind.FLAGRANT, FoulKind.DISQUALIFYING} <= kinds


def test_a_game_may_add_colours(grammar: Grammar) -> None:
    scope = Scope(team_words={Team.GUEST: ("Orange",)})
    parser = Parser(grammar, scope)
    result = parser.parse("orange two")
    assert isinstance(result, Parsed)
    assert result.calls == (calls.Score(Team.GUEST, 2),)
    still = parser.parse("away two")
    assert isinstance(still, Parsed)
    assert still.calls == result.calls


def test_a_call_that_its_values_do_not_make_is_an_error(grammar: Grammar) -> None:
    index = next(at for at, file in enumerate(grammar.calls) if file.name == "score")
    with pytest.raises(CalloutError, match="call 'score': points"):
        grammar.call(index, {"team": "home", "points": 9})


def test_every_call_has_a_key_but_numbers_which_are_typed(grammar: Grammar) -> None:
    keys = grammar.keys()
    assert keys["space"] == "stop clock"
    assert keys["s"] == "{team} two"
    assert len(keys) == sum(len(file.keys) for file in grammar.calls)
    # "Leave it" has the key of "cancel that", which closes a question, too.
    # What is never heard needs none: who types may well type the team.
    said = [file for file in grammar.calls if file.say]
    assert {f.name for f in said if not f.keys} == {"number", "answer", "leave_it"}


def test_every_call_can_be_said_but_those_of_the_clock(grammar: Grammar) -> None:
    before = load_grammar(grammar.folder, BEFORE_PART)
    said = {name for file in (*grammar.calls, *before.calls) for name in file.does or ()}
    by_clock = {"clock_expired", "reminder", "before_due"}
    by_table = {"correct", "last_number", "set_tip", "check_seen"}
    of_old_books, by_command = {"last_team"}, {"signed"}
    others = by_clock | by_table | of_old_books | by_command
    assert set(calls.CALLS.members()) - said == others


def test_data_lies_beside_the_package() -> None:
    assert (data_folder("grammars") / "en" / "slots.yaml").is_file()


def letters(count: int) -> str:
    """So many slots, one after another."""
    return " ".join(f"{{colour:{letter}}}" for letter in "abcdefghijklmnopqrstuvwxyz"[:count])


def test_a_language_of_too_many_states_is_refused(language: Callable[..., Path]) -> None:
    slots = "slots:\n  colour:\n    values:\n" + "".join(f"      - word{n}\n" for n in range(2_000))
    say = f"say:\n  - go {letters(25)}\n  - now {letters(25)}\nexamples:\n  - say: go on\n"
    grammar = load_grammar(language(slots, go=f"name: go\n{say}"))
    with pytest.raises(InputError, match=r"go\.yaml:4: expected fewer ways to say all, got more"):
        grammar.machine(Scope())


def test_a_language_of_too_many_beginnings_is_refused(language: Callable[..., Path]) -> None:
    """Which of seventeen words were "a" is something else each time."""
    text = "name: x\nsay:\n"
    for nth in range(17):
        words = ["(a|b)"] * 17
        words[nth] = "a"
        text += f"  - go {' '.join(words)} end{nth}\n"
    text += "examples:\n  - say: go on\n"
    with pytest.raises(InputError, match=r"x\.yaml:3: expected fewer ways to say all, got more"):
        load_language(language(x=text))


@pytest.mark.parametrize("number", ["9" * 30, "100", "٣"])
def test_an_example_with_a_number_that_no_shirt_has_is_refused(
    language: Write, tmp_path: Path, number: str
) -> None:
    shutil.copytree(data_folder("grammars") / "en", tmp_path / "en")
    path = tmp_path / "en" / "calls" / "number.yaml"
    text = path.read_text(encoding="utf-8")
    assert '"5"' in text
    path.write_text(text.replace('"5"', f'"{number}"', 1), encoding="utf-8")
    with pytest.raises(InputError, match=r"number\.yaml:\d+: expected"):
        load_language(tmp_path / "en")
