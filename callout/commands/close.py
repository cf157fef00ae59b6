"""`callout close`: what is open is settled, the officials approve the score, the book is closed;
later changes are signed corrections.
"""

from __future__ import annotations

from contextlib import ExitStack, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import typer

from callout.commands.forget import forget
from callout.commands.names_due import Ask, is_yes, prompt
from callout.commands.spoken import spoken_in
from callout.edges.voice.voice import Voice, open_voice
from callout.errors import CalloutError
from callout.game import calls
from callout.game.calls import Call
from callout.game.closing import LONGEST
from callout.game.decisions.closing import SIGNABLE
from callout.game.figures.score import both_scores, open_lines
from callout.game.put_right import PastEntries
from callout.game.state import Charge, Game, Goal, Phase
from callout.game.values import SHIRTS
from callout.language.check import open_language
from callout.language.parser import Parsed
from callout.language.words import words_of
from callout.paper.sheet.notes import doubtful
from callout.paper.sheet.words import approver, line_words, number_words, when
from callout.paper.text import waiting
from callout.plain import plain, quoted, without_unseen
from callout.table.book.journal import Journal
from callout.table.book.names import names_of, names_told
from callout.table.clock import MachineTime
from callout.table.language import Parsers, parsers_of, replies_of, scope_of
from callout.table.session import Session
from callout.table.setup.game_path import check_game_exists
from callout.table.speech.reply import Reply, Sort
from callout.table.talk.questions import KEY

_NO_CORRECTION: Final = "expected one correction such as 'home foul five was four', got {!r}"


@dataclass(frozen=True, slots=True)
class Signature:
    """Who corrects a closed book, and why."""

    by: str
    reason: str


def close(
    game: Path,
    correct: str = "",
    signature: Signature | None = None,
    say: bool = False,
    ask: Ask | None = None,
) -> int:
    """Close the book of a game, or correct a closed one; 1 if it is not approved, else 0.

    Who stops before the last question keeps the numbers that were given, as the book has them.

    A signature without a reason names who approves the score.

    Raises:
        CalloutError: the game is not over, or the correction is not complete or cannot be made.
        JournalError: the game cannot be read or written.
    """
    check_game_exists(game)
    with Journal.open(game) as journal, ExitStack() as opened:
        folder, voice = spoken_in(journal.setup), None
        if say:
            voice = open_voice("auto", lambda: 0.0, ears="both", language=folder.name)
            opened.callback(voice.close)
        desk = _Desk(journal, folder, ask or prompt, voice)
        if correct or (signature and signature.reason):
            return desk.correct(correct, signature)
        by = _one_line("--by", signature.by) if signature else ""
        try:
            status = desk.close(by)
        except (typer.Abort, KeyboardInterrupt):
            _tell_stopped(game)
            return 1
        names = len(names_of(journal.setup))
        days = journal.setup.rules().roster.names_days
    if status == 0 and names and _is_struck(game, names, days, ask or prompt):
        return forget(game)
    return status


def _tell_stopped(game: Path) -> None:
    with suppress(OSError):  # The terminal's window may be closed.
        print("\n" + plain(f"{game}: not approved; the book stays open, with what you answered. "
                           f"To go on: callout close {quoted(game)}"))  # fmt: skip


def _is_struck(game: Path, names: int, days: int, ask: Ask) -> bool:
    """Whether a person wants the names to go now; who stops here has closed the book."""
    kept = f" The league's rules keep them {days} days." if days else ""
    try:
        return is_yes(ask(
            f"The lists hold {names_told(names)}.{kept} Print the sheet before they go: "
            f"callout sheet {quoted(game)} --pdf. They can be struck for good. Strike them now? "
            "(yes, no)"
        ))  # fmt: skip
    except (typer.Abort, KeyboardInterrupt):
        with suppress(OSError):
            print(f"\nThe names stay. To strike them later: callout forget {quoted(game)}")
        return False


