"""The command line: `callout COMMAND …`."""

from __future__ import annotations

import gc
import os
import sys
from pathlib import Path
from typing import Annotated

import typer

from callout.commands import around_game, manual, on_league, on_paper, options, practising
from callout.commands.options import (
    EarMode,
    Ears,
    GameFile,
    Json,
    Language,
    Loudspeaker,
    ModelFolder,
    SetupFile,
    TalkOver,
    VoiceName,
)
from callout.edges.signals import ended_in_order
from callout.edges.streams import open_streams, whole_output
from callout.errors import CalloutError, why
from callout.plain import plain

app = typer.Typer(
    help="Keep the book at a basketball table: you say what happens, it answers in your ear.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)


@app.command(epilog=manual.SETUP)
def live(
    game: options.LiveGame,
    setup: SetupFile = None,
    ear: EarMode = "open",
    voice: VoiceName = "auto",
    microphone: options.MicrophoneName = "",
    headset: options.HeadsetName = "",
    ears: Ears = "left",
    loudspeaker: Loudspeaker = "",
    talk_over: TalkOver = False,
    screen: options.Screen = False,
    page: options.PagePort = 0,
    share: options.SharePages = False,
    keys: options.OwnKeys = "",
    copy_to: options.CopyTo = None,
    language: Language = "",
    model: ModelFolder = None,
    voice_of: options.VoiceOf = "",
) -> None:
    """Keep a game at the table: you call, it books and answers. Ctrl-C ends it; nothing is lost.

    The same command resumes the game. Every call is on the disk before it is
    confirmed. At each period's end the book is written beside the game as text,
    with a copy of the game.
    """
    from callout.commands.live import live as run
    from callout.edges.live.displays import Shown
    from callout.edges.live.voice import Outlets

    outlets = Outlets(
        voice=voice, headset=headset or None, ears=ears, loudspeaker=loudspeaker or None,
        talk_over=talk_over)  # fmt: skip
    raise typer.Exit(run(
        game, setup=setup, ear=ear, outlets=outlets, microphone=microphone or None, keys=keys,
        shown=Shown(screen, page, share), copy_to=copy_to, language=language, model=model,
        voice_of=voice_of,
    ))  # fmt: skip


app.command()(around_game.new)
app.command()(practising.practice)
app.command()(around_game.before)


@app.command()
def hear(
    files: options.SoundFiles,
    grammar: options.Grammar = None,
    roster: options.RosterNumbers = "",
    model: ModelFolder = None,
    json: Json = False,
) -> None:
    """Print the calls that the ear hears in sound files, one line for each."""
    from callout.commands.hear import hear as run

    raise typer.Exit(run(files, grammar, roster or None, json, model))


@app.command()
def replay(
    scripts: options.Scripts,
    json: Json = False,
    say: options.SayAloud = False,
    talk: options.Talk = False,
    keep: options.KeepGame = None,
) -> None:
    """Run game scripts and check what they expect, or show the book of recorded games.

    Needs no microphone and no recognizer. Exit status 1 if something is not as
    expected. A script is text: the setup file's lines, then calls, one on a line.
    """
    from callout.commands.replay import replay as run

    raise typer.Exit(run(scripts, json, say, keep, talk))


@app.command()
def sheet(
    games: options.Games = None,
    pdf: options.AsPdf = False,
    png: options.AsPng = False,
    paper: options.Paper = "a4",
    form: options.SheetForm = "league",
    unfinished: options.Unfinished = False,
    to: options.ToFolder = None,
    text: options.AsText = False,
    csv: options.CsvFolder = None,
    json: options.GameJson = False,
    schema: options.JsonSchema = False,
) -> None:
    """Print the score sheet of games to be signed, with --pdf or --png; else their book.

    The book as text, tables or JSON may be had while the game is played, and so
    may the sheet, with --open: it says on its face that the game is not over.
    Tables and JSON hold no names.
    """
    from callout.commands import sheet as command

    printing = command.wanted(pdf, png, paper, form, unfinished, to)
    raise typer.Exit(command.run(games or [], text, csv, json, schema, printing))


app.command()(around_game.people)
app.command()(around_game.close)
app.command()(on_paper.box)
app.command()(on_paper.blank)
app.command()(on_league.send)
app.command()(on_league.league)


@app.command()
def verify(
    games: options.SomeGames,
    at: Annotated[int, typer.Option(help="Print the mark after this number of entries, too.")] = -1,
) -> None:
    """Check that every entry of games is as it was recorded, and that each book adds up.

    Exit status 1 if not. It prints a mark for the game and for the end of each
    period. A printed sheet has its own mark and its number of entries, N: if
    --at N prints another mark, the file was changed since; it cannot tell by
    whom. Entries cut off the end show only when compared with the newest sheet.
    The mark covers the book, not the names on the lists nor the replies.
    """
    from callout.commands.verify import verify_all as run

    raise typer.Exit(run(games, at if at >= 0 else None))


@app.command()
def recover(
    file: Annotated[Path, typer.Argument(help="A damaged game's file. It is not changed.")],
    to: options.RecoveredTo = None,
    setup: SetupFile = None,
) -> None:
    """Save every whole entry of a damaged game into a new file; go on with that one.

    Exit status 1 if entries are lost, or may be: it names them, and says where
    it cannot know. The newest entries may lie in the log beside the game,
    FILE-wal: keep the two together. If the game's file is gone and its log is
    there, give --setup, too. To go on from a copy, give the copy a new name
    first: it is refused beside a log that is not its own.
    """
    from callout.commands.recover import recover as run

    raise typer.Exit(run(file, to, setup))


@app.command()
def forget(game: GameFile) -> None:
    """Strike all names from a game for good, and list the files that may still hold them.

    The numbers and the book stay, and who signed the book or a correction.
    It cannot know what was printed or copied by hand, nor what a disk keeps of
    overwritten files. The league's secretary strikes what was sent there.
    """
    from callout.commands.forget import forget as run

    raise typer.Exit(run(game))


@app.command()
def rules(
    profile: options.League = None,
    other: options.OtherLeague = None,
    json: Json = False,
) -> None:
    """List the leagues, print the rules of one with their sources, or show where two differ."""
    from callout.commands.rules import rules as run

    raise typer.Exit(run(profile, other, json))


@app.command()
def check(
    keys: options.CheckKeys = None,
    ear: options.CheckEar = False,
    microphone: options.MicrophoneName = "",
    voice_of: options.VoiceOf = "",
    language: options.CheckLanguage = "en",
) -> None:
    """Check whether this machine can speak and hear, its keys and pedals; and say what to do.

    With --ear it listens to the hall for three seconds and to five calls that
    you read out, says what to do about the microphone, and keeps a threshold for
    your voice. With --voice-of NAME there are twenty calls, and the ear learns
    your voice from them: callout live --voice-of NAME. It keeps no sound.
    """
    if ear:
        from callout.commands.check_ear import ear_check

        raise typer.Exit(ear_check(microphone or None, voice_of=voice_of, language=language))
    from callout.commands.check import check as run

    raise typer.Exit(run(keys, language))


app.command(epilog=manual.KEYS)(on_paper.keys)


@app.command()
def models(
    names: options.ModelNames = None,
    folder: options.ModelToCheck = None,
    mirror: options.Mirror = "",
) -> None:
    """Fetch the recognizer and the voice, verify every file, and print where they lie.

    After that nothing needs a network. Where they cannot be fetched, copy the
    folder vosk-model-en from another machine, and run this again. The environment
    variable CALLOUT_MODELS names another place for such folders.
    """
    from callout.commands.models import models as run

    raise typer.Exit(run(names or [], folder, mirror))


def main() -> None:
    """Run the command line. A mistake that its user can put right is one line, and status 2."""
    # Collected as often as Python does by itself, a game's words take 2.6 s to be ready, not 1.7 s.
    gc.set_threshold(100_000, 50, 100)
    open_streams()
    try:
        with ended_in_order(), whole_output():
            app(prog_name="callout")
    except CalloutError as error:
        print(f"callout: {error}", file=sys.stderr)
        sys.exit(2)
    except OSError as error:
        # An error about a file is the user's to put right; any other is a fault of the program.
        if error.filename is None:
            raise
        print(plain(f"callout: {os.fsdecode(error.filename)}: {why(error)}"), file=sys.stderr)
        sys.exit(2)
    except KeyboardInterrupt:
        sys.exit(130)


if __name__ == "__main__":
    main()
