"""`callout close`: the officials' approval closes the book; later changes are signed.

Source: NFHS 2-2-4 (the approval of the final score), FIBA 2024 art. 48.3 and Appendix B (slips may
be put right until the crew chief signs).
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
import typer

from callout.commands.close import Signature, close
from callout.commands.forget import forget
from callout.commands.sheet import read
from callout.commands.verify import verify
from callout.errors import CalloutError
from callout.game import calls
from callout.paper.export import SCHEMA, json_line
from callout.paper.sheet.form import sheet
from callout.paper.text import book_text
from callout.table.book.journal import Journal
from callout.table.setup.roster import Player
from callout.table.setup.setup import Listed, Setup
from callout.table.talk.questions import KEY
from tests.english import WORDS
from tests.table.book.test_journal import version_1
from tests.table.play import Table

SETUP = Setup(
    "nfhs-2026",
    Listed("Kites", (Player("4", "Ada Moss"), Player("5"))),
    Listed("Foxes", (Player("3"), Player("8"))),
)
MILLER = Signature("J. Miller", "the film shows it")


def played(path: Path, *more: str) -> None:
    """A game of one basket each, guest's without a number, and what else is called."""
    with Journal.create(path, SETUP) as journal:
        table = Table(SETUP, journal)
        table.say("start clock", "home two number four")
        table.wait(20)
        table.say("guest two", *more)


def over(path: Path) -> Path:
    """The same game, ended."""
    played(path, "end game", "yes")
    return path


def answers(*given: str) -> Callable[[str], str]:
    """Gives these answers, and fails at one more question."""
    left = list(given)
    return lambda what: left.pop(0)


@pytest.fixture
def game(tmp_path: Path) -> Path:
    """A game that is over and not approved."""
    return over(tmp_path / "x.game")


@pytest.fixture
def closed(game: Path) -> Path:
    """A game that is approved, its names kept."""
    assert close(game, ask=answers("8", "yes", "no")) == 0
    return game


