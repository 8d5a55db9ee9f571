"""Fixtures of every test: see tests/support/servers.py for the servers, tests/support/cast.py for the people."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest
from hypothesis import settings

from tests.support.cast import Cast
from tests.support.examples import USUAL

# Machine code is compiled on first use, and a busy machine is slow: no property is a matter of time.
# The same examples for the same selection of tests (hypothesis draws constants from the modules that are
# imported): whether a state of the code passes is no matter of luck.
settings.register_profile("untimed", deadline=None, max_examples=USUAL, derandomize=True)
# HYPOTHESIS_PROFILE=thorough: four times as many and others each time, also where a test says how many
# (tests/support/examples.py). To be run before work is handed on.
settings.register_profile("thorough", deadline=None, max_examples=4 * USUAL)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "untimed"))


@pytest.fixture(scope="session")
def django_db_setup(django_db_blocker: object) -> None:
    """Migrate as the owner role, then make sure that the tests do not speak as it."""
    from django.core.management import call_command
    from django.db import connection

    from tests.support import ready

    with django_db_blocker.unblock():  # type: ignore[attr-defined]
        call_command("migrate", verbosity=0)
        with connection.cursor() as cursor:
            cursor.execute(
                "SELECT current_user, rolsuper, rolbypassrls FROM pg_roles WHERE rolname = current_user"
            )
            assert cursor.fetchone() == ("dosewright_app", False, False)
        ready.prepare()
        connection.close()


@pytest.fixture
def cast(db: None, request: pytest.FixtureRequest) -> Cast:
    """An organisation with one member of each role, and an outsider; with the catalogue where there is a `team`."""
    from tests.support.ready import CASTS, STOCKED

    return (STOCKED if "team" in request.fixturenames else CASTS).take()


@pytest.fixture
def committed(django_db_setup: None, django_db_blocker: object) -> Iterator[None]:
    """Real transactions, for tests of what other connections see.

    Nothing is truncated afterwards (the app role may not): such a test makes an organisation of its own.
    """
    from django.db import connections

    with django_db_blocker.unblock():  # type: ignore[attr-defined]
        yield
        for connection in connections.all(initialized_only=True):
            connection.close()


@pytest.fixture
def time_machine_factory() -> object:
    """`with time_machine_factory(instant):` moves Python's clock; PostgreSQL's stays."""
    import time_machine

    return lambda instant: time_machine.travel(instant, tick=True)
