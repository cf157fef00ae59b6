"""Holds the coverage report against what each room must reach; run by `make check`."""

from __future__ import annotations

import json
import sys
from pathlib import Path

LEAST = {
    "callout/game/": 100.0,
    "callout/language/": 100.0,
    "callout/table/": 95.0,
    "callout/paper/": 95.0,
    "callout/edges/": 60.0,
    "callout/commands/": 60.0,
}
"""Per cent of lines and branches; of the edges, what runs in child processes is not counted."""


def main(report: Path) -> int:
    """Print each room's figure; 1 if one is below its least."""
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
