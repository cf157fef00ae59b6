"""`make demo`: a game's script is spoken into a noisy hall, recognized, and booked.

The voice speaks every call of the script, at another speed than the replies, and hall noise is
added. The recognizer hears that sound alone. What it heard goes through the same session as at a
table, and the replies are written to a sound file.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from itertools import chain
from pathlib import Path
from typing import Annotated, Any, Final, Optional

import numpy as np
import soundfile
import typer
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn
from rich.table import Table

from callout.edges.ear.file import FileEar
from callout.edges.ear.hall_noise import hall_noise, in_noise
from callout.edges.ear.messages import Utterance
from callout.edges.ear.sound import RATE_HZ
from callout.edges.ear.spoken_calls import Understood, understand
from callout.edges.models.catalogue import RECOGNIZER, find_model
from callout.edges.voice.phrases import Phrases, cache_folder
from callout.edges.voice.piper import PiperSynthesizer
from callout.edges.voice.wav import WavVoice, free_file
from callout.errors import CalloutError
from callout.game.calls import Call, No
from callout.language.check import open_language
from callout.language.parser import Parsed, Parser
from callout.language.words import words_of
from callout.paper.box import box
from callout.table.book.journal import Journal
from callout.table.language import Parsers, english, parsers_of, scope_of
from callout.table.scripts.script import Line, Runner, Script, read_script
from callout.table.session import Session
from callout.table.speech.reply import Reply
from callout.table.talk.answers import picking
from callout.table.talk.questions import KEY, SPOKEN
from callout.table.view import view

CALLER_SPEED: Final = 1.1
GAP_S: Final = 0.8
"""Silence after each call; at a table there is more."""
LEVEL: Final = 0.5
GROUP: Final = 16
"""Calls in one sound file. Two ears share the files, one file at a time each."""
EARS: Final = 2

VERDICTS: Final = {"right": "", "asked": "? ", "wrong": "WRONG ", "said again": "(nothing) "}
"""What became of a call, with its mark in the table. `asked`: the question offered what was said.
`said again`: it was not heard, or the question did not offer it."""


@dataclass(frozen=True, slots=True)
class Spoken:
    """One line of the script: where it lies in its sound file, and what was heard."""

    line: Line
    start_s: float
    end_s: float
    said: tuple[Call, ...]
    told: tuple[Utterance, ...] = ()
    """The ear's utterances while it was said, one call in each."""
    heard: tuple[Understood, ...] = ()
    """What the game understood of them."""


@dataclass(frozen=True, slots=True)
class Tape:
    """A sound file and the calls in it."""

    path: Path
    calls: tuple[Spoken, ...]


