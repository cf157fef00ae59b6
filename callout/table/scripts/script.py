"""Game scripts, read and played: a game in the words one would say, with what is expected of it.

The header comes first, in lines `key: value`. Then each line is `[clock] words`: a call, and what
the clock shows as it is made. `+45s` lets time pass, `<key> <key>` presses keys, and `#` begins a
comment. Below a call stand its expectations, a line each:

    =>  a part of the reply          !>  a part of a notice
    !!  a part of a refusal          ??  a part of a question
    --  nothing is said              !-  what is not said
    ==  what the book shows          (see `expectations`)
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import takewhile
from pathlib import Path
from typing import Final

from callout.errors import InputError
from callout.game.calls import SetClock
from callout.game.kind import Rank
from callout.game.state import Owner, Phase
from callout.language.grammar import Grammar
from callout.language.parser import Ambiguous, Parsed
from callout.table.book.journal import Journal
from callout.table.clock import SimulatedTime, clock_text, parse_clock, shows_ms
from callout.table.hands.composing import Keying, Keys
from callout.table.hands.keymap import Target
from callout.table.language import keys_of, parsers_of, patterns_of, replies_of, scope_of
from callout.table.scripts.expectations import UnknownExpectationError, check_book
from callout.table.session import Session
from callout.table.setup.header import Item, header_item
from callout.table.setup.setup import Setup, make_setup
from callout.table.setup.text_lines import read_lines, strip_comment
from callout.table.speech.reply import Reply, Said, Sort
from callout.table.talk.questions import CLOCK, KEY, SPOKEN

MARKS: Final = {
    "=>": "a part of the reply",
    "!>": "a part of a notice",
    "!!": "a part of a refusal",
    "??": "a part of a question",
    "--": "nothing",
    "!-": "what is not said",
    "==": "what the book shows",
}
"""The mark that begins each kind of expectation, and what follows it."""
PASSING: Final = re.compile(r"\+([0-9]{1,4})(?:\.([0-9]))?s$")


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a script."""

    number: int
    words: str = ""
    left_tenths: int | None = None
    """What the clock shows as the call is made."""
    mark: str = ""
    """The kind of expectation, one of `MARKS`; empty for a call, keys or a wait."""


@dataclass(frozen=True, slots=True)
class Script:
    """A script as it is written in its file."""

    path: Path
    setup: Setup
    lines: tuple[Line, ...]

    def said(self) -> Iterator[Line]:
        """The lines that a scorer would speak."""
        return (x for x in self.lines if not x.mark and x.words[:1] not in ("+", "<", ""))


def read_script(path: Path) -> Script:
    """The script in a file.

    Raises:
        InputError: the file cannot be read or has a mistake; `path:line: …`.
    """
    items: list[Item] = []
    lines: list[Line] = []
    for number, row in enumerate(read_lines(path), start=1):
        text = strip_comment(row)
        item = header_item(path, text, number) if not lines else None
        if item:
            items.append(item)
        elif text:
            lines.append(_line(path, number, text))
    return Script(path, make_setup(items, path), tuple(lines))


def _line(path: Path, number: int, text: str) -> Line:
    mark, rest = text[:2], text[2:].strip()
    if mark in MARKS:
        if (mark == "--") == bool(rest):
            raise InputError(path, f"expected {MARKS[mark]} after {mark!r}, got {rest!r}", number)
        return Line(number, rest, mark=mark)
    first, _, rest = text.partition(" ")
    left = parse_clock(first)
    return Line(number, text) if left is None else Line(number, rest.strip(), left)


