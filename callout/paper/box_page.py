"""What stands on the page of box score and course: plain values, which `box.typ` places."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from callout.game.figures.forfeits import official_score
from callout.game.profile.profile import Profile
from callout.game.state import Owner, Phase
from callout.game.terms import FoulKind, Team
from callout.paper.box_rows import BoxRow, box_rows
from callout.paper.chart import chart, span_name
from callout.paper.course import (
    LONG_RUN,
    Course,
    Step,
    course,
    largest_lead,
    lead_changes,
    runs,
    ties,
)
from callout.paper.court_time import CourtTime, court_time, left_at_end
from callout.paper.export import Recorded
from callout.paper.text import player_names
from callout.table.clock import clock_text
from callout.table.foul_codes import CODES
from callout.words import Words

TEMPLATE: Final = Path(__file__).with_name("box.typ")
PAPERS: Final = {"a4": "a4", "letter": "us-letter"}
"""The sizes of paper, each with typst's name for it."""


def box_page(recorded: Recorded, words: Words, paper: str = "a4") -> dict[str, Any]:
    """The page's values; all text is to be shown as it is."""
    game, seen, setup = recorded.game, recorded.seen, recorded.setup
    left = left_at_end(game, recorded.entries, recorded.left_tenths)
    way = course(game, left)
    names = {team: setup.team(team).name for team in Team}
    times = {team: court_time(words, game, recorded.entries, team, left) for team in Team}
    rows = {team: box_rows(words, game, team, seen) for team in Team}
    return {
        "paper": PAPERS[paper],
        "lang": words.language,
        "words": dict(words.texts),
        "names": {team.value: names[team] for team in Team},
        "score": seen["score"],
        "league": game.profile.title,
        "state": state(words, recorded),
        "final": game.phase is Phase.OVER,
        "mark": recorded.mark,
        "periods": _periods(words, recorded, way),
        "chart": chart(words, game.profile, way),
        "facts": _facts(words, game.profile, way),
        "timed": any(span.timed for span in way.spans),
        "least_run": LONG_RUN,
        "teams": [_team(recorded, team, rows[team], times[team]) for team in Team],
        "notes": list(_notes(words, rows, times, names)),
    }


def state(words: Words, recorded: Recorded) -> str:
    """How far the game is, in words."""
    game = recorded.game
    if game.forfeit is not None:
        name, how = recorded.setup.team(game.forfeit.team).name, game.forfeit.default
        by_rules = "–".join(map(str, official_score(game, game.forfeit)))
        return words("lost_default" if how else "lost_forfeit", name=name, score=by_rules)
    if game.phase is Phase.OVER:
        return words("game_over")
    if game.phase is Phase.BEFORE:
        return words("checklist")
    over = game.period - game.profile.periods.count
    period = words("in_overtime", nth=over) if over > 0 else words("in_period", nth=game.period)
    if game.phase is Phase.INTERVAL:
        return words("not_over_after", period=period)
    if game.owner is Owner.NONE:
        return words("not_over", period=period)
    tenths = recorded.left_tenths
    left = words("minutes_left" if tenths >= 600 else "seconds_left", clock=clock_text(tenths))
    return words("not_over_left", period=period, left=left)


def _periods(words: Words, recorded: Recorded, way: Course) -> dict[str, Any]:
    """Points by period, as many as have begun."""
    points: Sequence[Mapping[str, int]] = recorded.seen["by_period"]
    spans = way.spans[: len(points)]
    return {
        "heads": [span_name(words, recorded.game.profile, span) for span in spans],
        "home": [period["home"] for period in points],
        "guest": [period["guest"] for period in points],
    }


def _facts(words: Words, profile: Profile, way: Course) -> dict[str, Any]:
    """The figures beside the picture."""
    each: dict[str, Any] = {}
    for team in Team:
        lead = largest_lead(way.steps, team)
        best = max(
            (run for run in runs(way.steps, 1) if run.team is team),
            key=lambda run: run.points,
            default=None,
        )
        told = {"lead": words("no_lead"), "run": words("no_run")}
        if lead:
            told["lead"] = f"{abs(lead.margin)} ({_when(words, profile, way, lead)})"
        if best:
            told["run"] = f"{best.points} ({_when(words, profile, way, best.steps[0])})"
        each[team.value] = told
    return {**each, "changes": len(lead_changes(way.steps)), "ties": len(ties(way.steps))}


def _when(words: Words, profile: Profile, way: Course, step: Step) -> str:
    """When points were made: `3, 4:12` for the third period with 4:12 left."""
    span = way.spans[step.period - 1]
    name = span_name(words, profile, span)
    return f"{name}, {clock_text(span.to_tenths - step.at_tenths)}" if span.timed else name


def _team(
    recorded: Recorded, team: Team, rows: Sequence[BoxRow], times: CourtTime
) -> dict[str, Any]:
    kinds = sorted(recorded.game.profile.goals.field, reverse=True)
    names = player_names(recorded.game, recorded.setup, team)
    return {
        "name": recorded.setup.team(team).name,
        "kinds": kinds,
        "timed": bool(times.tenths),
        "rows": [_row(row, kinds, names, times.tenths) for row in rows],
    }


def _row(
    row: BoxRow, kinds: Sequence[int], names: Mapping[str, str], times: Mapping[str, int]
) -> dict[str, Any]:
    taken = row.throws_made + row.throws_missed
    return {
        "head": row.head,
        "name": names.get(row.head, "") if row.listed else None,
        "made": [row.made.get(kind, 0) for kind in kinds],
        "throws": f"{row.throws_made}/{taken}" if taken else "",
        "fouls": "".join(CODES[kind] for kind in row.fouls),
        "out": row.out,
        "count": len(row.fouls),
        "points": row.points,
        "time": minutes(times[row.head]) if row.listed and row.head in times else "",
    }


def minutes(tenths: int) -> str:
    """A length of time in minutes and whole seconds: `23:05`."""
    return f"{tenths // 600}:{tenths // 10 % 60:02}"


def _notes(
    words: Words,
    rows: Mapping[Team, Sequence[BoxRow]],
    times: Mapping[Team, CourtTime],
    names: Mapping[Team, str],
) -> Iterator[str]:
    """What a reader must know of the tables."""
    charged = [kind for team in rows.values() for kind in team[-1].fouls]
    letters: dict[str, list[str]] = {}
    for kind in FoulKind:
        if kind in charged:
            letters.setdefault(CODES[kind], []).append(words(f"kind_{kind.value}"))
    if letters:
        either = words("or")
        told = ", ".join(f"{letter} {either.join(kinds)}" for letter, kinds in letters.items())
        yield words("foul_letters", letters=told)
    for team, time in times.items():
        if time.doubt:
            yield words("no_court_time", name=names[team], why=time.doubt)
