"""The mean of several changes of the network, each by its weight.

`python -m tests.training.average OUT FILE=WEIGHT … [--other-speech NATS]`

Each training by calls makes speech that is no call less likely, since it is what a call is most
often taken for where all else is noise; then talk is heard as calls. `--other-speech` makes it
likelier again, by so many nats a frame.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from callout.edges.ear.hall_change import STEP, Change, read_change
from callout.edges.models.catalogue import RECOGNIZER, find_model
from tests.training.lexicon import other_speech
from tests.training.network import in_steps

BIAS: Final = "output.affine BiasParams"


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


def likelier(change: Change, answers: Sequence[int], nats: float) -> Change:
    """The change, with each of those answers raised by `nats` in every frame."""
    bias = change[BIAS].copy()
    bias[list(answers)] += nats
    return {**change, BIAS: bias}


def main() -> None:
    """Write what was asked for."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("out", type=Path)
    arguments.add_argument("parts", nargs="+", help="FILE=WEIGHT")
    arguments.add_argument("--other-speech", type=float, default=0.0, help="in nats a frame")
    given = arguments.parse_args()
    parts = (name.rpartition("=") for name in given.parts)
    change = average({Path(name): float(weight) for name, _, weight in parts})
    if given.other_speech:
        answers = other_speech(find_model(RECOGNIZER))
        change = likelier(change, answers, given.other_speech)
    made: dict[str, Any] = {**change}
    np.savez_compressed(given.out, **made)
    print(f"{given.out}: {given.out.stat().st_size / 1e6:.1f} MB")


if __name__ == "__main__":
    main()
