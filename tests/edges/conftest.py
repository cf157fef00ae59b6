"""What the tests of the edges share."""

from __future__ import annotations

from tests.devices import *  # noqa: F403 - all that `__all__` there names
