"""What becomes of a change whose worker dies, whose subject is taken, or that asks for further changes."""

from __future__ import annotations

from uuid import UUID, uuid4

import psycopg
import pytest
from django.conf import settings as configured
from django.db import connections

from services.changes.actions import LOW_PRIORITY, record_change
from services.changes.models import Change
from services.pipeline import recompute
from services.tenancy.context import tenant_transaction
from services.tenancy.models import Organisation
from tests.support.cast import make_organisation
from tests.support.world import add_athlete, drain, make_world

pytestmark = pytest.mark.usefixtures("committed")


def recorded(org: Organisation, subject: UUID, **fields: int) -> UUID:
    with tenant_transaction(org.id):
        record_change(kind="athlete", subject=subject, **fields)
    return row(org, subject).id


def row(org: Organisation, subject: UUID) -> Change:
    with tenant_transaction(org.id):
        return Change.objects.get(kind="athlete", subject=subject)


def dies(claimed: object) -> None:
    """As far as the database sees, a killed worker: the transaction ends, nothing more is said."""
    raise SystemExit(9)


def test_a_change_that_kills_its_workers_is_parked(monkeypatch: pytest.MonkeyPatch, settings: object) -> None:
    """All tries begun, none ended: the next claim sets it aside with a reason, and a new write frees it."""
    settings.CHANGE_MAX_TRIES = 3  # type: ignore[attr-defined]
    org, subject = make_organisation("Deadly"), uuid4()
    change_id = recorded(org, subject)
    monkeypatch.setitem(recompute.HANDLERS, "athlete", dies)
    for begun in (1, 2, 3):
        with pytest.raises(SystemExit):
            recompute.recompute_change(org_id=org.id, change_id=change_id)
        assert (row(org, subject).tries, row(org, subject).parked_at) == (begun, None)
    assert recompute.recompute_change(org_id=org.id, change_id=change_id) == "parked"
    parked = row(org, subject)
    assert (parked.error, parked.tries, parked.done) == (recompute.WORKER_DIED, 3, 0)
    assert parked.parked_at is not None
    assert recompute.recompute_change(org_id=org.id, change_id=change_id) == "nothing"
    monkeypatch.setitem(recompute.HANDLERS, "athlete", lambda claimed: None)
    recorded(org, subject)
    assert recompute.recompute_change(org_id=org.id, change_id=change_id) == "done"
    assert (row(org, subject).parked_at, row(org, subject).error) == (None, "")


@pytest.mark.parametrize("begun", [0, 5])
def test_a_held_subject_costs_no_try(monkeypatch: pytest.MonkeyPatch, begun: int) -> None:
    """Another worker has it: however often that is found, no try is used up, and nothing is parked meanwhile."""
    org, subject = make_organisation("Held"), uuid4()
    change_id = recorded(org, subject)
    with tenant_transaction(org.id):
        Change.objects.filter(id=change_id).update(tries=begun)
    address = connections["default"].get_connection_params()
    known = {name: address[name] for name in ("dbname", "user", "password", "host", "port")}
    with psycopg.connect(**known) as other:
        other.execute(
            "SELECT pg_advisory_xact_lock(hashtextextended(%s, 0))", [f"{org.id}/athlete/{subject}"]
        )
        for _ in range(configured.CHANGE_MAX_TRIES + 2):
            assert recompute.recompute_change(org_id=org.id, change_id=change_id) == "held"
            assert (row(org, subject).tries, row(org, subject).parked_at) == (begun, None)


@pytest.mark.parametrize(("priority", "handed_on"), [(0, 1), (LOW_PRIORITY, LOW_PRIORITY)])
def test_what_may_wait_asks_for_nothing_urgent(priority: int, handed_on: int) -> None:
    """A session's athletes come after results, and those of a session that may wait may wait too."""
    world = make_world()
    athlete = add_athlete(world, "Bruna Keel", 62.0)
    drain(world.cast)
    with world.cast.inside():
        record_change(kind="session", subject=world.session.id, priority=priority)
        change = Change.objects.get(kind="session", subject=world.session.id)
    assert recompute.recompute_change(org_id=world.cast.org.id, change_id=change.id) == "done"
    assert row(world.cast.org, athlete.id).priority == handed_on