class Runner:
    """Plays a script through a session, on the script's own time."""

    def __init__(self, script: Script, grammar: Grammar, journal: Journal) -> None:
        self.script = script
        self.time = SimulatedTime()
        self.session = Session(journal, replies_of(grammar), self.time)
        self._parsers = parsers_of(grammar, scope_of(script.setup))
        self.keys = keys_of(grammar)
        self._hands = Keys(patterns_of(grammar), self.session.may)
        self._keying = Keying()
        self.reply = Reply()
        """The reply to the newest call, keys or wait."""
        self.differences: list[str] = []
        """One line for each expectation that was not met."""
        self.unmentioned: list[str] = []
        """Refusals that the script does not expect: probably mistakes of its writer."""

    def run(self) -> None:
        """Play every line; unmet expectations are added to `differences`.

        Raises:
            InputError: a line is not a call, or expects something that no book has.
        """
        for line in self.script.lines:
            if line.mark:
                self.expect(line)
            else:
                self.play(line)

    def play(self, line: Line) -> Reply:
        """Say or do one line."""
        self.reply = self._to_clock(line) + self._do(line)
        refusals = self.reply.of(Sort.REFUSAL)
        if refusals and not self._expects_refusal(line):
            self.unmentioned.append(self._place(line, f"refused: {refusals[0].text}"))
        return self.reply

    def _do(self, line: Line) -> Reply:
        passing = PASSING.match(line.words)
        if passing:
            return self._wait(1000 * int(passing[1]) + 100 * int(passing[2] or 0))
        if line.words[:1] == "<":
            return self._press(line)
        return self._say(line) if line.words else Reply()

    def _say(self, line: Line) -> Reply:
        # The parser accepts answers only while a question is open.
        parser = self._parsers.now(self.session.dialogue.question is not None)
        result = parser.parse(line.words)
        if not isinstance(result, Parsed) and not self._expects_refusal(line):
            result = self._parsers.with_answers.parse(line.words)
            if not isinstance(result, Parsed):
                one = "one reading" if isinstance(result, Ambiguous) else "a call"
                raise self._error(line, f"expected {one}, got {line.words!r}")
        return self.session.hear(parser, line.words, SPOKEN)

    def _expects_refusal(self, line: Line) -> bool:
        after = (each for each in self.script.lines if each.number > line.number)
        under = takewhile(lambda each: each.mark, after)
        return any(each.mark == "!!" for each in under)

    def _press(self, line: Line) -> Reply:
        """Press keys, one after another: `<f> <s>` for home two."""
        reply = Reply()
        for key in line.words.split():
            target = self.keys.keys.get(key[1:-1]) if key[-1:] == ">" else None
            if target is None:
                known = " ".join(sorted(self.keys.keys))
                raise self._error(line, f"expected keys ({known}), got {key!r}")
            reply += self.press(target)
        return reply

    def press(self, target: Target) -> Reply:
        """Press a key that stands for something, now."""
        asked = self.session.dialogue.question is not None
        step = self._hands.press(self._keying, target, 10**6 * self.time.wall_ms(), asked)
        self._keying = step.keying
        reply = Reply()
        for keyed in step.calls:
            reply += self.session.take(keyed.call, KEY)
        return reply + self.session.key_told(step)

    def _wait(self, ms: int) -> Reply:
        """Let time pass; whatever falls due in it happens at its own moment."""
        end, reply = self.time.wall_ms() + ms, Reply()
        while (wake := self.session.wake_ms()) is not None and wake <= end:
            if wake <= self.time.wall_ms():
                reply += self.session.tick()
                # What is still due now could not be done; without a break it would be tried for
                # ever, since no time passes in this loop.
                if (self.session.wake_ms() or end + 1) <= self.time.wall_ms():
                    break
            else:
                self.time.set(wake)
        self.time.set(end)
        return reply + self.session.tick()

    # --- the clock before a line -------------------------------------------------------------

    def _to_clock(self, line: Line) -> Reply:
        """Let time pass until the clock shows the line's time, or set the clock to it."""
        left = line.left_tenths
        if left is None:
            return Reply()
        profile, period = self.script.setup.rules(), self.session.game.period
        # The time may lie in the next period, if the present one is to run out first.
        if left > max(profile.length_tenths(max(1, period + more)) for more in (0, 1)):
            raise self._error(line, f"expected a time within the period, got {clock_text(left)!r}")
        reply = self._run_to(left)
        game, now = self.session.game, self.session.now().left_tenths
        if game.phase.between:
            wrong = left not in (now, game.profile.length_tenths(game.period + 1))
        else:
            moved = left == now or bool(self.session.take(SetClock(left), CLOCK).entries)
            wrong = not moved and game.phase is not Phase.OVER
        if wrong:
            what = f"expected the clock at {clock_text(left)}, got {clock_text(now)}"
            self.differences.append(self._place(line, f"{what}, {game.phase.value}"))
        return reply

    def _run_to(self, left: int) -> Reply:
        """Let a running clock reach that time, or the end of the period if it comes first."""
        game, now = self.session.game, self.session.now().left_tenths
        if game.phase is not Phase.RUNNING:
            return Reply()
        if left > now:
            return self._wait(100 * now) if game.owner is Owner.OURS else Reply()
        moment = shows_ms(game, left) or 0
        return self._wait(max(0, moment - self.time.wall_ms()))

    def expect(self, line: Line) -> None:
        """Compare one expectation with the reply to the call above it."""
        if line.mark == "==":
            try:
                got = check_book(self.session, line.words)
            except UnknownExpectationError as error:
                raise self._error(line, str(error)) from None
        elif line.mark == "--":
            said = " ".join((self.reply.text, *self.reply.repeated)).strip()
            got = f"expected nothing said, got {said!r}" if said else ""
        elif line.mark == "!-":
            said = " ".join((self.reply.text, *self.reply.repeated))
            got = f"expected no {line.words!r}, got {said!r}" if line.words in said else ""
        else:
            got = self._expect_said(line)
        if got:
            self.differences.append(self._place(line, got))

    def _expect_said(self, line: Line) -> str:
        texts = [said.text for said in self.reply.said if _is_of(said, line.mark)]
        texts += self.reply.repeated if line.mark == "!>" else ()
        whole = self.reply.text if line.mark == "=>" else " ".join(texts)
        if line.words in whole:
            return ""
        return f"expected {line.mark} {line.words!r}, got {whole or self.reply.text!r}"

    def _place(self, line: Line, what: str) -> str:
        return f"{self.script.path}:{line.number}: {what}"

    def _error(self, line: Line, what: str) -> InputError:
        return InputError(self.script.path, what, line.number)


def _is_of(said: Said, mark: str) -> bool:
    if mark == "!!":
        return said.sort is Sort.REFUSAL
    if mark == "??":
        return said.sort is Sort.QUESTION
    return said.sort is Sort.NOTICE and said.rank is not Rank.ECHO
