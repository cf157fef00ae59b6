"""What a league's secretary asks, and what anybody may see without names."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any, Final

from callout.edges.league.placing import TEAMS
from callout.edges.league.server import LeagueError
from callout.league.ranking import Groups, Tallies, Tally, classify_sums, read_rules

if TYPE_CHECKING:
    from callout.edges.league.server import Connection

_Rows = tuple[tuple[Any, ...], ...]

LEADING: Final = 20
"""The most leaders that are named."""

_SUMS: Final = """
coalesce(sum(p.won), 0)::integer, coalesce(sum(p.lost), 0)::integer,
coalesce(sum(p.defaulted), 0)::integer, coalesce(sum(p.forfeited), 0)::integer,
coalesce(sum(p.scored), 0)::integer, coalesce(sum(p.conceded), 0)::integer
"""
_TEAMS: Final = f"""
SELECT t.name, t.id, {_SUMS} FROM callout.team t LEFT JOIN callout.pair_sum p ON p.team = t.id
WHERE t.season = %(season)s GROUP BY t.id
"""
_BETWEEN: Final = f"""
WITH level AS (SELECT * FROM unnest(%(teams)s::integer[], %(parts)s::integer[]) AS l (team, part))
SELECT t.name, {_SUMS} FROM level l JOIN callout.team t ON t.id = l.team
LEFT JOIN (callout.pair_sum p JOIN level o ON o.team = p.other)
    ON p.team = l.team AND o.part = l.part
GROUP BY t.id
"""

LEADERS: Final = {"points": "points", "threes": "made_3", "throws": "made_1", "fouls": "fouls"}
"""What may be led in, with its column."""

_LEADERS: Final = """
SELECT t.name, s.number, s.{figure}, s.games, round(s.{figure}::numeric / s.games, 1)::float8
FROM callout.player_sum s JOIN callout.team t ON t.id = s.team
WHERE t.season = %(season)s AND s.{figure} > 0
ORDER BY s.{figure} DESC, s.games, t.name, s.number LIMIT %(leading)s
"""

_DISCIPLINE: Final = """
SELECT t.name, o.who, o.kind, sum(o.count)::integer, count(*), max(c.starts)
FROM callout.counting c
JOIN callout.offence o USING (game, version)
JOIN callout.team t ON t.id = CASE o.side WHEN 'home' THEN c.home ELSE c.guest END
WHERE c.season = %(season)s
GROUP BY 1, 2, 3 ORDER BY 4 DESC, 1, 2, 3
"""

_LIVE: Final = """
SELECT h.name, g.name, r.home, r.guest, r.period, f.place,
       extract(epoch FROM now() - e.received_at)::integer / 60
FROM (
    SELECT s.game, s.version, max(s.received_at) AS received_at FROM callout.sending s
    WHERE s.received_at > now() - interval '6 hours' GROUP BY s.game, s.version
) e
JOIN callout.version v USING (game, version)
JOIN callout.game ga ON ga.id = v.game AND ga.counts = v.version AND ga.official
JOIN callout.fixture f ON f.id = ga.fixture AND f.season = %(season)s
JOIN callout.team h ON h.id = f.home
JOIN callout.team g ON g.id = f.guest
LEFT JOIN callout.result r ON r.game = v.game AND r.version = v.version
WHERE v.closed_at IS NULL
ORDER BY f.place, f.starts, h.name
"""

_MISSING: Final = """
WITH open AS MATERIALIZED (
    SELECT c.fixture, c.starts, r.*
    FROM callout.result r JOIN callout.counting c USING (game, version)
    WHERE (NOT r.over OR NOT r.signed OR r.problems <> '{}') AND c.season = %(season)s
), found AS (
    SELECT f.id AS fixture, 'no game' AS what, '' AS detail FROM callout.fixture f
    WHERE f.season = %(season)s AND f.starts < localtimestamp - interval '3 hours'
      AND NOT EXISTS (SELECT FROM callout.game ga WHERE ga.fixture = f.id AND ga.official)
    UNION ALL
    SELECT fixture, 'not over', format('period %%s, %%s-%%s', period, home, guest) FROM open
    WHERE NOT over AND problems = '{}'
      AND (starts IS NULL OR starts < localtimestamp - interval '3 hours')
    UNION ALL
    SELECT fixture, 'no signature', format('%%s-%%s', home, guest) FROM open
    WHERE over AND NOT signed
    UNION ALL
    SELECT fixture, 'does not add up', array_to_string(problems, '; ') FROM open
    WHERE problems <> '{}'
    UNION ALL
    SELECT c.fixture, 'changed after its end', format(
        'version %%s says %%s-%%s, version %%s, which counts, %%s-%%s',
        o.version, o.home, o.guest, r.version, r.home, r.guest)
    FROM (SELECT DISTINCT game FROM callout.result WHERE version > 1) a
    JOIN callout.counting c USING (game)
    JOIN callout.result r ON r.game = c.game AND r.version = c.version
    JOIN callout.result o ON o.game = c.game AND o.version <> c.version
    UNION ALL
    SELECT c.fixture, 'a second book differs', format('it says %%s-%%s, the official one %%s-%%s',
                                                      o.home, o.guest, r.home, r.guest)
    FROM callout.game s
    JOIN callout.counting c USING (fixture)
    JOIN callout.result r ON r.game = c.game AND r.version = c.version
    JOIN callout.result o ON o.game = s.id AND o.version = s.counts
    WHERE NOT s.official AND r.over AND o.over AND (o.home, o.guest) <> (r.home, r.guest)
    UNION ALL
    SELECT ga.fixture, 'two official books', 'from ' || string_agg(ga.sender, ', ')
    FROM callout.game ga WHERE ga.official AND ga.fixture IS NOT NULL
    GROUP BY ga.fixture HAVING count(*) > 1
)
SELECT f.key, f.starts, h.name || ' - ' || g.name, n.what, n.detail
FROM found n
JOIN callout.fixture f ON f.id = n.fixture AND f.season = %(season)s
JOIN callout.team h ON h.id = f.home
JOIN callout.team g ON g.id = f.guest
UNION ALL
SELECT encode(ga.id, 'hex'), NULL, '', 'belongs to no fixture',
       concat_ws(', ', r.home || '-' || r.guest, 'from ' || ga.sender,
                 to_char(ga.received_at, 'YYYY-MM-DD HH24:MI'))
