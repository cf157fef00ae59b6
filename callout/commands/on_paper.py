"""The command line of what is drawn on paper: box score, blank sheet, card of calls and keys."""

from __future__ import annotations

import typer

from callout.commands import options
from callout.errors import CalloutError


def box(
    games: options.SomeGames,
    pdf: options.AsPdf = False,
    png: options.AsPng = False,
    paper: options.Paper = "a4",
    to: options.ToFolder = None,
) -> None:
    """Print the box score of games; with --pdf or --png a page of it with the game's course."""
    from callout.commands.box import box as run

    raise typer.Exit(run(games, pdf, png, paper, to))


def blank(
    what: options.BlankOf,
    pdf: options.AsPdf = False,
    png: options.AsPng = False,
    paper: options.Paper = "a4",
    to: options.ToFolder = None,
) -> None:
    """Write a score sheet to go on by hand, if everything fails; as PDF, or --png.

    Of a game it has all that was booked so far: lists, baskets, fouls, time-outs
    and arrow; the sums are left to the pen. Of a setup file it has the lists
    alone, of a league nothing.
    """
    from callout.commands.blank import blank as run

    raise typer.Exit(run(what, pdf, png, paper, to))


def keys(
    file: options.KeysFile = None,
    league: options.CardLeague = "",
    pdf: options.AsPdf = False,
    png: options.AsPng = False,
    large: options.LargePrint = False,
    paper: options.Paper = "a4",
    to: options.ToFolder = None,
) -> None:
    """Print all calls with their keys; or, with a FILE, learn your own keys and pedals for it.

    Type what a key shall say, then press the key.
    'callout live GAME --keys FILE' uses the file.
    """
    if file is None:
        from callout.commands.printed_card import run as card

        raise typer.Exit(card(league, pdf, png, large, paper, to))
    if league or pdf or png or large:
        raise CalloutError("expected a file of your own keys, or the card of a league, got both")
    from callout.commands.keys import keys as run

    raise typer.Exit(run(file))
