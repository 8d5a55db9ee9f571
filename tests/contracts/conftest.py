"""The two organisations of the permission matrix, made once for all tests that use them, and never changed by one."""

from __future__ import annotations

import logging
from collections.abc import Iterator

import pytest
from django.db import connections, transaction

from tests.contracts.stage import Stage, make_stage


@pytest.fixture(scope="session")
def made_stage(django_db_setup: None, django_db_blocker: object) -> Stage:
    """Committed, so that one making serves all modules; organisations of their own, nothing is truncated."""
    with django_db_blocker.unblock():  # type: ignore[attr-defined]
        stage = make_stage()
        for connection in connections.all(initialized_only=True):
            connection.close()
    return stage


@pytest.fixture(autouse=True)
def quiet(caplog: pytest.LogCaptureFixture) -> None:
    """Refusals are what these tests are about; they need no line each beside a failure."""
    caplog.set_level(logging.CRITICAL, "django.request")


@pytest.fixture
def stage(made_stage: Stage, committed: None) -> Iterator[Stage]:
    """Each test sends its requests in a transaction that it rolls back (see `rolled_back`)."""
    with transaction.atomic():
        yield made_stage.begin()
        transaction.set_rollback(True)
