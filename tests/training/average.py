"""The mean of several changes of the network, each by its weight.

`python -m tests.training.average OUT FILE=WEIGHT …`
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from callout.edges.ear.hall_change import STEP, Change, read_change
from tests.training.network import in_steps


def whole(change: Change) -> dict[str, NDArray[Any]]:
    """What is added to each number."""
    made = {}
    for key, by in change.items():
        if not key.endswith(STEP):
            steps = change.get(key + STEP)
            made[key] = by.astype(np.float32) * (1.0 if steps is None else steps[:, None])
    return made


def average(weighed: dict[Path, float]) -> Change:
    """The sum of the changes in those files, each times its weight."""
    changes = {path: whole(read_change(path)) for path in weighed}
    keys = next(iter(changes.values())).keys()
    sums = {
        key: np.sum([weight * changes[path][key] for path, weight in weighed.items()], axis=0)
        for key in keys
    }
    return in_steps(sums)


def main() -> None:
    """Write what was asked for."""
    out, *parts = sys.argv[1:]
    weighed = {Path(name): float(weight) for name, _, weight in (p.rpartition("=") for p in parts)}
    made: dict[str, Any] = {**average(weighed)}
    np.savez_compressed(out, **made)
    print(f"{out}: {Path(out).stat().st_size / 1e6:.1f} MB")


if __name__ == "__main__":
    main()
