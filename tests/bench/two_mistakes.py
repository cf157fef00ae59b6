"""How soon the table names both of two mistakes in one team's points.

    PYTHONPATH=. python tests/bench/two_mistakes.py [GAMES]

The games are those of `tests/table/two_mistakes.py`. It never fails.
"""

from __future__ import annotations

import sys

from tests.table.two_mistakes import TOLD, Asked, game_with_two


def main() -> None:
    """Print a table of shares, and what is said in some games."""
    games = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    for heard in (True, False):
        found = [game_with_two(seed, heard) for seed in range(games)]
        kept = "with the ear's second choices" if heard else "by keys alone"
        print(f"{games} games, {kept}: both after no, two and eight noes at most, per cent")
        for told in TOLD:
            asked = [each.asked[told] for each in found]
            pairs = [each for each in asked if not each.alone]
            print(
                f"  {told:16} {shares(asked)}; in {len(pairs)} as pairs, of these {shares(pairs)}"
            )
    for game in found[:8]:
        print(f"  {' and '.join(game.causes)}: {game.said}")


def shares(asked: list[Asked]) -> str:
    """The shares of games in which both were named after so many noes at most."""
    noes = [each.noes for each in asked if each.noes is not None]
    return "/".join(f"{100 * sum(n <= most for n in noes) / max(1, len(asked)):.0f}"
                    for most in (0, 2, 8))  # fmt: skip


if __name__ == "__main__":
    main()
