"""What a league's secretary asks, and what anybody may see without names."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from callout.league.ranking import Played, classify, read_rules

if TYPE_CHECKING:
    from callout.edges.league.server import Connection

_Rows = tuple[tuple[Any, ...], ...]

LEADING: Final = 20
"""So many leaders are named."""

_COUNTING: Final = """
SELECT DISTINCT ON (f.id) ga.id AS game, ga.counts AS version, f.id AS fixture, f.home, f.guest
FROM callout.fixture f
JOIN callout.game ga ON ga.fixture = f.id AND ga.official
WHERE f.season = %(season)s ORDER BY f.id, ga.received_at, ga.id
"""
"""The one official book of each fixture that counts: the first that came."""

_GAMES: Final = f"""
WITH counting AS MATERIALIZED ({_COUNTING})
SELECT h.name, g.name, r.home, r.guest, r.lost, r.defaulted
FROM counting c
JOIN callout.result r USING (game, version)
JOIN callout.team h ON h.id = c.home
JOIN callout.team g ON g.id = c.guest
WHERE r.over
"""

LEADERS: Final = {
    "points": "sum(p.points)",
    "threes": "sum(p.made_3)",
    "throws": "sum(p.made_1)",
    "fouls": "sum(p.fouls)",
}
"""What may be led in, with how it is counted."""

_LEADERS: Final = """
WITH counting AS MATERIALIZED ({counting}), sums AS (
    SELECT CASE p.side WHEN 'home' THEN c.home ELSE c.guest END AS team, p.number,
           count(*) AS games, {figure} AS total
    FROM counting c JOIN callout.player_line p USING (game, version)
    GROUP BY 1, 2 ORDER BY total DESC, games, 1, 2 LIMIT %(leading)s
)
SELECT t.name, s.number, s.total, s.games, round(s.total::numeric / s.games, 1)::float8
FROM sums s JOIN callout.team t ON t.id = s.team
WHERE s.total > 0 ORDER BY s.total DESC, s.games, t.name, s.number
"""

_DISCIPLINE: Final = f"""
WITH counting AS MATERIALIZED ({_COUNTING})
SELECT t.name, o.who, o.kind, sum(o.count)::integer, count(*), max(f.starts)
FROM counting c
JOIN callout.offence o USING (game, version)
JOIN callout.fixture f ON f.id = c.fixture
JOIN callout.team t ON t.id = CASE o.side WHEN 'home' THEN c.home ELSE c.guest END
GROUP BY 1, 2, 3 ORDER BY 4 DESC, 1, 2, 3
"""

_LIVE: Final = """
SELECT h.name, g.name, r.home, r.guest, r.period, f.place,
       extract(epoch FROM now() - e.received_at)::integer / 60
