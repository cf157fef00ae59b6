"""`callout close`: what is open is settled, the officials approve the score, the book is closed;
later changes are signed corrections.
"""

from __future__ import annotations

from contextlib import ExitStack, suppress
from dataclasses import dataclass
from pathlib import Path

import typer

from callout.commands.forget import forget
from callout.commands.names_due import Ask, prompt
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
from callout.table.book.names import names_of
from callout.table.clock import MachineTime
from callout.table.language import Parsers, parsers_of, replies_of, scope_of
from callout.table.session import Session
from callout.table.setup.game_path import check_game_exists
from callout.table.speech.reply import Reply, Sort
from callout.table.talk.questions import KEY
from callout.words import Words


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
        words, asked = words_of(journal.setup.language), ask or prompt
        if say:
            voice = open_voice("auto", lambda: 0.0, ears="both", language=folder.name)
            opened.callback(voice.close)
        desk = _Desk(journal, folder, asked, voice)
        if correct or (signature and signature.reason):
            return desk.correct(correct, signature)
        by = _one_line(words, "--by", signature.by) if signature else ""
        try:
            status = desk.close(by)
        except (typer.Abort, KeyboardInterrupt):
            _tell(words("stopped", game=plain(str(game)), file=quoted(game)))
            return 1
        names = len(names_of(journal.setup))
        days = journal.setup.rules().roster.names_days
    if status == 0 and names and _is_struck(words, game, asked, (names, days)):
        return forget(game)
    return status


def _tell(what: str) -> None:
    """A line after a question that nobody answered."""
    with suppress(OSError):  # The terminal's window may be closed.
        print(f"\n{what}")


def _is_struck(words: Words, game: Path, ask: Ask, held: tuple[int, int]) -> bool:
    """Whether a person wants the names to go now; who stops here has closed the book.

    `held`: how many names the lists hold, and for how many days the league keeps them.
    """
    names, days = held
    kept, file = words.count("names_kept", days) if days else "", quoted(game)
    what = words("ask_strike", names=words.count("names", names), kept=kept, file=file)
    try:
        return words.agrees(ask(what))
    except (typer.Abort, KeyboardInterrupt):
        _tell(words("names_stay", file=file))
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
            print(self._words("final_is", home=home, guest=guest))
            self._answer(self._session.take(calls.Approve(by), KEY))
            yes = self._words.agrees(self._ask(self._words("ask_approval")))
            self._answer(self._session.take(calls.Yes() if yes else calls.No(), KEY))
        return self._state()

    def _check_over(self) -> None:
        if self._game.phase is not Phase.OVER:
            raise CalloutError(self._words("not_over_yet", game=self._journal.path))

    def _settle(self) -> None:
        """Names what is open or doubtful, and asks for each number that is missing."""
        lines = open_lines(self._game)
        looks = waiting(self._words, self._game, self._journal.setup)
        for each in (*doubtful(self._words, self._game), *looks):
            print(plain(self._words("look_at", what=each)))
        if not lines:
            print(self._words("none_missing"))
        for line in lines:
            # The number of one shot is that of its shooter's other shots, too.
            if line in open_lines(self._game):
                self._number_of(line)

    def _number_of(self, line: Goal | Charge) -> None:
        """Asks whose a line is, until the number fits or the line is left open."""
        words, time = self._words, when(self._words, self._game, line.period, line.left_tenths)
        what = words(
            "line_of_nobody",
            team=words(line.team.value),
            what=line_words(words, line),
            when=time,
        )
        whose = number_words(words, line.number, line.said)
        while number := self._ask(words("ask_number", what=what, whose=whose)):
            if number not in SHIRTS:
                print(plain(words("expected_shirt", got=number)))
                continue
            reply = self._session.take(calls.Correct(line.item, number=number), KEY)
            self._answer(reply)
            if reply.entries:
                return

    def correct(self, words: str, signature: Signature | None) -> int:
        """Make one correction; of a closed book it is signed."""
        if not words:
            raise CalloutError(self._words("no_words"))
        self._check_over()
        if signature is None and self._game.approval is None:
            return self._correct_open(words)
        return self._correct_closed(words, signature or Signature("", ""))

    def _correct_open(self, words: str) -> int:
        """Make a correction of a book that nobody has approved yet, as at the table."""
        call = self._meant(words)
        if type(call) not in SIGNABLE:
            raise CalloutError(self._words("no_correction", got=words))
        reply = self._session.take(call, KEY)
        if reply.of(Sort.QUESTION):
            yes = self._agrees(self._said(reply))
            reply = self._session.take(calls.Yes() if yes else calls.No(), KEY)
        if not reply.entries:
            raise CalloutError(self._said(reply))
        self._answer(reply)
        return self._state()

    def _correct_closed(self, words: str, signature: Signature) -> int:
        given = (("--by", signature.by), ("--reason", signature.reason))
        signed = [_one_line(self._words, *each) for each in given]
        if not all(signed):
            raise CalloutError(self._words("needs_signature"))
        call = calls.Signed(self._meant(words), *signed)
        reply = self._session.take(call, KEY)
        if not reply.entries:
            raise CalloutError(self._said(reply))
        self._answer(reply)
        return self._state()

    def _meant(self, words: str) -> Call:
        """The call that the words are, with the one line that a description fits."""
        result = self._parsers.calls.parse(self._parsers.typed(words))
        if not isinstance(result, Parsed) or len(result.calls) != 1:
            raise CalloutError(self._words("no_correction", got=words))
        call = result.calls[0]
        if not isinstance(call, calls.PutRight):
            return call
        book = self._session.book
        fitting = PastEntries(book.start, book.entries, book.game).fitting(call)
        if len(fitting) != 1:
            raise CalloutError(self._words("fits_many", got=words, count=len(fitting)))
        return fitting[0]

    def _answer(self, reply: Reply) -> None:
        print(plain(self._said(reply)))
        if self._voice is not None:
            for command in reply.spoken:
                self._voice.speak(command.text, command.tone)

    def _said(self, reply: Reply) -> str:
        """What is said of a call, without the question that the person is asked anyway."""
        return " ".join(each.text for each in reply.said if each.text) or self._words("done")

    def _agrees(self, question: str) -> bool:
        return self._words.agrees(self._ask(self._words("yes_or_no", question=question)))

    def _state(self) -> int:
        """Prints how the book stands."""
        one, path, words = self._game.approval, self._journal.path, self._words
        if one is None:
            print(plain(words("not_approved", game=path)))
            return 1
        mark = self._journal.mark_after(one.entry)
        made = {"entries": one.entry, "mark": mark}
        score = {"home": one.home, "guest": one.guest}
        print(plain(words("approved_by", game=path, by=approver(one), **score, **made)))
        if count := len(open_lines(self._game)):
            print(words("still_open", count=count))
        for each in self._game.signatures:
            print(plain(words("signed_text", entry=each.entry, by=each.by, reason=each.reason)))
        if self._game.signatures:
            home, guest = both_scores(self._game)
            print(words("book_now", home=home, guest=guest, mark=self._journal.mark))
        return 0


def _one_line(words: Words, option: str, text: str) -> str:
    """A name or a reason as the book holds it: on one line, without signs that nobody sees.

    Raises:
        CalloutError: it is too long for the book.
    """
    line = without_unseen(" ".join(text.split()))
    if len(line) > LONGEST:
        raise CalloutError(words("too_long", option=option, most=LONGEST, count=len(line)))
    return line
