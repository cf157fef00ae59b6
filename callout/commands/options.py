"""Arguments and options that commands share, with what `--help` says of each."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Optional

import typer

GameFile = Annotated[Path, typer.Argument(help="A game's file.")]
LiveGame = Annotated[
    Path, typer.Argument(help="The game's file: created, or resumed if it exists.")
]
SetupFile = Annotated[
    Optional[Path],  # noqa: UP045 - typer reads the annotation itself
    typer.Option("--setup", help="The setup file: league, teams and players' numbers."),
]
MicrophoneName = Annotated[
    str, typer.Option(help="Part of the microphone's name, if not the usual one.")
]
HeadsetName = Annotated[str, typer.Option(help="Part of the headset's name, if not the usual one.")]
Ears = Annotated[str, typer.Option(help="Where you hear the voice: left, right or both.")]
TalkOver = Annotated[
    bool,
    typer.Option("--talk-over", help="Hear calls while the voice speaks, and let a call stop it. "
                 "Only for a headset that the microphone cannot hear."),
]  # fmt: skip
OwnKeys = Annotated[
    str,
    typer.Option(help="A file with your own keys and pedals; or 'typed': you type calls in words, "
                 "and no key makes one."),
]  # fmt: skip
Loudspeaker = Annotated[
    str,
    typer.Option(help="Part of the name of a loudspeaker for the horn and for 'tell officials'. "
                 "Without one, the headset plays them."),
]  # fmt: skip
PagePort = Annotated[
    int,
    typer.Option("--page", min=0, max=65535, show_default=False,
                 help="Serve pages for the hall and for your partner on this port, such as 8765."),
]  # fmt: skip
SharePages = Annotated[
    bool,
    typer.Option("--share", help="Let telephones in the hall's network open the pages, by the "
                 "addresses printed at the start."),
]  # fmt: skip
CopyTo = Annotated[
    Optional[Path],  # noqa: UP045
    typer.Option(help="A second folder for the copies at each period's end, such as a stick."),
]
Language = Annotated[
    str,
    typer.Option(help="The language of calls and replies: en, es, or the folder of another; if not "
                 "given, the one that the game keeps. All but en need a --model of that language, "
                 "or --ear off.", show_default=False),
]  # fmt: skip
NewLanguage = Annotated[
    str,
    typer.Option("--language", help="The language of the page and of the game's calls and replies, "
                 "which the game keeps: en, es."),
]  # fmt: skip
CheckLanguage = Annotated[
    str,
    typer.Option("--language", help="The language whose voice is tried: en, es, or a folder. "
                 "--ear listens to English alone."),
]  # fmt: skip
ModelFolder = Annotated[
    Optional[Path],  # noqa: UP045
    typer.Option(help="The folder of a recognizer to use in place of the fetched one."),
]
Json = Annotated[bool, typer.Option("--json", help="Print JSON for other programs.")]
EarMode = Annotated[
    str,
    typer.Option(help="When it listens. open: always. hold: while the key or pedal to talk is "
                 "held, or from one press of / to the next. tap: for one call after each press. "
                 "off: never; use keys."),
]  # fmt: skip
AutoEar = Annotated[
    str,
    typer.Option(help="As for callout live; auto: open, where there is a microphone, else off."),
]
VoiceName = Annotated[
    str,
    typer.Option(help="auto: the fetched voice, if this machine has sound. print: on the screen "
                 "only. system: the voice of your system. Or a piper voice's .onnx file; or a .wav "
                 "file to write."),
]  # fmt: skip
Games = Annotated[
    Optional[list[Path]],  # noqa: UP045
    typer.Argument(help="Files of games.", show_default=False),
]
SomeGames = Annotated[list[Path], typer.Argument(help="Files of games.")]
AsText = Annotated[bool, typer.Option("--text", help="As plain text, the default.")]
CsvFolder = Annotated[
    Optional[Path],  # noqa: UP045
    typer.Option("--csv", help="Write players.csv, periods.csv, lines.csv and entries.csv into "
                 "this folder, in place of older ones."),
]  # fmt: skip
GameJson = Annotated[bool, typer.Option("--json", help="As JSON, one line for each game.")]
JsonSchema = Annotated[bool, typer.Option("--schema", help="Print the JSON Schema of --json.")]
AsPdf = Annotated[bool, typer.Option("--pdf", help="Write a PDF.")]
AsPng = Annotated[bool, typer.Option("--png", help="Write a picture.")]
Paper = Annotated[str, typer.Option(help="The size of the paper: a4 or letter.")]
ToFolder = Annotated[
    Optional[Path],  # noqa: UP045
    typer.Option("--to", help="The folder for these files, if not that of the game or this one."),
]
SheetForm = Annotated[
    str,
    typer.Option("--form", help="The form of the sheet: fiba, american, or the league's own."),
]
Unfinished = Annotated[
    bool, typer.Option("--open", help="Print the sheet of a game that is not over, too.")
]
KeysFile = Annotated[
    Optional[Path],  # noqa: UP045
    typer.Argument(help="Your file of keys: created, or added to if it exists."),
]
NewSetup = Annotated[
    Optional[Path],  # noqa: UP045
    typer.Argument(help="The new setup file; named after the teams if not given."),
]
SetupPage = Annotated[
    int,
    typer.Option("--page", min=0, max=65535, show_default=False,
                 help="Ask on a page in a browser, on this port, such as 8765."),
]  # fmt: skip
Fixtures = Annotated[
    str,
    typer.Option(help="Pick the game from a league's list: a CSV, XLSX or .ics file, or its "
                 "server, postgresql://…"),
]  # fmt: skip
SayAloud = Annotated[bool, typer.Option("--say", help="Say the answers aloud, too.")]
Talk = Annotated[bool, typer.Option("--talk", help="Print each call, and what is said back.")]
KeepGame = Annotated[
    Optional[Path],  # noqa: UP045
    typer.Option(help="Record the script's game in this new file."),
]
RecoveredTo = Annotated[
    Optional[Path],  # noqa: UP045
    typer.Option(help="The new file; FILE-recovered if not given."),
]
League = Annotated[
    Optional[str],  # noqa: UP045
    typer.Argument(help="A league's profile. Without one, all leagues are listed."),
]
OtherLeague = Annotated[
    Optional[str],  # noqa: UP045
    typer.Argument(help="A second profile, to print only where the two differ."),
]
Screen = Annotated[
    bool, typer.Option("--screen", help="Show score, clock and fouls in large letters.")
]
SoundFiles = Annotated[list[Path], typer.Argument(help="Sound files: WAV, FLAC or OGG.")]
Grammar = Annotated[
    Optional[Path],  # noqa: UP045
    typer.Option(help="A language folder to use in place of grammars/en."),
]
CardLeague = Annotated[
    str, typer.Option("--league", help="Only what this league has: a profile of callout rules.")
]
LargePrint = Annotated[bool, typer.Option("--large", help="In large print, without what is rare.")]
RosterNumbers = Annotated[
    str, typer.Option(help="The players' numbers, the same for both teams: 4,5,00.")
]
Scripts = Annotated[list[Path], typer.Argument(help="Game scripts, or games' files.")]
CheckKeys = Annotated[
    Optional[Path],  # noqa: UP045
    typer.Option(help="Your own file of keys, to check it and its pedal, too."),
]
CheckEar = Annotated[
    bool, typer.Option("--ear", help="Listen to the hall, and to five calls that you read.")
]
VoiceOf = Annotated[
    str, typer.Option(help="Whose voice the ear learns by check --ear, and hears in a game.")
]
ModelNames = Annotated[
    Optional[list[str]],  # noqa: UP045
    typer.Argument(help="Which ones: vosk-model-en, joe. All if none is given."),
]
ModelToCheck = Annotated[
    Optional[Path],  # noqa: UP045
    typer.Option(help="Fetch nothing, but say whether the model in this folder can be used."),
]
Mirror = Annotated[str, typer.Option(help="A folder or address that has the archive.")]
BlankOf = Annotated[str, typer.Argument(help="A game's file, a setup file, or a league.")]
LeagueAddress = Annotated[
    str, typer.Option("--to", help="The league's server: postgresql://ROLE@HOST/DATABASE.")
]
SendNames = Annotated[
    bool, typer.Option("--names", help="Send people's names, too, if the league shows them.")
]
LeagueWord = Annotated[
    str,
    typer.Argument(help="table, leaders, discipline, missing or live; page; or migrate, found, "
                   "fixtures, place, count, rebuild, strike."),
]  # fmt: skip
LeagueValues = Annotated[
    Optional[list[str]],  # noqa: UP045
    typer.Argument(
        help="What the word needs: for leaders points, threes, throws or fouls; for page a port."
    ),
]
LeagueServer = Annotated[
    str,
    typer.Option("--on", envvar="CALLOUT_LEAGUE",
                 help="The league's server: postgresql://ROLE@HOST/DATABASE."),
]  # fmt: skip
SeasonName = Annotated[
    str, typer.Option(help="The season, as SEASON or 'LEAGUE, SEASON'; the newest if not given.")
]
AsCsv = Annotated[bool, typer.Option("--csv", help="As CSV, for a spreadsheet.")]
AsJson = Annotated[bool, typer.Option("--json", help="As JSON, for other programs.")]
SeasonProfile = Annotated[
    str, typer.Option("--profile", help="For found: the rules, one that callout rules lists.")
]
Ranking = Annotated[
    str, typer.Option(help="For found: how teams are ranked: fiba, share, or a .toml file.")
]
KeepNames = Annotated[
    bool, typer.Option("--names", help="For found: the league keeps names where tables send them.")
]
