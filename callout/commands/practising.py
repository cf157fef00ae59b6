"""The command line of `callout practice`."""

from __future__ import annotations

from typing import Annotated, Optional

import typer

from callout.commands import options

Level = Annotated[
    int,
    typer.Option(help="1: goals, fouls, free throws and time-outs. 2: the whole book. 3: the book "
                 "and the clock, alone, in a fast last period."),
]  # fmt: skip
Lesson = Annotated[
    bool, typer.Option("--lesson", help="Learn the ten most frequent calls, in three minutes.")
]
Pace = Annotated[str, typer.Option(help="slow, normal or fast.")]
Minutes = Annotated[float, typer.Option(help="How long it lasts.")]
Seed = Annotated[
    Optional[int],  # noqa: UP045 - typer reads the annotation itself
    typer.Option(help="A number: the same one gives the same game.", show_default=False),
]
AllPdf = Annotated[
    bool, typer.Option("--pdf", help="Play nothing; draw all your practices into practice.pdf.")
]
AllPng = Annotated[bool, typer.Option("--png", help="The same as a picture, practice.png.")]
PracticeLanguage = Annotated[
    str,
    typer.Option("--language", help="The language of plays, calls and report: en, es; if not "
                 "given, the setup's. The ear hears en alone.", show_default=False),
]  # fmt: skip


def practice(
    level: Level = 1,
    lesson: Lesson = False,
    pace: Pace = "normal",
    minutes: Minutes = 4.0,
    setup: options.SetupFile = None,
    ear: options.AutoEar = "auto",
    voice: options.VoiceName = "auto",
    microphone: options.MicrophoneName = "",
    headset: options.HeadsetName = "",
    ears: options.Ears = "left",
    talk_over: options.TalkOver = False,
    keys: options.OwnKeys = "",
    seed: Seed = None,
    pdf: AllPdf = False,
    png: AllPng = False,
    paper: options.Paper = "a4",
    to: options.ToFolder = None,
    language: PracticeLanguage = "",
) -> None:
    """Practise: an invented game is told to you, you call it, and hear what you missed.

    Begin with --lesson. It works by voice, by keys, and in print where there
    is no sound. At the end it says how fast you were and what to train. Ctrl-C
    ends it earlier. Only figures are kept, on this machine, and no name.
    """
    from callout.commands.practice import Wanted, course
    from callout.commands.practice import practice as run
    from callout.edges.live.voice import Outlets

    if pdf or png:
        raise typer.Exit(course(pdf, png, paper, to, language=language))
    outlets = Outlets(voice=voice, headset=headset or None, ears=ears, talk_over=talk_over)
    wanted = Wanted(level, lesson, pace, minutes, seed)
    raise typer.Exit(run(wanted, outlets, setup, ear, microphone or None, keys, language=language))