def test_what_is_open_is_asked_for_and_the_score_approved(
    game: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    asked: list[str] = []
    left = ["eight", "77", "8", "yes", "no"]

    def ask(what: str) -> str:
        asked.append(what)
        return left.pop(0)

    assert close(game, ask=ask) == 0
    told = capsys.readouterr().out.splitlines()
    assert asked[0].startswith("guest basket of 2, Q1")
    assert asked[0] == asked[1] == asked[2]
    assert asked[3] == "The officials approve it (yes, no)"
    assert "hold 1 name." in asked[4]
    assert "Expected a shirt number, got 'eight'." in told
    assert any(line.startswith("No seventy seven for guest") for line in told)
    assert "Final score: home 2, guest 2." in told
    with Journal.read(game) as journal:
        entries = len(journal.entries())
        assert f"{game}: approved, home 2, guest 2; {entries} entries, mark {journal.mark}" in told
    assert read(game).seen["players"]["guest"]["8"]["points"] == 2


def test_a_number_that_came_with_another_is_not_asked_for(tmp_path: Path) -> None:
    """Two shots of one foul are one player's: the right number would be nothing to correct."""
    path = tmp_path / "x.game"
    played(path, "guest foul eight", "shooting two", "shot good", "shot missed", "end game", "yes")
    asked: list[str] = []
    left = ["3", "5", "no"]

    def ask(what: str) -> str:
        asked.append(what)
        return left.pop(0)

    assert close(path, ask=ask) == 1
    assert [what.partition(",")[0] for what in asked] == [
        "guest basket of 2", "home free throw made", "The officials approve it (yes",
    ]  # fmt: skip
    five = read(path).seen["players"]["home"]["5"]
    assert (five["made"]["1"], five["missed_1"]) == (1, 1)


def stops(*given: str, by: BaseException) -> Callable[[str], str]:
    """Gives these answers; to the next question somebody presses Ctrl-C or closes the window."""
    left = list(given)

    def ask(what: str) -> str:
        if not left:
            raise by
        return left.pop(0)

    return ask


@pytest.mark.parametrize("by", [typer.Abort(), KeyboardInterrupt()])
def test_who_stops_keeps_the_numbers_and_is_told_how_to_go_on(
    by: BaseException, game: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert close(game, ask=stops("8", by=by)) == 1
    assert capsys.readouterr().out.endswith(
        f"{game}: not approved; the book stays open, with what you answered. "
        f"To go on: callout close {game}\n"
    )
    assert read(game).seen["players"]["guest"]["8"]["points"] == 2
    assert read(game).game.approval is None


def test_who_stops_before_the_names_are_struck_has_closed_the_book(
    game: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert close(game, ask=stops("8", "yes", by=typer.Abort())) == 0
    assert capsys.readouterr().out.endswith(
        f"\nThe names stay. To strike them later: callout forget {game}\n"
    )
    assert read(game).game.approval is not None
    assert b"Ada Moss" in game.read_bytes()


def test_a_no_leaves_it_open(game: Path) -> None:
    assert close(game, ask=answers("", "no")) == 1
    assert read(game).game.approval is None
    # Asked again, a closing that was broken off goes on: nothing of it is lost.
    assert close(game, ask=answers("8", "yes", "no")) == 0


def test_a_game_that_is_not_over_is_not_closed(tmp_path: Path) -> None:
    played(tmp_path / "x.game")
    with pytest.raises(CalloutError, match="the game is not over: say 'end game'"):
        close(tmp_path / "x.game", ask=answers())
    with pytest.raises(CalloutError, match="there is no such file; expected a game's file"):
        close(tmp_path / "none.game", ask=answers())


def test_names_are_struck_where_that_is_wanted(game: Path) -> None:
    assert b"Ada Moss" in game.read_bytes()
    assert close(game, ask=answers("8", "yes", "yes")) == 0
    assert b"Ada Moss" not in game.read_bytes()


def test_a_signed_correction_shows_everywhere(
    closed: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with Journal.read(closed) as journal:
        mark, count = journal.mark, len(journal.entries())
    assert close(closed, "first quarter home basket four was three", MILLER, ask=answers()) == 0
    capsys.readouterr()
    assert verify(closed) == 0
    told = capsys.readouterr().out
    assert f"{count} entries, mark {mark}: approved by the officials, home 2, guest 2" in told
    signed = "corrected after the approval, signed J. Miller: the film shows it"
    assert signed in told
    recorded = read(closed)
    assert recorded.seen["score"] == {"home": 3, "guest": 2}
    text = book_text(recorded.game, recorded.setup, recorded.left_tenths, WORDS)
    assert "Approved by the officials: home 2, guest 2" in text
    assert "signed J. Miller: the film shows it" in text
    drawn = sheet(recorded, recorded.game.profile.sheet.form, WORDS)
    assert f"2 – 2; entry {count}, mark {mark}." in drawn["approved"]
    assert "Corrections signed since: 1" in drawn["approved"]
    (drawn_as,) = drawn["signed"]
    assert (drawn_as["by"], drawn_as["reason"]) == ("J. Miller", "the film shows it")
    assert "now home basket of 3, number 4" in drawn_as["what"]
    value = json.loads(json_line(recorded))
    assert value["book"]["approved"] == {"entry": count, "home": 2, "guest": 2}
    assert value["book"]["signed"] == [
        {"entry": count + 1, "by": "J. Miller", "reason": "the film shows it"}
    ]
    jsonschema = pytest.importorskip("jsonschema")
    jsonschema.validate(value, json.loads(SCHEMA.read_text(encoding="utf-8")))


def test_the_score_may_be_set_and_a_number_given(game: Path) -> None:
    assert close(game, ask=answers("", "yes", "no")) == 0
    assert close(game, "number eight", MILLER, ask=answers()) == 0
    assert close(game, "set home score four", MILLER, ask=answers()) == 0
    recorded = read(game)
    assert recorded.seen["players"]["guest"]["8"]["points"] == 2
    assert recorded.seen["score"] == {"home": 4, "guest": 2}
    drawn = sheet(recorded, recorded.game.profile.sheet.form, WORDS)
    assert [each["by"] for each in drawn["signed"]] == ["J. Miller"] * 2
    assert drawn["corrections"] == []


@pytest.mark.parametrize(
    ("words", "signature", "why"),
    [
        ("set home score four", Signature("", "the film shows it"), "needs a name and a reason"),
        ("set home score four", Signature("J. Miller", " "), "needs a name and a reason"),
        ("set home score four", None, "needs a name and a reason"),
        (
            "set home score four",
            Signature("J" * 201, "why"),
            "--by: expected at most 200 .* got 201",
        ),
        ("set home score four", Signature("J", "y" * 201), "--reason: expected at most 200"),
        ("", MILLER, "expected --correct WORDS"),
        ("undo that", MILLER, "puts a line right, or sets the score"),
        ("home two number four", MILLER, "puts a line right, or sets the score"),
        ("mumble", MILLER, "expected one correction"),
        ("home foul five was four", MILLER, "fits 0"),
    ],
)
def test_bad_corrections_change_nothing(
    closed: Path, words: str, signature: Signature | None, why: str
) -> None:
    with Journal.read(closed) as journal:
        mark = journal.mark
    with pytest.raises(CalloutError, match=why):
        close(closed, words, signature, ask=answers())
    with Journal.read(closed) as journal:
        assert journal.mark == mark


def test_a_signature_is_one_line_of_signs_that_can_be_seen(closed: Path) -> None:
    signature = Signature("J.\n Miller\x1b[2J", "the film\r\n\tshows it\u202e" + "y" * 174)
    assert close(closed, "set home score four", signature, ask=answers()) == 0
    (one,) = read(closed).game.signatures
    assert one.by == "J. Miller[2J"
    assert one.reason == "the film shows it" + "y" * 174


def test_a_game_of_the_first_format_is_closed_and_corrected(
    tmp_path: Path, game: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its file knows nothing of an approval, nor of hashes."""
    old = tmp_path / "old.game"
    with Journal.read(game) as journal:
        version_1(old, journal.entries())
    assert close(old, ask=answers("8", "yes", "no")) == 0
    assert close(old, "first quarter home basket four was three", MILLER, ask=answers()) == 0
    assert read(old).seen["score"] == {"home": 3, "guest": 2}
    capsys.readouterr()
    assert verify(old) == 0
    assert "signed J. Miller: the film shows it" in capsys.readouterr().out


def test_what_is_open_after_the_approval_is_told_with_how_to_give_it(
    game: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert close(game, ask=answers("", "yes", "no")) == 0
    told = "numbers still open: 1; each by --correct WORDS --by NAME --reason WHY"
    assert told in capsys.readouterr().out


def test_a_correction_before_the_approval_needs_no_signature(game: Path) -> None:
    with pytest.raises(CalloutError, match="not approved yet"):
        close(game, "set home score four", MILLER, ask=answers())
    assert close(game, "home basket four was five", ask=answers()) == 1, "it is still open"
    with pytest.raises(CalloutError):
        close(game, "set home score four", ask=answers("no"))
    assert close(game, "set home score four", ask=answers("yes")) == 1
    assert read(game).seen["score"] == {"home": 4, "guest": 2}
    assert read(game).seen["players"]["home"]["5"]["points"] == 2
    with pytest.raises(CalloutError, match="expected one correction"):
        close(game, "undo that", ask=answers())


def test_a_book_is_corrected_in_the_words_of_its_language(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "x.game"
    with Journal.create(path, replace(SETUP, language="es")) as journal:
        Table(SETUP, journal).say("start clock", "home two number four", "end game", "yes")
    assert close(path, correct="última canasta local era visitante", ask=answers("yes")) == 1
    assert "visitante" in capsys.readouterr().out
    with pytest.raises(CalloutError, match="hace falta una corrección, como 'falta local"):
        close(path, correct="last guest basket was home")


def test_a_closed_game_is_not_called_on_nor_the_approval_undone(closed: Path) -> None:
    with Journal.open(closed) as journal:
        table = Table(journal.setup, journal)
        before = journal.mark
        for words in ("undo that", "put that back", "home two number four", "start clock"):
            table.say(words)
        assert journal.mark == before
    assert close(closed, ask=answers("no")) == 0


def test_who_approved_is_one_line_of_signs_that_can_be_seen(game: Path) -> None:
    signature = Signature(" Ann\nLee,\t referee\u202e\x1b", "")
    assert close(game, "", signature, ask=answers("", "yes", "no")) == 0
    approval = read(game).game.approval
    assert approval is not None
    assert approval.by == "Ann Lee, referee"


def test_a_name_with_controls_in_a_file_of_others_reaches_no_terminal(
    game: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with Journal.open(game) as journal:
        table = Table(SETUP, journal)
        table.session.take(calls.Approve("Ann\x1b[2J"), KEY)
        table.say("yes")
    assert verify(game) == 0
    told = capsys.readouterr().out
    assert "approved by the officials (Ann\\x1b[2J), home 2, guest 2" in told
    assert "\x1b" not in told


def test_who_approved_or_signed_stays_when_names_are_struck(
    game: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """They are part of the hash chain; whoever strikes the names is told."""
    close(game, "", Signature("Ann Lee, referee", ""), ask=answers("", "yes", "no"))
    close(game, "set home score four", MILLER, ask=answers())
    close(game, "set home score three", MILLER, ask=answers())
    capsys.readouterr()
    assert forget(game) == 0
    told = capsys.readouterr().out
    assert (
        f"{game}: who approved or signed stays in the book: Ann Lee, referee; J. Miller\n" in told
    )
    recorded = read(game)
    assert recorded.game.approval is not None
    assert recorded.game.approval.by == "Ann Lee, referee"


def test_who_approved_is_shown_everywhere(game: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert close(game, "", Signature("Ann Lee, referee", ""), ask=answers("", "yes", "no")) == 0
    assert verify(game) == 0
    told = capsys.readouterr().out
    assert f"{game}: approved (Ann Lee, referee), home 2, guest 2" in told
    assert "approved by the officials (Ann Lee, referee), home 2, guest 2" in told
    recorded = read(game)
    text = book_text(recorded.game, recorded.setup, recorded.left_tenths, WORDS)
    assert "Approved by the officials (Ann Lee, referee): home 2, guest 2" in text
    drawn = sheet(recorded, recorded.game.profile.sheet.form, WORDS)
    assert drawn["approved"].startswith("Approved by the officials (Ann Lee, referee) at ")
    value = json.loads(json_line(recorded))
    assert value["book"]["approved"]["by"] == "Ann Lee, referee"
    jsonschema = pytest.importorskip("jsonschema")
    jsonschema.validate(value, json.loads(SCHEMA.read_text(encoding="utf-8")))
