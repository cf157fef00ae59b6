"""`callout practice`: an invented game is played at the user, and judged."""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Final

from callout.commands.live import OFF, TYPED, check_ears
from callout.commands.pages import check_paper, forms, write_pages
from callout.commands.spoken import check_code, is_heard, kept_in, spoken_in
from callout.edges.ear.messages import Mode
from callout.edges.live.voice import Outlets
from callout.edges.models.catalogue import RECOGNIZER, find_model
from callout.edges.practice.hall import open_hall, why_silent
from callout.edges.practice.results import keep, kept, results_file
from callout.edges.practice.table import PracticeTable
from callout.edges.practice.wording import Wording
from callout.edges.private_folder import PrivateFolder
from callout.edges.signals import end_no_more
from callout.edges.sound_devices import microphones
from callout.edges.typesetting import typeset
from callout.errors import CalloutError, ModelError
from callout.game.calls import Call
from callout.game.fold import new_game
from callout.game.terms import Team
from callout.language.check import open_language
from callout.language.grammar import Grammar
from callout.language.replies import Replies, load_replies
from callout.language.words import words_of
from callout.paper.practice_page import TEMPLATE, practice_page
from callout.paper.practice_text import practice_text
from callout.practice.drawing import Drawing
from callout.practice.kinds import PRACTICE_KINDS
from callout.practice.lesson import LENGTH_MS, LESSON_LEVEL, lesson
from callout.practice.levels import LEVELS, PACES, Level
from callout.practice.play import Play
from callout.practice.rehearsal import Rehearsal
from callout.practice.report import report
from callout.table.book.journal import Journal
from callout.table.language import replies_of
from callout.table.setup.roster import Player
from callout.table.setup.setup import Listed, Setup, read_setup
from callout.words import Words

AUTO: Final = "auto"
"""The ear is open where there is a microphone, else off."""

INVENTED: Final = Setup(
    "youth-6-minute",
    Listed("Harbour Kites", tuple(map(Player, ("4", "5", "7", "10", "11", "12", "23")))),
    Listed("Quarry Foxes", tuple(map(Player, ("3", "5", "8", "14", "15", "20", "33")))),
)
"""The teams that play where no setup is given."""

PREFIX: Final = "callout-practice-"


@dataclass(frozen=True, slots=True)
class Wanted:
    """What the user wants to practise."""

    level: int = 1
    first_lesson: bool = False
    pace: str = "normal"
    minutes: float = 4.0
    seed: int | None = None


def practice(
    wanted: Wanted,
    outlets: Outlets,
    setup: Path | None = None,
    ear: str = AUTO,
    microphone: str | None = None,
    keys: str = "",
    results: Path | None = None,
    language: str = "",
) -> int:
    """Play a game at the user, and report; the exit status.

    `language` is the code of one that comes with the program; if empty, the setup's.

    Raises:
        CalloutError: a choice, the setup, the model or a device is wrong.
    """
    _check(wanted, outlets, ear)
    game = _game_in(language, INVENTED if setup is None else read_setup(setup))
    words = words_of(game.language)
    outlets, ear = _as_heard(words, outlets, ear)
    began_ms = time.time_ns() // 1_000_000
    level = LESSON_LEVEL if wanted.first_lesson else LEVELS[wanted.level]
    with PrivateFolder(PREFIX) as folder, Journal.create(folder / "practice.game", game) as journal:
        table = _table(words, journal, outlets, wanted, level, keys)
        try:
            if ear != OFF:
                table.listen(find_model(RECOGNIZER), microphone, Mode(ear), frozenset())
            table.run(typed=keys == TYPED)
        except KeyboardInterrupt:
            print(file=sys.stderr)
        finally:
            end_no_more()
            judged = table.finished()
            table.close()
    done = report(began_ms, level.number, wanted.pace, judged)
    print(f"\n{practice_text(words, done)}", end="")
    if done.whole.count:
        keep(done, results or results_file())
    return 0


