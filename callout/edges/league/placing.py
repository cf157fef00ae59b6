"""Which fixture a game is: found anew where a list came late, or said by the secretary."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from callout.edges.league.server import LeagueError

if TYPE_CHECKING:
    from callout.edges.league.server import Connection

TEAMS: Final = (
    "btrim(split_part(v.header::jsonb ->> 'home', '|', 1)) || ' - ' || "
    "btrim(split_part(v.header::jsonb ->> 'guest', '|', 1))"
)
"""The teams of a game, as the header of its version `v` names them."""

_UNPLACED: Final = (
    "SELECT id FROM callout.game WHERE fixture IS NULL ORDER BY official DESC, received_at, id"
)
_FIND: Final = """
WITH fits AS (
    SELECT count(*) AS several, min(f.id) AS id, min(f.season) AS season
    FROM callout.game ga
    JOIN callout.version v ON v.game = ga.id AND v.version = 1,
    LATERAL callout.fixtures_of(v.header::jsonb, ga.sender) AS f
    WHERE ga.id = %(game)s AND ga.fixture IS NULL
)
UPDATE callout.game ga SET fixture = fits.id, season = fits.season
FROM fits WHERE ga.id = %(game)s AND fits.several = 1
"""
_PLACE: Final = """
UPDATE callout.game ga SET fixture = f.id, season = f.season
FROM callout.fixture f WHERE ga.id = %(game)s AND f.season = %(season)s AND f.key = %(key)s
"""
_TAKE_OUT: Final = "UPDATE callout.game SET fixture = NULL, season = NULL WHERE id = %s"
_TELL: Final = f"""
SELECT {TEAMS}, h.name || ' - ' || g.name
FROM callout.version v
JOIN callout.game ga ON ga.id = v.game
LEFT JOIN callout.fixture f ON f.id = ga.fixture
LEFT JOIN callout.team h ON h.id = f.home
LEFT JOIN callout.team g ON g.id = f.guest
WHERE v.game = %s AND v.version = 1
"""


def find_fixtures(connection: Connection) -> int:
    """Places games that have no fixture and now fit one alone; how many that were.

    The server looks for a game's fixture when the game comes, and a list may come later. It is the
    same search: one after the other, since a fixture has one official book.
    """
    count = 0
    with connection.transaction():
        for (game,) in connection.execute(_UNPLACED).fetchall():
            count += connection.execute(_FIND, {"game": game}).rowcount
    return count


def place(connection: Connection, season: int, game: bytes, key: str) -> str:
    """Makes a game that fixture's, or no fixture's if the key is empty; whose game is now which.

    Raises:
        LeagueError: there is no such game, or the season has no such fixture.
    """
    with connection.transaction():
        row = connection.execute(_TELL, (game,)).fetchone()
        if row is None:
            raise LeagueError(f"no game {game.hex():.40} is there")
        if not key:
            connection.execute(_TAKE_OUT, (game,))
            return f"{row[0]} belongs to no fixture now"
        asked = {"game": game, "season": season, "key": key}
        if not connection.execute(_PLACE, asked).rowcount:
            raise LeagueError(f"no fixture {key:.200} is there; callout league missing lists them")
        placed = connection.execute(_TELL, (game,)).fetchone()
    assert placed is not None
    return f"{placed[0]} is fixture {key} now, {placed[1]}"