FROM callout.version v
JOIN callout.game ga ON ga.id = v.game AND ga.counts = v.version AND ga.official
JOIN callout.fixture f ON f.id = ga.fixture AND f.season = %(season)s
JOIN callout.team h ON h.id = f.home
JOIN callout.team g ON g.id = f.guest
LEFT JOIN callout.result r ON r.game = v.game AND r.version = v.version
JOIN LATERAL (
    SELECT max(s.received_at) AS received_at FROM callout.sending s
    WHERE s.game = v.game AND s.version = v.version
) e ON e.received_at > now() - interval '6 hours'
WHERE v.closed_at IS NULL
ORDER BY f.place, f.starts, h.name
"""

_MISSING: Final = f"""
WITH counting AS MATERIALIZED ({_COUNTING}), named AS (
    SELECT f.id, f.key, f.starts, h.name || ' - ' || g.name AS teams
    FROM callout.fixture f
    JOIN callout.team h ON h.id = f.home
    JOIN callout.team g ON g.id = f.guest
    WHERE f.season = %(season)s
), found AS (
    SELECT n.id AS fixture, 'no game' AS what, '' AS detail FROM named n
    WHERE n.starts < localtimestamp - interval '3 hours'
      AND NOT EXISTS (SELECT FROM counting c WHERE c.fixture = n.id)
    UNION ALL
    SELECT c.fixture, 'not over', format('period %%s, %%s-%%s', r.period, r.home, r.guest)
    FROM counting c
    JOIN named n ON n.id = c.fixture
    JOIN callout.result r USING (game, version)
    WHERE NOT r.over AND r.problems = '{{}}'
      AND (n.starts IS NULL OR n.starts < localtimestamp - interval '3 hours')
    UNION ALL
    SELECT c.fixture, 'does not add up', array_to_string(r.problems, '; ')
    FROM counting c JOIN callout.result r USING (game, version) WHERE r.problems <> '{{}}'
    UNION ALL
    SELECT c.fixture, 'changed after its end', format(
        'version %%s says %%s-%%s, version %%s, which counts, %%s-%%s',
        o.version, o.home, o.guest, r.version, r.home, r.guest)
    FROM counting c
    JOIN callout.result r USING (game, version)
    JOIN callout.result o ON o.game = c.game AND o.version <> c.version
    UNION ALL
    SELECT c.fixture, 'a second book differs', format('it says %%s-%%s, the official one %%s-%%s',
                                                      o.home, o.guest, r.home, r.guest)
    FROM counting c
    JOIN callout.result r USING (game, version)
    JOIN callout.game s ON s.fixture = c.fixture AND NOT s.official
    JOIN callout.result o ON o.game = s.id AND o.version = s.counts
    WHERE r.over AND o.over AND (o.home, o.guest) <> (r.home, r.guest)
    UNION ALL
    SELECT c.fixture, 'two official books', 'from ' || string_agg(ga.sender, ', ')
    FROM counting c JOIN callout.game ga ON ga.fixture = c.fixture AND ga.official
    GROUP BY c.fixture HAVING count(*) > 1
)
SELECT n.key, n.starts, n.teams, f.what, f.detail FROM found f JOIN named n ON n.id = f.fixture
UNION ALL
SELECT encode(ga.id, 'hex'), NULL, '', 'belongs to no fixture',
       'from ' || ga.sender || ', ' || to_char(ga.received_at, 'YYYY-MM-DD HH24:MI')
FROM callout.game ga WHERE ga.fixture IS NULL
ORDER BY 4, 2, 1
"""


@dataclass(frozen=True, slots=True)
class Answer:
    """Rows under heads, to be printed or written."""

    title: str
    heads: tuple[str, ...]
    rows: _Rows


def table(connection: Connection, season: int) -> Answer:
    """The teams in order."""
    row = connection.execute(
        "SELECT l.ranking FROM callout.season s JOIN callout.league l ON l.id = s.league "
        "WHERE s.id = %s", (season,),
    ).fetchone()  # fmt: skip
    assert row is not None
    names = connection.execute("SELECT name FROM callout.team WHERE season = %s", (season,))
    teams = [name for (name,) in names.fetchall()]
    games = [Played(*each) for each in _all(connection, _GAMES, season)]
    heads = ("rank", "team", "played", "won", "lost", "points", "scored", "conceded", "difference",
             "decided by")  # fmt: skip
    rows = tuple(
        (s.rank, s.team, s.played, s.won, s.lost, s.points, s.scored, s.conceded, s.difference,
         s.decided_by)
        for s in classify(teams, games, read_rules(row[0]))
    )  # fmt: skip
    return Answer("Table", heads, rows)


def leaders(connection: Connection, season: int, figure: str = "points") -> Answer:
    """The players who lead in a figure, by number; names are not kept with results."""
    query = _LEADERS.format(counting=_COUNTING, figure=LEADERS[figure])
    rows = _all(connection, query, season, leading=LEADING)
    return Answer(f"Leaders, {figure}", ("team", "number", figure, "games", "a game"), rows)


def discipline(connection: Connection, season: int) -> Answer:
    """Fouls that are a matter of discipline, by who committed them."""
    heads = ("team", "who", "foul", "count", "games", "last")
    return Answer("Discipline", heads, _all(connection, _DISCIPLINE, season))


def missing(connection: Connection, season: int) -> Answer:
    """What is not in order, and games of any season that belong to no fixture."""
    heads = ("fixture", "starts", "teams", "what", "detail")
    return Answer("Missing", heads, _all(connection, _MISSING, season))


def live(connection: Connection, season: int) -> Answer:
    """Games that go on, as of what each table sent last."""
    heads = ("home", "guest", "home points", "guest points", "period", "place", "minutes ago")
    return Answer("Live", heads, _all(connection, _LIVE, season))


def _all(
    connection: Connection, query: str, season: int, **more: int
) -> tuple[tuple[Any, ...], ...]:
    found = connection.execute(query.encode(), {"season": season, **more}).fetchall()
    return tuple(tuple(row) for row in found)
