"""The book as plain text, to be printed and continued with a pen."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from callout.game.figures.score import open_lines, shown
from callout.game.state import Charge, Checked, Game, Goal, Owner, TimeoutLine
from callout.game.terms import CheckedAs, Team
from callout.paper.note import Note
from callout.paper.sheet.words import approver
from callout.plain import plain
from callout.table.clock import clock_text
from callout.table.foul_codes import coach_codes
from callout.table.setup.setup import Setup
from callout.table.view import View, view

_NAME_WIDTH: Final = 22
_PLAYER: Final = "{:>5}  {:<22} {:>6} {:>4} {:>4} {:>4} {:>7}   {}"


def book_text(game: Game, setup: Setup, left_tenths: int, mark: str = "") -> str:
    """Lists with points and fouls, score and fouls by period, time-outs, arrow, and what is open.

    `mark` is the journal's; it shows later from which state of which file a sheet was printed.
    """
    seen = view(game, left_tenths)
    sections = (
        heading(seen, setup),
        _by_period("Score", seen["by_period"], seen["score"], setup),
        _by_period("Team fouls", seen["team_fouls"], None, setup),
        *(_team(game, seen, setup, team) for team in Team),
        _possession(seen, setup),
        *_before(game),
        _open(game, setup),
        *_closed(game),
        [f"{seen['entries']} entries, {seen['undone']} taken back" + (mark and f", mark {mark}")],
    )
    return "\n".join("\n".join(section) + "\n" for section in sections)


def player_names(game: Game, setup: Setup, team: Team) -> dict[str, str]:
    """The name of each player by the number that he wears now, which may not be the list's."""
    now = {first: last for last, first in game.side(team).first_worn}
    return {now.get(p.number, p.number): p.name for p in setup.team(team).players}


def heading(seen: View, setup: Setup) -> list[str]:
    """Who played, the score, how far the game has come, and who forfeited it."""
    score = seen["score"]
    where = {"before": "before the game", "over": "game over"}.get(
        seen["phase"], f"period {seen['period']}, {seen['phase']}"
    )
    kept = setup.owner is not Owner.NONE
    clock = f", clock {clock_text(seen['clock_tenths'])}" if kept else ""
    return [
        f"{setup.home.name} {score['home']}, {setup.guest.name} {score['guest']}",
        f"{setup.profile}, {setup.book.value} book; {where}{clock}",
        *_forfeit(seen, setup),
    ]


def _forfeit(seen: View, setup: Setup) -> list[str]:
    """Who forfeited, and the score by the rules, which may not be that of the players."""
    if not (lost := seen["forfeit"]):
        return []
    name, score = setup.team(Team(lost["by"])).name, lost["score"]
    how = "lost by default" if lost["default"] else "forfeited"
    return [f"{name} {how}; by the rules {score['home']}-{score['guest']}"]


def _when(game: Game, line: Goal | Charge | TimeoutLine) -> str:
    """When a line was booked: its period and, if a clock is kept, the time left."""
    left = shown(game, line.left_tenths)
    return f"P{line.period}" + ("" if left is None else f" {clock_text(left)}")


def _by_period(title: str, periods: Sequence[View], total: View | None, setup: Setup) -> list[str]:
    heads = [str(nth) for nth in range(1, len(periods) + 1)] + (["Total"] if total else [])
    lines = [_row(title, heads)]
    for team in Team:
        side = team.value
        figures = [period[side] for period in periods] + ([total[side]] if total else [])
        lines.append(_row(setup.team(team).name, figures))
    return lines


def _row(name: str, figures: Sequence[object]) -> str:
    return f"{name[:_NAME_WIDTH]:<{_NAME_WIDTH}}" + "".join(f"{each!s:>7}" for each in figures)