FROM callout.game ga LEFT JOIN callout.result r ON r.game = ga.id AND r.version = ga.counts
WHERE ga.fixture IS NULL
ORDER BY 4, 2, 1
"""
_READS_HEADERS: Final = "SELECT has_column_privilege('callout.version', 'header', 'SELECT')"
_UNPLACED: Final = f"""
SELECT encode(v.game, 'hex'), {TEAMS} FROM callout.version v
JOIN callout.game ga ON ga.id = v.game WHERE ga.fixture IS NULL AND v.version = 1
"""


@dataclass(frozen=True, slots=True)
class Answer:
    """Rows under heads, to be printed or written."""

    title: str
    heads: tuple[str, ...]
    rows: _Rows


def number_columns(answer: Answer) -> frozenset[int]:
    """The columns that hold numbers alone; none where there are no rows."""
    columns = range(len(answer.heads)) if answer.rows else ()
    return frozenset(
        at for at in columns if all(isinstance(row[at], int | float) for row in answer.rows)
    )


def told(value: Any) -> Any:
    """A value of an answer as it is printed: a number, or text."""
    if isinstance(value, datetime):
        return value.isoformat(sep=" ", timespec="minutes")
    return "" if value is None else value


def table(connection: Connection, season: int) -> Answer:
    """The teams in order."""
    row = connection.execute(
        "SELECT l.ranking FROM callout.season s JOIN callout.league l ON l.id = s.league "
        "WHERE s.id = %s", (season,),
    ).fetchone()  # fmt: skip
    assert row is not None
    ids: dict[str, int] = {}
    sums: dict[str, Tally] = {}
    for name, number, *figures in _all(connection, _TEAMS, season):
        ids[name], sums[name] = number, Tally(*figures)

    def between(groups: Groups) -> Tallies:
        parts = [(ids[name], part) for part, group in enumerate(groups) for name in group]
        asked = {"teams": [team for team, _ in parts], "parts": [part for _, part in parts]}
        rows = connection.execute(_BETWEEN.encode(), asked)
        return {name: Tally(*figures) for name, *figures in rows}

    heads = ("rank", "team", "played", "won", "lost", "points", "scored", "conceded", "difference",
             "decided by")  # fmt: skip
    rows = tuple(
        (s.rank, s.team, s.played, s.won, s.lost, s.points, s.scored, s.conceded, s.difference,
         s.decided_by)
        for s in classify_sums(sums, between, read_rules(row[0]))
    )  # fmt: skip
    return Answer("Table", heads, rows)


def leaders(connection: Connection, season: int, figure: str = "points") -> Answer:
    """The players who lead in a figure, by number; names are not kept with results."""
    query = _LEADERS.format(figure=LEADERS[figure])
    rows = _all(connection, query, season, leading=LEADING)
    return Answer(f"Leaders, {figure}", ("team", "number", figure, "games", "a game"), rows)


def discipline(connection: Connection, season: int) -> Answer:
    """Fouls that are a matter of discipline, by who committed them."""
    heads = ("team", "who", "foul", "count", "games", "last")
    return Answer("Discipline", heads, _all(connection, _DISCIPLINE, season))


def missing(connection: Connection, season: int) -> Answer:
    """What is not in order, and games of any season that belong to no fixture."""
    heads = ("fixture", "starts", "teams", "what", "detail")
    # Who played a game without a fixture stands in its header alone, which no reader sees.
    reads = connection.execute(_READS_HEADERS).fetchone() == (True,)
    found = connection.execute(_UNPLACED.encode()).fetchall() if reads else []
    teams: dict[str, str] = dict(found)
    rows = _all(connection, _MISSING, season)
    named = tuple((row[0], row[1], row[2] or teams.get(row[0], ""), *row[3:]) for row in rows)
    return Answer("Missing", heads, named)


def live(connection: Connection, season: int) -> Answer:
    """Games that go on, as of what each table sent last."""
    heads = ("home", "guest", "home points", "guest points", "period", "place", "minutes ago")
    return Answer("Live", heads, _all(connection, _LIVE, season))


ANSWERS: Final = {
    "table": table, "leaders": leaders, "discipline": discipline, "missing": missing, "live": live,
}  # fmt: skip


def ask(connection: Connection, season: int, word: str, figure: str = "") -> Answer:
    """The answer of that word; `figure`: what is led in, for the leaders.

    Raises:
        LeagueError: nobody can lead in that.
    """
    if word != "leaders":
        return ANSWERS[word](connection, season)
    figure = figure or next(iter(LEADERS))
    if figure not in LEADERS:
        raise LeagueError(f"expected one of {', '.join(LEADERS)}, got {figure!r}")
    return leaders(connection, season, figure)


def not_counted(connection: Connection) -> int:
    """How many books have entries that no result has counted yet."""
    row = connection.execute("SELECT count(*) FROM callout.version WHERE uncounted").fetchone()
    assert row is not None
    return int(row[0])


def _all(
    connection: Connection, query: str, season: int, **more: int
) -> tuple[tuple[Any, ...], ...]:
    found = connection.execute(query.encode(), {"season": season, **more}).fetchall()
    return tuple(tuple(row) for row in found)
