"""The book as plain text, to be printed and continued with a pen."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from callout.game.figures.score import open_lines, shown
from callout.game.state import Charge, Checked, Game, Goal, Owner, TimeoutLine
from callout.game.terms import Team
from callout.paper.note import Note
from callout.paper.sheet.words import approver, basket_words, number_words, throw_words
from callout.plain import plain
from callout.table.clock import clock_text
from callout.table.foul_codes import coach_codes
from callout.table.setup.setup import Setup
from callout.table.view import View, view
from callout.words import Words

_NAME_WIDTH: Final = 22
_PLAYER: Final = "{:>5}  {:<22} {:>6} {:>4} {:>4} {:>4} {:>7}   {}"


def book_text(game: Game, setup: Setup, left_tenths: int, words: Words, mark: str = "") -> str:
    """Lists with points and fouls, score and fouls by period, time-outs, arrow, and what is open.

    `mark` is the journal's; it shows later from which state of which file a sheet was printed.
    """
    seen = view(game, left_tenths)
    sections = (
        heading(words, seen, setup),
        _by_period(words, "score", seen["by_period"], seen["score"], setup),
        _by_period(words, "team_fouls", seen["team_fouls"], None, setup),
        *(_team(words, game, seen, setup, team) for team in Team),
        _possession(words, seen, setup),
        *_before(words, game),
        _open(words, game, setup),
        *_closed(words, game),
        [_counted(words, seen, mark)],
    )
    return "\n".join("\n".join(section) + "\n" for section in sections)


def _counted(words: Words, seen: View, mark: str) -> str:
    told = words.count("entries_undone", seen["entries"], undone=seen["undone"])
    return told + (words("and_mark", mark=mark) if mark else "")


def player_names(game: Game, setup: Setup, team: Team) -> dict[str, str]:
    """The name of each player by the number that he wears now, which may not be the list's."""
    now = {first: last for last, first in game.side(team).first_worn}
    return {now.get(p.number, p.number): p.name for p in setup.team(team).players}


def heading(words: Words, seen: View, setup: Setup) -> list[str]:
    """Who played, the score, how far the game has come, and who forfeited it."""
    score = seen["score"]
    where = words(f"phase_{seen['phase']}", period=seen["period"])
    clock = ""
    if setup.owner is not Owner.NONE:
        clock = words("and_clock", clock=clock_text(seen["clock_tenths"]))
    return [
        f"{setup.home.name} {score['home']}, {setup.guest.name} {score['guest']}",
        f"{setup.profile}, {words(f'book_{setup.book.value}')}; {where}{clock}",
        *_forfeit(words, seen, setup),
    ]


def _forfeit(words: Words, seen: View, setup: Setup) -> list[str]:
    """Who forfeited, and the score by the rules, which may not be that of the players."""
    if not (lost := seen["forfeit"]):
        return []
    name, score = setup.team(Team(lost["by"])).name, lost["score"]
    key = "gave_default" if lost["default"] else "gave_forfeit"
    return [words(key, name=name, score=f"{score['home']}-{score['guest']}")]


def _when(words: Words, game: Game, line: Goal | Charge | TimeoutLine) -> str:
    """When a line was booked: its period and, if a clock is kept, the time left."""
    left = shown(game, line.left_tenths)
    return words("period_short", nth=line.period) + ("" if left is None else f" {clock_text(left)}")


def _by_period(
    words: Words, title: str, periods: Sequence[View], total: View | None, setup: Setup
) -> list[str]:
    heads = [str(nth) for nth in range(1, len(periods) + 1)] + ([words("total")] if total else [])
    lines = [_row(words(title), heads)]
    for team in Team:
        side = team.value
        figures = [period[side] for period in periods] + ([total[side]] if total else [])
        lines.append(_row(setup.team(team).name, figures))
    return lines


def _row(name: str, figures: Sequence[object]) -> str:
    return f"{name[:_NAME_WIDTH]:<{_NAME_WIDTH}}" + "".join(f"{each!s:>7}" for each in figures)