def _team(game: Game, seen: View, setup: Setup, team: Team) -> list[str]:
    side, listed = team.value, setup.team(team)
    names = player_names(game, setup, team)
    lines = [
        listed.name,
        _PLAYER.format("No.", "Name", "Points", "3", "2", "1", "Missed", "Fouls").rstrip(),
    ]
    for number, player in seen["players"][side].items():
        made, out = player["made"], ["OUT"] if player["out"] else []
        figures = (player["points"], made["3"], made["2"], made["1"], player["missed_1"])
        fouls = " ".join([*player["foul_codes"], *out])
        name = names.get(number, "")[:_NAME_WIDTH]
        lines.append(_PLAYER.format(number, name, *figures, fouls).rstrip())
    for number, shirt in seen["unlisted"][side].items():
        seen_so_far = (shirt["points"], "", "", "", "", shirt["fouls"])
        lines.append(_PLAYER.format(number, "(not listed)", *seen_so_far).rstrip())
    other = seen["team_points"][side] + seen["adjusted"][side]
    coach = coach_codes(game, game.profile.sheet.form, team)
    lines.append(
        f"Points of no player {other}; fouls of coach and bench: {' '.join(coach) or 'none'}; "
        f"next foul gives {seen['penalty'][side].replace('none', 'no')} shots"
    )
    lines.append(_timeouts(game, seen, team))
    worn = seen["first_worn"][side].items()
    lines += [f"No. {now} wore {first} at first" for now, first in worn]
    return lines


def _timeouts(game: Game, seen: View, team: Team) -> str:
    used = [_when(game, line) for line in game.timeouts if line.team is team]
    left = seen["timeouts_left"][team.value]
    return f"Time-outs used: {', '.join(used) or 'none'}; left {left}"


def _possession(seen: View, setup: Setup) -> list[str]:
    if seen["arrow"] is None:
        return ["Arrow: none"]
    return [f"Arrow: {setup.team(Team(seen['arrow'])).name} has the next throw-in by it"]


def _open(game: Game, setup: Setup) -> list[str]:
    lines = [*_numbers(game, setup), *map(str, waiting(game, setup))]
    return ["Open", *(f"  {line}" for line in lines)] if lines else ["Open: nothing"]


def _before(game: Game) -> Iterator[list[str]]:
    """What was done of the checklist before the game, where there is any, and how long before."""
    if game.checks:
        yield ["Before the game", *(f"  {_when_checked(game, each)}" for each in game.checks)]


_BECAME: Final = {
    CheckedAs.DONE: "done",
    CheckedAs.SKIPPED: "left open",
    CheckedAs.SEEN: "seen by the program",
}


def _when_checked(game: Game, check: Checked) -> str:
    what = _BECAME[check.how]
    if game.tip_ms is None:
        return f"{check.item}: {what}"
    left_s = (game.tip_ms - check.wall_ms + 500) // 1000
    sign = "-" if left_s < 0 else ""
    return f"{sign}{abs(left_s) // 60}:{abs(left_s) % 60:02} before the tip, {check.item}: {what}"


def _closed(game: Game) -> Iterator[list[str]]:
    """The approved score, and what was corrected after it, where there is any."""
    if game.approval is None:
        return
    one = game.approval
    yield [
        f"Approved by the officials{approver(one)}: home {one.home}, guest {one.guest}; "
        f"entry {one.entry}",
        *(
            plain(f"  entry {each.entry}, signed {each.by}: {each.reason}")
            for each in game.signatures
        ),
    ]


def _numbers(game: Game, setup: Setup) -> Iterator[str]:
    for line in open_lines(game):
        number = f"number {line.said}, not listed" if line.said else "number missing"
        yield f"{setup.team(line.team).name}: {_what(game, line)}, {number}"


def _what(game: Game, line: Goal | Charge) -> str:
    when = _when(game, line)
    if isinstance(line, Charge):
        return f"{when} foul"
    if line.free_throw:
        return f"{when} free throw {'made' if line.made else 'missed'}"
    return f"{when} basket of {line.points}"


def waiting(game: Game, setup: Setup) -> Iterator[Note]:
    """Throws to come and requests that wait."""
    for owed in game.owed:
        throws = "free throw" if owed.left == 1 else "free throws"
        yield Note(setup.team(owed.team).name, (f"{owed.left} {throws} to come",))
    for team in game.timeouts_asked:
        yield Note(setup.team(team).name, ("time-out asked for",))
    for side in game.subs_waiting:
        name, somebody = (setup.team(side).name, ()) if side else ("", ("Somebody", ": "))
        yield Note(name, (*somebody, "substitute waiting"))
