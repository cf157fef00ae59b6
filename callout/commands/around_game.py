"""The command line of what is done around a game: its setup, names for its sheet, its end."""

from __future__ import annotations

from typing import Annotated

import typer

from callout.commands import options


def new(
    file: options.NewSetup = None,
    page: options.SetupPage = 0,
    fixtures: options.Fixtures = "",
    language: options.NewLanguage = "en",
) -> None:
    """Ask for the league, the teams and their numbers, and write the setup file of a game.

    Lists may be pasted, or lie in a CSV file with the columns No. and Player. An
    old file is never replaced. With --page it asks for all of it in a browser,
    where lists may be XLSX, too, and a microphone can be tried. With --fixtures
    the game is picked from a league's list.
    """
    if page:
        from callout.commands.new_page import new_page

        raise typer.Exit(new_page(file, page, language))
    from callout.commands.new import new as run

    raise typer.Exit(run(file, fixtures=fixtures, language=language))


def people(game: options.GameFile) -> None:
    """Ask for the names of coaches and officials: they stand on the sheet of the game.

    They may come late, after the game began or when it is over: the book stays
    as it was. A setup file that has them does the same when it is given again
    with 'callout live GAME --setup FILE'.
    """
    from callout.commands.people import people as run

    raise typer.Exit(run(game))


def before(
    game: options.LiveGame,
    tip: Annotated[
        str, typer.Option(help="When the game begins, as the wall clock shows it: 19:30.")
    ] = "",
    setup: options.SetupFile = None,
    ear: options.AutoEar = "auto",
    voice: options.VoiceName = "auto",
    microphone: options.MicrophoneName = "",
    headset: options.HeadsetName = "",
    ears: options.Ears = "left",
    talk_over: options.TalkOver = False,
    keys: options.OwnKeys = "",
    language: options.Language = "",
    model: options.ModelFolder = None,
    voice_of: options.VoiceOf = "",
) -> None:
    """Go through the league's checklist before the tip, with the clock of the interval.

    It reads one item after the other: say 'done' or 'not yet', or press D or S;
    'what is left', L. It sees to the lists, reads the starters back, and says
    when lists and starters are due and when the referees must be told. Ctrl-C
    ends it; the same command goes on, and 'callout live' with the same game.
    """
    from callout.commands.before import before as run
    from callout.edges.live.voice import Outlets

    outlets = Outlets(voice=voice, headset=headset or None, ears=ears, talk_over=talk_over)
    raise typer.Exit(run(
        game, outlets, tip, ear, keys, setup=setup, microphone=microphone or None,
        language=language, model=model, voice_of=voice_of,
    ))  # fmt: skip


def close(
    game: options.GameFile,
    correct: Annotated[
        str,
        typer.Option(help="A correction of the book, as it is called: 'third quarter, home "
                     "foul five was four', or 'set home score 31'."),
    ] = "",
    by: Annotated[
        str, typer.Option(help="The name of who makes the correction, or approves the score.")
    ] = "",
    reason: Annotated[str, typer.Option(help="Why it is made.")] = "",
    say: options.SayAloud = False,
) -> None:  # fmt: skip
    """Close the book: settle what is open, have the officials approve the score.

    Exit status 1 if they have not. --by "Ann Lee, referee" alone names who
    approves. Before, --correct alone puts a line right. From then on the book
    takes nothing but corrections with --correct, --by and --reason: name and
    reason stay in the game, and 'callout verify' and the sheet show them. At
    the end it asks whether the players' names are to be struck.
    """
    from callout.commands.close import Signature
    from callout.commands.close import close as run

    signature = Signature(by, reason) if by or reason else None
    raise typer.Exit(run(game, correct, signature, say))
