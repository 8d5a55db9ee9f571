"""Two organisations of the same shape: nothing of the one reaches the other, by either layer alone.

The layers are row-level security and the scoped manager. Each is taken away in turn and everything stays
tight; without both it is open, which shows that the checks can see a leak, and that nothing else hides one.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.db import connections, transaction

from tests.contracts.isolation import drop_scope, leaks, swapped, without_row_security
from tests.contracts.matrix_table import RULES
from tests.contracts.stage import Stage

# They belong to a person, not to an organisation alone, and ask for that person's own rows.
OF_A_PERSON = {
    "create_token/organisation",
    "revoke_token",
    "read_export",
    "download_export",
    "delete_export",
}


@pytest.fixture
def open_tables(made_stage: Stage, committed: None) -> Iterator[Stage]:
    """The stage in a database without row-level security."""
    for connection in connections.all(initialized_only=True):
        connection.close()
    with without_row_security():
        with transaction.atomic():
            yield made_stage.begin()
            transaction.set_rollback(True)
        for connection in connections.all(initialized_only=True):
            connection.close()


def test_nothing_reaches_the_other_organisation(stage: Stage) -> None:
    """Our routes, and their own with our ids in path, query and body: 404, 400 or an empty page."""
    assert leaks(stage) == []


def test_the_scoped_manager_suffices(open_tables: Stage) -> None:
    """Without row-level security nothing is different."""
    assert leaks(open_tables) == []


def test_row_security_suffices(stage: Stage, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the scoped manager nothing is different."""
    drop_scope(monkeypatch)
    assert leaks(stage) == []


def test_without_both_it_is_open(open_tables: Stage, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each request of ours is able to show a leak: without both layers it gets through, or not just to a 404."""
    drop_scope(monkeypatch)
    found = leaks(open_tables)
    assert any("shows our canary" in leak for leak in found)
    assert any("changed our" in leak for leak in found)
    with_ids = {case for case in RULES if any(True for _ in swapped(case, open_tables))}
    assert len(with_ids) > 40
    assert with_ids - {leak.split(" with our ")[0] for leak in found} == OF_A_PERSON
