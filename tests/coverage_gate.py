"""Fails if a folder's coverage is below its minimum; run by `make check`."""

from __future__ import annotations

import json
import sys
from pathlib import Path

LEAST = {
    "callout/game/": 100.0,
    "callout/language/": 100.0,
    "callout/table/": 95.0,
    "callout/paper/": 95.0,
    "callout/league/": 90.0,
    "callout/edges/": 60.0,
    "callout/commands/": 60.0,
}
"""Minimum per cent of lines and branches. Code that runs in child processes is not counted, and
edges has much of it."""


def main(report: Path) -> int:
    """Print each folder's coverage; return 1 if one is below its minimum."""
    files = json.loads(report.read_text(encoding="utf-8"))["files"]
    status = 0
    for room, least in LEAST.items():
        mine = [entry["summary"] for name, entry in files.items() if name.startswith(room)]
        of = sum(s["num_statements"] + s["num_branches"] for s in mine)
        done = sum(s["covered_lines"] + s["covered_branches"] for s in mine)
        share = 100.0 * done / of
        verdict = "ok" if share >= least else "TOO LITTLE"
        print(f"{room:<20} {share:6.2f} %  (at least {least:g} %)  {verdict}")
        status |= share < least
    return status


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
