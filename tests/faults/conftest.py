from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from services.devstack.clean import clean
from tests.faults.machine import Machine, machine


@pytest.fixture(scope="module")
def own_machine(
    tmp_path_factory: pytest.TempPathFactory, django_db_setup: None, django_db_blocker: object
) -> Iterator[Machine]:
    """Servers that a test of this module may kill."""
    directory: Path = tmp_path_factory.mktemp("machine")
    with django_db_blocker.unblock():  # type: ignore[attr-defined]
        try:
            with machine(directory) as made:
                yield made
        finally:
            clean(directory)
