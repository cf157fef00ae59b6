"""What the tests of the commands share."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from callout.commands import league as command
from callout.commands.league import Asked
from tests.devices import *  # noqa: F403 - all that `__all__` there names
from tests.edges.league.conftest import ROLES
from tests.postgres import OWNER, Postgres, server_or_skip


@pytest.fixture(scope="module")
def server() -> Iterator[Postgres]:
    """A running server with the roles of a league."""
    with server_or_skip() as running:
        yield running


@pytest.fixture(scope="module")
def database(server: Postgres) -> str:
    """A database that was set up by the commands alone."""
    name = server.database()
    assert command.run("migrate", server.address(OWNER, name), Asked()) == 0
    server.sql(ROLES)
    secretary = server.address("secretary", name)
    wanted = Asked(("Harbour League", "2026-27"), profile="nfhs-2026")
    assert command.run("found", secretary, wanted) == 0
    return name