class _Desk:
    """The closing of one game: what is asked goes to a person, what is booked to the session."""

    def __init__(self, journal: Journal, language: Path, ask: Ask, voice: Voice | None) -> None:
        grammar = open_language(language)
        self._journal, self._ask, self._voice = journal, ask, voice
        self._words = words_of(journal.setup.language)
        self._session = Session(journal, replies_of(grammar), MachineTime(journal.last_ms()))
        self._parsers: Parsers = parsers_of(grammar, scope_of(journal.setup))

    @property
    def _game(self) -> Game:
        return self._session.game

    def close(self, by: str) -> int:
        """Settle what is open, and ask for the approval; `by` is who gives it, where known."""
        self._check_over()
        if self._game.approval is None:
            self._settle()
            home, guest = both_scores(self._game)
            print(f"Final score: home {home}, guest {guest}.")
            self._answer(self._session.take(calls.Approve(by), KEY))
            yes = is_yes(self._ask("The officials approve it (yes, no)"))
            self._answer(self._session.take(calls.Yes() if yes else calls.No(), KEY))
        return self._state()

    def _check_over(self) -> None:
        if self._game.phase is not Phase.OVER:
            raise CalloutError(
                f"{self._journal.path}: the game is not over: say 'end game' in 'callout live'"
            )

    def _settle(self) -> None:
        """Names what is open or doubtful, and asks for each number that is missing."""
        lines = open_lines(self._game)
        looks = waiting(self._words, self._game, self._journal.setup)
        for each in (*doubtful(self._words, self._game), *looks):
            print(plain(f"To be looked at: {each}"))
        if not lines:
            print("No number is missing.")
        for line in lines:
            # The number of one shot is that of its shooter's other shots, too.
            if line in open_lines(self._game):
                self._number_of(line)

    def _number_of(self, line: Goal | Charge) -> None:
        """Asks whose a line is, until the number fits or the line is left open."""
        what = f"{line.team.value} {line_words(self._words, line)}, {self._when(line)}"
        whose = number_words(self._words, line.number, line.said)
        while number := self._ask(f"{what}: {whose}. Which number? (Enter leaves it open)"):
            if number not in SHIRTS:
                print(plain(f"Expected a shirt number, got {number!r}."))
                continue
            reply = self._session.take(calls.Correct(line.item, number=number), KEY)
            self._answer(reply)
            if reply.entries:
                return

    def _when(self, line: Goal | Charge) -> str:
        return when(self._words, self._game, line.period, line.left_tenths)

    def correct(self, words: str, signature: Signature | None) -> int:
        """Make one correction; of a closed book it is signed."""
        if not words:
            raise CalloutError("expected --correct WORDS with --by and --reason, got no words")
        self._check_over()
        if signature is None and self._game.approval is None:
            return self._correct_open(words)
        return self._correct_closed(words, signature or Signature("", ""))

    def _correct_open(self, words: str) -> int:
        """Make a correction of a book that nobody has approved yet, as at the table."""
        call = self._meant(words)
        if type(call) not in SIGNABLE:
            raise CalloutError(_NO_CORRECTION.format(words))
        reply = self._session.take(call, KEY)
        if reply.of(Sort.QUESTION):
            yes = is_yes(self._ask(f"{_said(reply)} (yes, no)"))
            reply = self._session.take(calls.Yes() if yes else calls.No(), KEY)
        if not reply.entries:
            raise CalloutError(_said(reply))
        self._answer(reply)
        return self._state()

    def _correct_closed(self, words: str, signature: Signature) -> int:
        signed = (_one_line("--by", signature.by), _one_line("--reason", signature.reason))
        if not all(signed):
            raise CalloutError(
                "a correction of the closed book needs a name and a reason: --by NAME --reason WHY"
            )
        call = calls.Signed(self._meant(words), *signed)
        reply = self._session.take(call, KEY)
        if not reply.entries:
            raise CalloutError(_said(reply))
        self._answer(reply)
        return self._state()

    def _meant(self, words: str) -> Call:
        """The call that the words are, with the one line that a description fits."""
        result = self._parsers.calls.parse(self._parsers.typed(words))
        if not isinstance(result, Parsed) or len(result.calls) != 1:
            raise CalloutError(_NO_CORRECTION.format(words))
        call = result.calls[0]
        if not isinstance(call, calls.PutRight):
            return call
        book = self._session.book
        fitting = PastEntries(book.start, book.entries, book.game).fitting(call)
        if len(fitting) != 1:
            raise CalloutError(
                f"expected words that fit one line of the book, {words!r} fits {len(fitting)}: "
                "name the quarter and the number, or 'last'"
            )
        return fitting[0]

    def _answer(self, reply: Reply) -> None:
        print(plain(_said(reply)))
        if self._voice is not None:
            for command in reply.spoken:
                self._voice.speak(command.text, command.tone)

    def _state(self) -> int:
        """Prints how the book stands."""
        one, path = self._game.approval, self._journal.path
        if one is None:
            print(plain(f"{path}: not approved; the book stays open"))
            return 1
        mark = self._journal.mark_after(one.entry)
        print(plain(f"{path}: approved{approver(one)}, home {one.home}, guest {one.guest}; "
                    f"{one.entry} entries, mark {mark}"))  # fmt: skip
        if count := len(open_lines(self._game)):
            print(f"  numbers still open: {count}; each by --correct WORDS --by NAME --reason WHY")
        for each in self._game.signatures:
            print(plain(f"  entry {each.entry}, signed {each.by}: {each.reason}"))
        if self._game.signatures:
            home, guest = both_scores(self._game)
            print(f"  the book has now home {home}, guest {guest}; mark {self._journal.mark}")
        return 0


def _one_line(option: str, text: str) -> str:
    """A name or a reason as the book holds it: on one line, without signs that nobody sees.

    Raises:
        CalloutError: it is too long for the book.
    """
    line = without_unseen(" ".join(text.split()))
    if len(line) > LONGEST:
        what = f"{option}: expected at most {LONGEST} characters, got {len(line)}"
        raise CalloutError(what)
    return line


def _said(reply: Reply) -> str:
    """What is said of a call, without the question that the person is asked anyway."""
    return " ".join(each.text for each in reply.said if each.text) or "Done."
