"""What the tests of the commands share."""

from __future__ import annotations

from tests.devices import *  # noqa: F403 - all that `__all__` there names
