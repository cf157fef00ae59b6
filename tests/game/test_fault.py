"""What pydantic refuses, as one line of ours."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import BaseModel, ConfigDict, ValidationError

from callout.game.fault import first_fault


class Shirt(BaseModel):
    model_config = ConfigDict(extra="forbid")

    number: int
    sizes: tuple[int, ...] = ()


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        ({}, "number: field required, got nothing"),
        ({"number": 4, "sizes": [1, "x"]}, "sizes.1: input should be a valid integer"),
        ({"number": 4, "colour": "red"}, "colour: extra inputs are not permitted, got 'red'"),
        ("four", "file: input should be a valid dictionary"),
    ],
)
def test_the_first_value_that_does_not_fit_is_named(value: Any, expected: str) -> None:
    with pytest.raises(ValidationError) as raised:
        Shirt.model_validate(value)
    fault = first_fault(raised.value)
    assert str(fault).startswith(expected)
    assert str(fault).endswith(fault.what)