def course(
    pdf: bool,
    png: bool,
    paper: str,
    to: Path | None,
    results: Path | None = None,
    language: str = "",
) -> int:
    """Draw all practices that were kept; the exit status.

    Raises:
        CalloutError: the paper is unknown, typst is missing, or a file cannot be written.
    """
    check_paper(paper)
    found, words = kept(results or results_file()), words_of(_game_in(language).language)
    at_ms = found[-1].at_ms if found else 0
    for form in forms(pdf, png):
        pages = typeset(TEMPLATE, practice_page(words, found, _day, paper), form, at_ms)
        write_pages((to or Path()) / f"practice.{form.value}", pages)
    return 0


def _game_in(language: str, setup: Setup = INVENTED) -> Setup:
    """The game in a language that comes with the program; if none is named, in its own.

    Raises:
        CalloutError: there is no such language.
    """
    if language:
        check_code(language)
    return kept_in(setup, language)


def _day(at_ms: int) -> str:
    return time.strftime("%Y-%m-%d", time.localtime(at_ms / 1000))


def _check(wanted: Wanted, outlets: Outlets, ear: str) -> None:
    if wanted.level not in LEVELS:
        raise CalloutError(f"--level: expected 1, 2 or 3, got {wanted.level}")
    if wanted.pace not in PACES:
        raise CalloutError(f"--pace: expected {', '.join(PACES)}, got {wanted.pace!r}")
    if not 0.2 <= wanted.minutes <= 30:
        raise CalloutError(f"--minutes: expected 0.2 to 30, got {wanted.minutes:g}")
    if ear not in (*Mode, AUTO, OFF):
        raise CalloutError(f"--ear: expected auto, hold, open, tap or off, got {ear!r}")
    check_ears(outlets)


def _as_heard(words: Words, outlets: Outlets, ear: str) -> tuple[Outlets, str]:
    """The voice and the ear that this machine can have, with a word on what it cannot."""
    if why := why_silent(words, outlets):
        print(words("plays_printed", why=why), file=sys.stderr)
        outlets = replace(outlets, voice="print")
    if ear == AUTO:
        why = why_deaf(words)
        if why:
            print(words("call_by_keys", why=why), file=sys.stderr)
        ear = OFF if why else Mode.OPEN
    elif ear != OFF and not is_heard(words.language):
        raise CalloutError(words("ear_needs_english", got=str(ear)))
    return outlets, ear


def why_deaf(words: Words) -> str:
    """Why nothing can be heard on this machine, or in this language; empty if it can."""
    if not is_heard(words.language):
        return words("hears_english_only")
    if not microphones():
        return words("no_microphone")
    try:
        find_model(RECOGNIZER)
    except ModelError as error:
        return str(error)
    return ""


def _table(
    words: Words, journal: Journal, outlets: Outlets, wanted: Wanted, level: Level, keys: str
) -> PracticeTable:
    setup, seed = journal.setup, wanted.seed
    start = new_game(setup.rules(), setup.home.side(), setup.guest.side(), setup.owner)
    drawing = Drawing(start, level, random.Random(seed))
    plays: Iterator[Play] = lesson(start) if wanted.first_lesson else drawing.plays()
    opening: tuple[Call, ...] = () if wanted.first_lesson else drawing.opening()
    length_ms = LENGTH_MS if wanted.first_lesson else round(60_000 * wanted.minutes)
    pace = 1.0 if wanted.first_lesson else PACES[wanted.pace]
    rehearsal = partial(_rehearsal, plays, level, pace, length_ms)
    own = Path(keys) if keys not in ("", TYPED) else None
    folder, hall = spoken_in(setup), partial(open_hall, words)
    wording = Wording(practice_words(open_language(folder)), words)
    return PracticeTable(
        journal, outlets, rehearsal, wording, opening, own, hall=hall, language=folder
    )


def _rehearsal(
    plays: Iterator[Play], level: Level, pace: float, length_ms: int, start_ms: int
) -> Rehearsal:
    return Rehearsal(plays, level, pace, start_ms, length_ms)


def practice_words(grammar: Grammar) -> Replies:
    """The words of practice in that language.

    Raises:
        InputError: the language has none, or lacks some; `path:line: …`.
    """
    names = replies_of(grammar).team_names
    teams = {team: names[team] for team in Team}
    return load_replies(grammar.folder / "practice.yaml", grammar.words, teams, PRACTICE_KINDS)