def record(
    script: Script, phrases: Phrases, folder: Path, ratio_db: float | None, step: Any
) -> list[Tape]:
    """Speak the script's calls into sound files, with noise unless `ratio_db` is None."""
    lines = list(script.said())
    parsers = parsers_of(open_language(english()), scope_of(script.setup))
    noise = hall_noise(60.0, seed=11) if ratio_db is not None else None
    tapes = []
    for first in range(0, len(lines), GROUP):
        parts, calls, at = [np.zeros(RATE_HZ // 2, dtype=np.float32)], [], 0.5
        for line in lines[first : first + GROUP]:
            sound = phrases.render(f"{line.words}.", CALLER_SPEED).at(RATE_HZ) * LEVEL
            calls.append(Spoken(line, at, at + len(sound) / RATE_HZ, _calls(parsers, line)))
            parts += [sound, np.zeros(int(GAP_S * RATE_HZ), dtype=np.float32)]
            at = calls[-1].end_s + GAP_S
            step()
        whole = np.concatenate(parts)
        if noise is not None and ratio_db is not None:
            whole = in_noise(whole, np.roll(np.tile(noise, 3), first * 4321), ratio_db)
        path = folder / f"calls-{first // GROUP + 1:02}.wav"
        soundfile.write(path, whole, RATE_HZ, subtype="PCM_16")
        tapes.append(Tape(path, tuple(calls)))
    return tapes


def hear_all(script: Script, tapes: Sequence[Tape], step: Any) -> list[Spoken]:
    """Each call with what the ear heard in its sound."""
    parser = parsers_of(open_language(english()), scope_of(script.setup)).calls
    model = find_model(RECOGNIZER)
    ears = max(1, min(EARS, len(tapes)))

    def some(number: int) -> list[list[Spoken]]:
        ear = FileEar(model, parser.network)
        try:
            found = []
            for tape in tapes[number::ears]:
                found.append(list(_matched(tape, ear)))
                step(len(tape.calls))
            return found
        finally:
            ear.close()

    with ThreadPoolExecutor(ears) as pool:
        shares = list(pool.map(some, range(ears)))
    ordered = [shares[at % ears][at // ears] for at in range(len(tapes))]
    return [call for tape in ordered for call in tape]


def _matched(tape: Tape, ear: FileEar) -> Iterator[Spoken]:
    """The calls of a tape, each with the utterances that overlap it most."""
    told = [
        replace(utterance, calls=(heard,))
        for utterance in ear.hear(tape.path)
        for heard in utterance.calls
    ]
    owners = [max(tape.calls, key=lambda call: _overlap_s(call, each)) for each in told]
    for call in tape.calls:
        mine = tuple(each for each, owner in zip(told, owners, strict=True) if owner is call)
        yield replace(call, told=mine)


def _overlap_s(call: Spoken, told: Utterance) -> float:
    """Overlap of a call and an utterance, in seconds; negative where they lie apart."""
    words = told.calls[0].words
    return min(call.end_s, words[-1].end_s) - max(call.start_s, words[0].start_s)


def verdict(call: Spoken) -> str:
    """Compares what was heard with what was said: one of `VERDICTS`."""
    heard = [h for h in call.heard if h.sentence is not None]
    choices = [c.sentence.call for h in heard for c in h.choices]
    if choices:
        return (
            "asked"
            if len(heard) == len(call.said) == 1 and call.said[0] in choices
            else "said again"
        )
    if not heard:
        return "said again"
    return "right" if tuple(h.sentence.call for h in heard if h.sentence) == call.said else "wrong"


def play(
    script: Script, calls: Sequence[Spoken], voice: WavVoice, now: list[float]
) -> Iterator[Any]:
    """Book what was heard. Yields each call with its reply, then the session and the book.

    A question is answered as by a pedal: with what was said, or with no if it is not offered.
    """
    heard = {call.line.number: call for call in calls}
    parser = parsers_of(open_language(english()), scope_of(script.setup)).calls
    with Journal.in_memory(script.setup) as journal:
        runner = Runner(script, open_language(english()), journal)
        session = runner.session
        for line in script.lines:
            if line.mark:
                continue
            call = heard.get(line.number)
            if call:
                reply = runner.play(replace(line, words=""))
                call, answer = _take(session, parser, call)
                reply += answer
            else:
                reply = runner.play(line)
            for command in reply.spoken:
                voice.speak(command.text, command.tone)
            now[0] += 3.0
            if call:
                yield call, reply.text
        yield session, view(session.game, session.now().left_tenths)


def _take(session: Session, parser: Parser, call: Spoken) -> tuple[Spoken, Reply]:
    """Book what was heard of one line; a question is answered at once."""
    reply, heard = Reply(), []
    told = (understand(parser, t, lambda call, _: session.prior(call)) for t in call.told)
    for each in chain.from_iterable(told):
        heard.append(each)
        if each.call is None:
            continue
        reply += session.take(each.call, SPOKEN, doubt=each.doubt)
        question = session.dialogue.question
        if each.choices and question is not None:
            reply += session.take(picking(question, call.said) or No(), KEY)
    return replace(call, heard=tuple(heard)), reply


def _calls(parsers: Parsers, line: Line) -> tuple[Call, ...]:
    """The calls that a script's line makes."""
    # A sentence that is a call at any time is never read as an answer.
    results = [parser.parse(line.words) for parser in (parsers.calls, parsers.with_answers)]
    return next((result.calls for result in results if isinstance(result, Parsed)), ())


def _words_heard(call: Spoken) -> str:
    return " ".join(h.text for h in call.heard if h.sentence is not None)


def main(
    script: Annotated[Path, typer.Argument(help="The game script.")] = Path(
        "tests/games/demo.game"
    ),
    snr: Annotated[float, typer.Option(help="Signal-to-noise ratio, in dB.")] = 12.0,
    clean: Annotated[bool, typer.Option(help="Add no noise.")] = False,
    out: Annotated[
        Optional[Path],  # noqa: UP045
        typer.Option(help="The folder for the sound files; build/demo if not given."),
    ] = None,
) -> None:
    """Speak a game into a noisy hall, recognize it, keep the book, and answer aloud."""
    began = time.monotonic()
    console = Console(highlight=False, width=110)
    try:
        folder = out or Path("build/demo")
        folder.mkdir(parents=True, exist_ok=True)
        _demo(read_script(script), None if clean else snr, folder, console)
    except CalloutError as error:
        print(f"demo: {error}", file=sys.stderr)
        raise typer.Exit(2) from None
    console.print(f"Took {time.monotonic() - began:.0f} s.")


def _demo(script: Script, ratio_db: float | None, folder: Path, console: Console) -> None:
    phrases = Phrases(PiperSynthesizer(), cache_folder())
    count = len(list(script.said()))
    columns = (TextColumn("{task.description:<28}"), BarColumn(), MofNCompleteColumn(),
               TimeElapsedColumn())  # fmt: skip
    with Progress(*columns, console=console) as bar:
        speaking = bar.add_task("Speaking the calls", total=count)
        tapes = record(script, phrases, folder, ratio_db, lambda: bar.advance(speaking))
        hearing = bar.add_task("Hearing them in the hall", total=count)
        calls = hear_all(script, tapes, lambda done: bar.advance(hearing, done))
    now = [0.0]
    (folder / "replies.wav").unlink(missing_ok=True)
    voice = WavVoice(free_file(folder / "replies.wav"), phrases, lambda: now[0])
    table = Table("Called", "Heard", "Answered", title="The game, call by call", padding=(0, 1))
    verdicts = dict.fromkeys(VERDICTS, 0)
    *rows, (_, book) = play(script, calls, voice, now)
    for call, reply in rows:
        found = verdict(call)
        verdicts[found] += 1
        table.add_row(call.line.words, VERDICTS[found] + _words_heard(call), reply)
    voice.close()
    phrases.close()
    console.print(table)
    names = {"home": script.setup.home.name, "guest": script.setup.guest.name}
    console.print(box(book, names, words_of(script.setup.language)))
    told = ", ".join(f"{n} {name} ({n / count:.1%})" for name, n in verdicts.items())
    where = (
        "without noise" if ratio_db is None else f"with the hall {ratio_db:g} dB below the voice"
    )
    console.print(f"\n{count} calls {where}: {told}.")
    console.print(f"The calls: {folder}/calls-*.wav   The replies: {folder}/replies.wav")


if __name__ == "__main__":
    typer.run(main)
