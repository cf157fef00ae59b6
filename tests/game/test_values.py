"""Plain values with their limits."""

from __future__ import annotations

import pytest
from pydantic import TypeAdapter, ValidationError

from callout.game.values import Points, ShirtNumber, Tenths


@pytest.mark.parametrize("number", ["0", "00", "1", "9", "10", "99"])
def test_shirt_numbers(number: str) -> None:
    # FIBA 4.3.2: 0, 00, 1 to 99.
    assert TypeAdapter(ShirtNumber).validate_python(number) == number


@pytest.mark.parametrize("number", ["01", "000", "100", "-1", " 5", "5 ", "five", ""])
def test_what_is_no_shirt_number(number: str) -> None:
    with pytest.raises(ValidationError):
        TypeAdapter(ShirtNumber).validate_python(number)


def test_points_of_a_goal_are_one_to_three() -> None:
    # NFHS 5-2, from memory; FIBA 16.2.
    allowed = []
    for points in range(-1, 6):
        try:
            allowed.append(TypeAdapter(Points).validate_python(points))
        except ValidationError:
            continue
    assert allowed == [1, 2, 3]


def test_times_reach_to_two_hours() -> None:
    assert TypeAdapter(Tenths).validate_python(72_000) == 2 * 60 * 60 * 10
    with pytest.raises(ValidationError):
        TypeAdapter(Tenths).validate_python(72_001)
