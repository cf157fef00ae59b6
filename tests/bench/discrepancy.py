"""How soon the table names what explains that another book has another figure.

    PYTHONPATH=. python tests/bench/discrepancy.py [GAMES]

Each game is a random one with one call lost, made twice, given to the other team or with wrong
points (`tests/table/discrepancies.py`). It never fails.
"""

from __future__ import annotations

import sys
from collections import defaultdict

from tests.table.discrepancies import CAUSES, TOLD, Found, game_with_a_mistake


def main() -> None:
    """Print a table of shares, and what is said in some games."""
    games = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    for heard in (True, False):
        found = [game_with_a_mistake(seed, heard) for seed in range(games)]
        kept = "with the ear's second choices" if heard else "by keys alone"
        print(f"{games} games, {kept}: first, among three, among nine, per cent")
        for told in TOLD:
            cells = [shares([f for f in found if f.mistake.cause == c], told) for c in CAUSES]
            row = ", ".join(f"{c} {cell}" for c, cell in zip(CAUSES, cells, strict=True))
            print(f"  {told:16} all {shares(found, told)}; {row}")
    for each in found[:8]:
        print(f"  {each.mistake.cause}: {each.said}")


def shares(found: list[Found], told: str) -> str:
    """The shares of games in which the true cause was the first, among three, among nine."""
    ranks = [each.ranks[told] for each in found if told in each.ranks]
    counts = defaultdict(int, {most: sum(r is not None and r <= most for r in ranks)
                               for most in (1, 3, 9)})  # fmt: skip
    whole = max(1, len(ranks))
    return "/".join(f"{100 * counts[most] / whole:.0f}" for most in (1, 3, 9))


if __name__ == "__main__":
    main()
