"""The command line: `callout COMMAND …`."""

from __future__ import annotations

import io
import os
import sys
from pathlib import Path
from typing import Annotated, Optional

import typer

from callout.edges.signals import ended_in_order
from callout.errors import CalloutError, why
from callout.plain import plain

app = typer.Typer(
    help="Keeps the book at a basketball table: you say what happens, it answers in your ear.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)

SetupFile = Annotated[
    Optional[Path],  # noqa: UP045 - typer reads the annotation itself
    typer.Option("--setup", help="A file with the teams: lines such as 'home: Kites | 4 5 7'."),
]
MicrophoneName = Annotated[
    str, typer.Option(help="A part of the microphone's name, if not the usual one.")
]
HeadsetName = Annotated[
    str, typer.Option(help="A part of the headset's name, if not the usual one.")
]
Ears = Annotated[str, typer.Option(help="Where the voice is heard: left, right or both.")]
TalkOver = Annotated[
    bool,
    typer.Option("--talk-over", help="The microphone does not hear the headset: a call spoken over "
                 "a reply is heard, and stops it."),
]  # fmt: skip
OwnKeys = Annotated[
    str,
    typer.Option(
        help="A file with your own keys and pedals; or typed: you type calls in words, and "
        "keys make none."
    ),
]
Loudspeaker = Annotated[
    str,
    typer.Option(
        help="A part of the name of a loudspeaker for the horn and for 'tell officials'; "
        "without it the headset has them."
    ),
]
CopyTo = Annotated[
    Optional[Path],  # noqa: UP045
    typer.Option(help="Another folder for the copies at each period's end, such as a stick."),
]
Language = Annotated[str, typer.Option(help="The language of the calls: en, es, or a folder.")]
ModelFolder = Annotated[
    Optional[Path],  # noqa: UP045
    typer.Option(help="A recognizer's folder, if not the fetched one."),
]
Json = Annotated[bool, typer.Option("--json", help="Print JSON for other programs.")]


@app.command()
def live(
    game: Annotated[Path, typer.Argument(help="The game's file: made if new, resumed if not.")],
    setup: SetupFile = None,
    ear: Annotated[
        str,
        typer.Option(
            help="open: it always listens. hold: while the key to talk is held, or from one press "
            "of / to the next. tap: for one call after each press. off: keys alone."
        ),
    ] = "open",
    voice: Annotated[
        str,
        typer.Option(
            help="auto: aloud if it can. print: on the screen only. Or a .wav file to write, "
            "a piper voice's .onnx file, or system: the voice that this system has."
        ),
    ] = "auto",
    microphone: MicrophoneName = "",
    headset: HeadsetName = "",
    ears: Ears = "left",
    loudspeaker: Loudspeaker = "",
    talk_over: TalkOver = False,
    screen: Annotated[
        bool, typer.Option("--screen", help="Show score, clock and fouls large.")
    ] = False,
    keys: OwnKeys = "",
    copy_to: CopyTo = None,
    language: Language = "en",
    model: ModelFolder = None,
) -> None:
    """Keep a game at the table: you call, it books and answers. Ctrl-C ends it; nothing is lost.

    The same command with the same GAME goes on where it ended.
    """
    from callout.commands.live import live as run
    from callout.edges.live.voice import Outlets

    outlets = Outlets(
        voice=voice, headset=headset or None, ears=ears, loudspeaker=loudspeaker or None,
        talk_over=talk_over)  # fmt: skip
    status = run(
        game, setup=setup, ear=ear, outlets=outlets, microphone=microphone or None, screen=screen,
        keys=keys, copy_to=copy_to, language=language, model=model,
    )  # fmt: skip
    raise typer.Exit(status)


@app.command()
def hear(
    files: Annotated[list[Path], typer.Argument(help="Sound files: WAV, FLAC or OGG.")],
    grammar: Annotated[
        Optional[Path],  # noqa: UP045
        typer.Option(help="Another language folder in place of English at the table."),
    ] = None,
    roster: Annotated[str, typer.Option(help="The players' numbers, of both teams: 4,5,00.")] = "",
    model: ModelFolder = None,
    json: Json = False,
) -> None:
    """Tell what is heard in sound files, one line for each call."""
    from callout.commands.hear import hear as run

    raise typer.Exit(run(files, grammar, roster or None, json, model))


@app.command()
def replay(
    scripts: Annotated[list[Path], typer.Argument(help="Game scripts, or files of games.")],
    json: Json = False,
    say: Annotated[bool, typer.Option("--say", help="Answer aloud, too.")] = False,
    keep: Annotated[
        Optional[Path],  # noqa: UP045
        typer.Option(help="Keep the game in this file, which must be new."),
    ] = None,
) -> None:
    """Run game scripts and check what they expect, or show a game again.

    Needs no microphone and no recognizer. Exit status 1 if something is not as expected.
    """
    from callout.commands.replay import replay as run

    raise typer.Exit(run(scripts, json, say, keep))


GameFile = Annotated[Path, typer.Argument(help="A game's file.")]


@app.command()
def sheet(
    game: GameFile,
    text: Annotated[
        bool,
        typer.Option("--text", help="As plain text: the only form so far, and it must be named."),
    ] = False,
) -> None:
    """Print the book of a game: lists, score, fouls, time-outs, arrow, and what is open."""
    from callout.commands.sheet import sheet as run

    raise typer.Exit(run(game, text))


@app.command()
def verify(
    game: GameFile,
    at: Annotated[int, typer.Option(help="Print the mark of its first N entries, too.")] = -1,
) -> None:
    """Tell whether a game is as it was recorded, and whether its book adds up.

    Exit status 1 if not.
    """
    from callout.commands.verify import verify as run

    raise typer.Exit(run(game, at if at >= 0 else None))


@app.command()
def recover(
    file: Annotated[Path, typer.Argument(help="A damaged game's file; it is left as it is.")],
    to: Annotated[
        Optional[Path],  # noqa: UP045
        typer.Option(help="The new file, if not FILE-recovered."),
    ] = None,
    setup: SetupFile = None,
) -> None:
    """Save every whole entry of a damaged game into a new file.

    Exit status 1 if entries are missing, or may be.
    """
    from callout.commands.recover import recover as run

    raise typer.Exit(run(file, to, setup))


@app.command()
def forget(game: GameFile) -> None:
    """Strike all names from a game for good, and list the files that may still hold them."""
    from callout.commands.forget import forget as run

    raise typer.Exit(run(game))


@app.command()
def rules(
    profile: Annotated[
        Optional[str],  # noqa: UP045
        typer.Argument(help="A league's profile; all are listed if none is named."),
    ] = None,
    other: Annotated[
        Optional[str],  # noqa: UP045
        typer.Argument(help="Another: only what differs in the two is printed."),
    ] = None,
    json: Json = False,
) -> None:
    """Print a league's rules, each with its source, or where two leagues differ."""
    from callout.commands.rules import rules as run

    raise typer.Exit(run(profile, other, json))


@app.command()
def check(
    keys: Annotated[
        Optional[Path],  # noqa: UP045
        typer.Option(help="Your own file of keys, to be looked at too."),
    ] = None,
    ear: Annotated[
        bool, typer.Option("--ear", help="Listen to the hall, and to five calls read out.")
    ] = False,
    microphone: MicrophoneName = "",
) -> None:
    """Tell what of this machine works at a table, what does not, and what to do about it."""
    if ear:
        from callout.commands.check_ear import ear_check

        raise typer.Exit(ear_check(microphone or None))
    from callout.commands.check import check as run

    raise typer.Exit(run(keys))


@app.command()
def keys(
    file: Annotated[Path, typer.Argument(help="Your file of keys: made if new, added to if not.")],
) -> None:
    """Learn keys and pedals by your pressing them."""
    from callout.commands.keys import keys as run

    raise typer.Exit(run(file))


@app.command()
def models(
    names: Annotated[
        Optional[list[str]],  # noqa: UP045
        typer.Argument(help="Which ones; all if none is named."),
    ] = None,
    folder: Annotated[
        Optional[Path],  # noqa: UP045
        typer.Option(help="A recognizer's folder that you have: tells whether it will do."),
    ] = None,
    mirror: Annotated[str, typer.Option(help="A folder or address that has the archive.")] = "",
) -> None:
    """Fetch the recognizer and the voice, and verify every file.

    Once they are there, nothing here needs a network again.
    """
    from callout.commands.models import models as run

    raise typer.Exit(run(names or [], folder, mirror))


def main() -> None:
    """Run the command line; what a person can put right is one line and status 2."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # A file's name may hold what the terminal cannot show; in JSON this is an escape.
            stream.reconfigure(errors="backslashreplace")
    try:
        with ended_in_order():
            app(prog_name="callout")
    except CalloutError as error:
        print(f"callout: {error}", file=sys.stderr)
        sys.exit(2)
    except OSError as error:
        # Whatever the system says of a file is for a person to put right; else it is our mistake.
        if error.filename is None:
            raise
        print(plain(f"callout: {os.fsdecode(error.filename)}: {why(error)}"), file=sys.stderr)
        sys.exit(2)
    except KeyboardInterrupt:
        sys.exit(130)


if __name__ == "__main__":
    main()
