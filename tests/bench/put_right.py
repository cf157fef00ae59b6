"""How soon an older entry is found that is put right in words, and whether the book is right then.

    PYTHONPATH=. python tests/bench/put_right.py [GAMES]

Each game is a random one, of one of nine leagues, with one slip that is noticed later
(`tests/table/slips.py`). It never fails.
"""

from __future__ import annotations

import sys
from collections import Counter

from tests.table.slips import MOST_ANSWERS, game_with_a_slip


def main() -> None:
    """Print the counts."""
    games = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    told = [game_with_a_slip(seed) for seed in range(games)]
    answers = Counter(each.answers for each in told if each.found)
    within = sum(count for number, count in answers.items() if number <= MOST_ANSWERS)
    print(f"{games} games: found {sum(answers.values())}, "
          f"within {MOST_ANSWERS} answers {within}, "
          f"book as if called rightly at once {sum(each.same for each in told)}")  # fmt: skip
    print("answers:", ", ".join(f"{number}: {answers[number]}" for number in sorted(answers)))


if __name__ == "__main__":
    main()