def _team(words: Words, game: Game, seen: View, setup: Setup, team: Team) -> list[str]:
    side, listed = team.value, setup.team(team)
    names = player_names(game, setup, team)
    first, last = map(words, ("no", "name", "points")), map(words, ("missed", "fouls"))
    lines = [
        listed.name,
        _PLAYER.format(*first, "3", "2", "1", *last).rstrip(),
    ]
    for number, player in seen["players"][side].items():
        made, out = player["made"], [words("out_text")] if player["out"] else []
        figures = (player["points"], made["3"], made["2"], made["1"], player["missed_1"])
        fouls = " ".join([*player["foul_codes"], *out])
        name = names.get(number, "")[:_NAME_WIDTH]
        lines.append(_PLAYER.format(number, name, *figures, fouls).rstrip())
    for number, shirt in seen["unlisted"][side].items():
        seen_so_far = (shirt["points"], "", "", "", "", shirt["fouls"])
        lines.append(_PLAYER.format(number, f"({words('not_listed')})", *seen_so_far).rstrip())
    other = seen["team_points"][side] + seen["adjusted"][side]
    coach = coach_codes(game, game.profile.sheet.form, team)
    lines.append(
        words(
            "of_no_player",
            points=other,
            codes=" ".join(coach) or words("no_codes"),
            shots=words(f"gives_{seen['penalty'][side]}"),
        )
    )
    lines.append(_timeouts(words, game, seen, team))
    worn = seen["first_worn"][side].items()
    lines += [words("wore_first", number=now, first=first) for now, first in worn]
    return lines


def _timeouts(words: Words, game: Game, seen: View, team: Team) -> str:
    used = [_when(words, game, line) for line in game.timeouts if line.team is team]
    left = seen["timeouts_left"][team.value]
    return words("timeouts_used", used=", ".join(used) or words("no_timeouts"), left=left)


def _possession(words: Words, seen: View, setup: Setup) -> list[str]:
    if seen["arrow"] is None:
        return [words("arrow_none")]
    return [words("arrow_has", name=setup.team(Team(seen["arrow"])).name)]


def _open(words: Words, game: Game, setup: Setup) -> list[str]:
    lines = [*_numbers(words, game, setup), *map(str, waiting(words, game, setup))]
    return [words("open"), *(f"  {line}" for line in lines)] if lines else [words("open_nothing")]


def _before(words: Words, game: Game) -> Iterator[list[str]]:
    """What was done of the checklist before the game, where there is any, and how long before."""
    if game.checks:
        done = (_when_checked(words, game, each) for each in game.checks)
        yield [words("checklist"), *(f"  {each}" for each in done)]


def _when_checked(words: Words, game: Game, check: Checked) -> str:
    what = f"{words.items.get(check.item, check.item)}: {words(f'checked_{check.how.value}')}"
    if game.tip_ms is None:
        return what
    left_s = (game.tip_ms - check.wall_ms + 500) // 1000
    sign = "-" if left_s < 0 else ""
    time = f"{sign}{abs(left_s) // 60}:{abs(left_s) % 60:02}"
    return words("before_tip", time=time, what=what)


def _closed(words: Words, game: Game) -> Iterator[list[str]]:
    """The approved score, and what was corrected after it, where there is any."""
    if game.approval is None:
        return
    one = game.approval
    yield [
        words("approved_text", by=approver(one), home=one.home, guest=one.guest, entry=one.entry),
        *(
            plain(words("signed_text", entry=each.entry, by=each.by, reason=each.reason))
            for each in game.signatures
        ),
    ]


def _numbers(words: Words, game: Game, setup: Setup) -> Iterator[str]:
    for line in open_lines(game):
        number = number_words(words, None, line.said)
        yield f"{setup.team(line.team).name}: {_what(words, game, line)}, {number}"


def _what(words: Words, game: Game, line: Goal | Charge) -> str:
    when = _when(words, game, line)
    if isinstance(line, Charge):
        return f"{when} {words('foul')}"
    if line.free_throw:
        return f"{when} {throw_words(words, line.made)}"
    return f"{when} {basket_words(words, line.points, own=False)}"


def waiting(words: Words, game: Game, setup: Setup) -> Iterator[Note]:
    """Throws to come and requests that wait."""
    for owed in game.owed:
        yield Note(setup.team(owed.team).name, words.count("throws_to_come", owed.left))
    for team in game.timeouts_asked:
        yield Note(setup.team(team).name, words("timeout_asked"))
    for side in game.subs_waiting:
        what = words("sub_waiting")
        yield Note(setup.team(side).name, what) if side else Note("", words("somebody", what=what))
