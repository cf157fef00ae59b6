"""The command line of a league: sending games, and what its secretary asks."""

from __future__ import annotations

import typer

from callout.commands import options


def send(
    games: options.SomeGames, to: options.LeagueAddress = "", names: options.SendNames = False
) -> None:
    """Send games to a league's server. Sending again changes nothing; what is there is never lost.

    Without --to, to the server that the game's setup file names. The password
    belongs into ~/.pgpass. A server elsewhere must prove by TLS who it is.
    Numbers and initials are sent, names only with --names and where the league
    shows them. Exit status 1 if something is unsent.
    """
    from callout.commands.send import run

    raise typer.Exit(run(games, to, names))


def league(
    what: options.LeagueWord,
    values: options.LeagueValues = None,
    on: options.LeagueServer = "",
    season: options.SeasonName = "",
    csv: options.AsCsv = False,
    json: options.AsJson = False,
    profile: options.SeasonProfile = "",
    ranking: options.Ranking = "fiba",
    names: options.KeepNames = False,
) -> None:
    """Ask a league's server: table, leaders, discipline, missing, live. Or set it up.

    page shows the answers in a browser on this machine; it only reads, so give
    it a role of callout_reader. It shows what was counted last: whoever may
    count does so with each answer in the terminal.

    migrate makes its tables, or upgrades them; found LEAGUE SEASON begins a
    season; fixtures FILE reads the games to come from CSV, XLSX or iCalendar;
    place GAME FIXTURE says which fixture a game is, place GAME that it is none;
    count GAME VERSION says which book of a game counts; rebuild plays all games
    again and compares; strike takes all names of a season out for good.
    """
    from callout.commands.league import Asked, run
    from callout.errors import CalloutError

    if csv and json:
        raise CalloutError("expected one of --csv and --json, got both")
    form = "csv" if csv else "json" if json else "text"
    raise typer.Exit(run(what, on, Asked(values or [], season, form, profile, ranking, names)))
