"""`callout replay`: runs game scripts, or shows the book of recorded games."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from functools import cache
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.text import Text

from callout.commands.spoken import spoken_in
from callout.edges.voice.voice import Voice, open_voice
from callout.errors import CalloutError
from callout.language.check import open_language
from callout.language.words import words_of
from callout.paper.box import box
from callout.plain import plain
from callout.reading import exists, is_file
from callout.table.book.database import is_journal
from callout.table.book.journal import Journal
from callout.table.book.leftover import log_of, size_of
from callout.table.book.read import read_game
from callout.table.clock import clock_text
from callout.table.scripts.script import Line, Runner, Script, read_script
from callout.table.setup.game_path import check_game_path
from callout.table.setup.setup import Setup
from callout.table.speech.reply import Reply, Said
from callout.table.view import view


def replay(
    scripts: Sequence[Path],
    as_json: bool = False,
    say: bool = False,
    keep: Path | None = None,
    talk: bool = False,
) -> int:
    """Run each script or show each game; 1 if anything is not as expected, else 0.

    `talk` prints every call with what is said back; of a recorded game, what was said.

    Raises:
        InputError, JournalError: a script or a journal is wrong.
    """
    if keep is not None and len(scripts) != 1:
        raise CalloutError(f"--keep: expected one script to keep, got {len(scripts)}")
    if talk and as_json:
        raise CalloutError("expected one of --talk and --json")
    if keep is not None:
        check_game_path(keep)
    status = 0
    with _voices() as voice_in:
        for path in scripts:
            if _is_game(path):
                _show_game(path, as_json, talk)
                continue
            check_game_path(path)
            script = read_script(path)
            voice = voice_in(spoken_in(script.setup).name) if say else None
            told, differences, notes = _run(path, script, keep, voice, talk)
            for note in notes:
                print(f"{plain(note)} (the script does not say so)", file=sys.stderr)
            _show(path, told, script.setup, differences, as_json)
            status = max(status, int(bool(differences)))
    return status


@contextmanager
def _voices() -> Iterator[Callable[[str], Voice]]:
    """Opens the voice of a language, each once; all are closed in the end."""
    with ExitStack() as opened:

        @cache
        def voice_in(language: str) -> Voice:
            voice = open_voice("auto", lambda: 0.0, ears="both", language=language)
            opened.callback(voice.close)
            return voice

        yield voice_in


def _show_game(path: Path, as_json: bool, talk: bool) -> None:
    with Journal.read(path) as journal:
        if journal.doubt:
            print(journal.doubt, file=sys.stderr)
        if talk:
            _print_said(read_game(journal).said)
        _show(path, from_journal(journal), journal.setup, [], as_json)


def _is_game(path: Path) -> bool:
    """Whether the path is a recorded game, or at least the log of one; else it is a script."""
    return is_file(path) and is_journal(path) if exists(path) else size_of(log_of(path)) > 0


def _run(
    path: Path, script: Script, keep: Path | None, voice: Voice | None, talk: bool
) -> tuple[dict[str, Any], list[str], list[str]]:
    """The book at the script's end, what differed, and refusals that it does not mention."""
    setup = script.setup
    grammar = open_language(spoken_in(setup))
    with Journal.create(keep, setup) if keep else Journal.in_memory(setup) as journal:
        try:
            if keep is not None:
                journal.copied(path)  # The script holds the names, too.
            runner = Runner(script, grammar, journal)
            for line in script.lines:
                if line.mark:
                    runner.expect(line)
                    continue
                reply = runner.play(line)
                if talk:
                    _print_talk(runner, line, reply)
                if voice is not None:
                    for command in reply.spoken:
                        voice.speak(command.text, command.tone)
        except CalloutError:
            # A script that fails half-way leaves no game behind.
            journal.close()
            if keep is not None:
                keep.unlink()
            raise
        return from_journal(journal), runner.differences, runner.unmentioned


def _print_talk(runner: Runner, line: Line, reply: Reply) -> None:
    """One line of a script as the table's own screen shows it, with what is repeated by itself."""
    left = clock_text(runner.session.now().left_tenths)
    answer = " ".join((reply.text, *reply.repeated)).strip()
    print(plain(f"{left:>6}  {line.words}  ->  {answer}".rstrip()))


def _print_said(said: Iterable[Said]) -> None:
    for each in said:
        if each.text:
            print(plain(f"{clock_text(each.left_tenths):>6}  {each.text}"))


def from_journal(journal: Journal) -> dict[str, Any]:
    """The book at the last moment that the journal holds."""
    kept = read_game(journal)
    return view(kept.game, kept.left_tenths, kept.said)


def _show(
    path: Path, told: dict[str, Any], setup: Setup, differences: list[str], as_json: bool
) -> None:
    for difference in differences:
        print(plain(difference), file=sys.stderr)
    if as_json:
        line = {"file": str(path), "ok": not differences, **told}
        print(json.dumps(line, ensure_ascii=False))
        return
    console = Console(width=100, highlight=False)
    what = "as expected" if not differences else "NOT as expected"
    console.print(Text(plain(f"{path}: {what}")))
    names = {"home": setup.home.name, "guest": setup.guest.name}
    console.print(box(told, names, words_of(setup.language)))
