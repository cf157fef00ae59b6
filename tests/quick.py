"""Cases of which a few are tried each time, and the rest where there are minutes."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Any

import pytest


def thorough_but(cases: Iterable[Any], quick: Collection[Any]) -> list[Any]:
    """The cases as parameters; those that are not in `quick` are marked thorough."""
    listed = list(cases)
    assert set(quick) <= set(listed), "a quick case is none of the cases"
    return [
        case if case in quick else pytest.param(case, marks=pytest.mark.thorough) for case in listed
    ]
